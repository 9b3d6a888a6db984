//! The reference-state rate law: a value at a stated reference, times dimensionless factors.

use super::conditions::{Concentration, Conditions};
use super::factor::{Factor, FactorName};
use crate::scalar::Scalar;
use crate::solution::Answer;

/// value = value_ref × product of factors, each one at the reference state.
///
/// The same form serves a rate (mol/(m² s)) and a selectivity (mol per mol of metal). The factors
/// are summed as logarithms, so a law costs one exponential.
///
/// ```
/// use bathkin::surface::{Arrhenius, Conditions, Factor, RateLaw};
/// use num_dual::Dual64;
///
/// // d ln r/dT of an Arrhenius law is Ea/(R T²), exactly.
/// let law = RateLaw {
///     value_at_reference: Dual64::from(5.7e-4),
///     factors: vec![Factor::Arrhenius(Arrhenius {
///         activation_energy_kj_mol: Dual64::from(65.0),
///         reference_temperature_k: 361.15,
///     })],
/// };
/// let warm = Conditions {
///     temperature_k: Dual64::from(361.15).derivative(),
///     ph: Dual64::from(4.8), ionic_strength_mol_l: Dual64::from(0.9),
///     totals_mol_l: &[], dissolved_mol_l: &[],
/// };
/// let rate = law.value(&warm);
/// let expected = 65e3 / (8.314462618 * 361.15_f64.powi(2));
/// assert!((rate.eps / rate.re - expected).abs() < 1e-9);
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct RateLaw<D = f64> {
    /// Value at the reference state.
    pub value_at_reference: D,
    /// Factors.
    pub factors: Vec<Factor<D>>,
}

impl<D> RateLaw<D> {
    /// The same with each of its numbers turned into another.
    pub fn map<E>(&self, of: &mut impl FnMut(&D) -> E) -> RateLaw<E> {
        RateLaw {
            value_at_reference: of(&self.value_at_reference),
            factors: self.factors.iter().map(|factor| factor.map(of)).collect(),
        }
    }
}

impl<D: Scalar> RateLaw<D> {
    /// True when a factor follows the proton or a formed species, beyond the free components.
    pub fn follows_species(&self, components: usize) -> bool {
        let formed = |of: Concentration| matches!(of, Concentration::Dissolved(at) if at >= components);
        self.factors.iter().flat_map(Factor::concentrations).any(formed)
    }

    /// What it follows that has to be solved for, beyond the pH.
    pub fn answers(&self) -> impl Iterator<Item = Answer> {
        self.factors.iter().flat_map(|factor| {
            let strength = matches!(factor, Factor::IonicStrength(_)).then_some(Answer::IonicStrength);
            factor.concentrations().filter_map(|of| of.answer()).chain(strength)
        })
    }

    /// The value under these conditions; zero when a component it needs is used up.
    pub fn value(&self, at: &Conditions<D>) -> D {
        let mut ln = D::from(0.0);
        for factor in &self.factors {
            match factor.ln(at) {
                Some(of_factor) => ln += of_factor,
                None => return D::from(0.0),
            }
        }
        self.value_at_reference * ln.exp()
    }
}

impl RateLaw {
    /// The negative orders that are read at the lower end of their range: what they follow, and where they are
    /// held, mol/L.
    pub fn held_orders(&self, at: &Conditions) -> impl Iterator<Item = (Concentration, f64)> {
        self.factors.iter().filter_map(move |factor| match factor {
            Factor::Order(law) => law.held(at).map(|held| (law.of, held)),
            _ => None,
        })
    }

    /// Every factor by name with its value, which is one at the reference state; zero where it
    /// stops the reaction. Sites that several substances share are told adsorbate by adsorbate. Their product times the value at the reference is [`RateLaw::value`].
    ///
    /// ```
    /// use bathkin::surface::{Conditions, Factor, FactorKind, PhOrder, RateLaw};
    /// let order = PhOrder { decades_per_ph: 0.5, reference_ph: 4.8 };
    /// let law: RateLaw = RateLaw { value_at_reference: 5.7e-4, factors: vec![Factor::PhOrder(order)] };
    /// let factors = law.factors_at(&Conditions {
    ///     temperature_k: 361.15, ph: 6.8, ionic_strength_mol_l: 0.9, totals_mol_l: &[], dissolved_mol_l: &[],
    /// });
    /// assert_eq!(factors[0].0.kind, FactorKind::Ph);
    /// assert!((factors[0].1 - 10.0).abs() < 1e-9);
    /// ```
    pub fn factors_at(&self, at: &Conditions) -> Vec<(FactorName, f64)> {
        self.factors.iter().flat_map(|factor| factor.named_values(at)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::surface::{Arrhenius, Inhibition, InhibitionForm, Order, PhOrder};
    use num_dual::Dual64;

    /// The law over any scalar, in temperature, pH and two concentrations.
    fn law<D: Scalar>(activation_energy_kj_mol: D) -> RateLaw<D> {
        let order = |component, order: f64, reference: f64| {
            Factor::Order(Order {
                of: Concentration::Total(component),
                order: D::from(order),
                reference_mol_l: D::from(reference),
                valid_from_mol_l: None,
            })
        };
        RateLaw {
            value_at_reference: D::from(5.7e-4),
            factors: vec![
                Factor::Arrhenius(Arrhenius { activation_energy_kj_mol, reference_temperature_k: 361.15 }),
                Factor::PhOrder(PhOrder { decades_per_ph: D::from(0.35), reference_ph: 4.8 }),
                order(0, 0.25, 0.1),
                order(1, 0.4, 0.28),
                Factor::Inhibition(Inhibition {
                    of: Concentration::Total(2),
                    form: InhibitionForm::Hyperbolic,
                    constant_mol_l: D::from(3.6),
                    exponent: D::from(1.0),
                }),
            ],
        }
    }

    fn rate(temperature_k: f64, ph: f64, totals: &[f64], energy: f64) -> f64 {
        law(energy).value(&Conditions {
            temperature_k,
            ph,
            ionic_strength_mol_l: 1.0,
            totals_mol_l: totals,
            dissolved_mol_l: totals,
        })
    }

    #[test]
    fn is_its_reference_value_at_the_reference() {
        assert!((rate(361.15, 4.8, &[0.1, 0.28, 0.0], 65.0) / 5.7e-4 - 1.0).abs() < 1e-14);
    }

    #[test]
    fn dual_numbers_agree_with_differences() {
        let totals = [0.09, 0.25, 0.8];
        let dual = totals.map(Dual64::from);
        let exact = law(Dual64::from(65.0).derivative()).value(&Conditions {
            temperature_k: Dual64::from(355.15),
            ph: Dual64::from(4.6),
            ionic_strength_mol_l: Dual64::from(1.0),
            totals_mol_l: &dual,
            dissolved_mol_l: &dual,
        });
        let h = 1e-4;
        let difference =
            (rate(355.15, 4.6, &totals, 65.0 + h) - rate(355.15, 4.6, &totals, 65.0 - h)) / (2.0 * h);
        assert!((exact.eps / difference - 1.0).abs() < 1e-7);
    }

    #[test]
    fn used_up_metal_stops_the_rate_without_nan() {
        assert_eq!(rate(361.15, 4.8, &[0.0, 0.28, 0.0], 65.0), 0.0);
        assert_eq!(rate(361.15, 4.8, &[-1e-18, 0.28, 0.0], 65.0), 0.0);
        // Continuous on the way there: order 0.25.
        let (small, smaller) =
            (rate(361.15, 4.8, &[1e-8, 0.28, 0.0], 65.0), rate(361.15, 4.8, &[1e-12, 0.28, 0.0], 65.0));
        assert!((small / smaller - 10.0).abs() < 1e-9);
    }
}
