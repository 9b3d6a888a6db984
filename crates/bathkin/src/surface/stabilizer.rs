//! Stabilizer: speeds the reaction up at a trace, stops it beyond a critical value.

use super::conditions::{Concentration, Conditions};
use crate::scalar::Scalar;

/// g(c)/g(c_set) with g(c) = (1 + a c/(c_1 + c)) (1 - (c/c_stop)^n) / (1 + (c/c_2)^n).
///
/// One at the set-point c_set, so that the rate beside it is that of the bath as it is run; at
/// c_stop and beyond the rate is zero.
///
/// | symbol | meaning | unit |
/// |---|---|---|
/// | c, c_set | stabilizer, its set-point | mol/L |
/// | a | gain of the rate at a trace | 1 |
/// | c_1 | trace at which half the gain is reached | mol/L |
/// | c_2 | critical value, at which half the rate is left | mol/L |
/// | n | steepness of the cut-off, above 1 | 1 |
/// | c_stop | where nothing plates any more; infinite for none | mol/L |
///
/// Source: the form is our own, made for the thresholds read of thiourea: below 1 mg/L it speeds
/// up, above 1 mg/L it slows (Baskaran et al., Mater. Chem. Phys. 99 (2006) 117); above 3 mg/L the
/// rate is lower, from 3 to 9 mg/L it falls steeply, above 9 mg/L it is about nil (Han & Fang, Metal
/// Finishing 95(2) (1997) 73). Both were read at second hand. Under-dosing is almost harmless in
/// this factor and dangerous in a tank: the rate at which the bath plates out is a law of its own,
/// [`super::Decomposition`]. Regular at c = 0.
///
/// ```
/// use bathkin::surface::{Concentration, Conditions, Stabilizer};
/// // Amounts in mg/L here: only their ratios count.
/// let law = Stabilizer {
///     of: Concentration::Total(0), gain: 0.2, trace_mol_l: 0.3, critical_mol_l: 4.5, steepness: 3.5,
///     stop_mol_l: f64::INFINITY, set_point_mol_l: 0.0,
/// };
/// let g = |c: f64| law.ln_factor(&Conditions {
///     temperature_k: 361.15, ph: 4.8, ionic_strength_mol_l: 0.9, totals_mol_l: &[c], dissolved_mol_l: &[],
/// }).map_or(0.0, f64::exp);
/// assert_eq!(g(0.0), 1.0);
/// assert!((g(1.0) - 1.148).abs() < 1e-3 && (g(3.0) - 0.952).abs() < 1e-3 && (g(9.0) - 0.097).abs() < 1e-3);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stabilizer<D = f64> {
    /// c.
    pub of: Concentration,
    /// a.
    pub gain: D,
    /// c_1, mol/L.
    pub trace_mol_l: D,
    /// c_2, mol/L.
    pub critical_mol_l: D,
    /// n.
    pub steepness: D,
    /// c_stop, mol/L; infinite for none.
    pub stop_mol_l: f64,
    /// c_set, mol/L.
    pub set_point_mol_l: f64,
}

impl<D> Stabilizer<D> {
    /// The same with each of its numbers turned into another.
    pub fn map<E>(&self, of: &mut impl FnMut(&D) -> E) -> Stabilizer<E> {
        Stabilizer {
            of: self.of,
            gain: of(&self.gain),
            trace_mol_l: of(&self.trace_mol_l),
            critical_mol_l: of(&self.critical_mol_l),
            steepness: of(&self.steepness),
            stop_mol_l: self.stop_mol_l,
            set_point_mol_l: self.set_point_mol_l,
        }
    }
}

impl<D: Scalar> Stabilizer<D> {
    /// ln of the factor, or `None` where the stabilizer stops the rate.
    pub fn ln_factor(&self, at: &Conditions<D>) -> Option<D> {
        let here = self.ln_g(self.of.of(at))?;
        Some(here - self.ln_g(D::from(self.set_point_mol_l))?)
    }

    fn ln_g(&self, c: D) -> Option<D> {
        if c >= D::from(self.stop_mol_l) {
            return None;
        }
        // n > 1: the power and its slope vanish at c = 0, where its logarithm would not exist.
        let power = |scale: D| {
            let ratio = c / scale;
            if ratio > D::from(0.0) { (self.steepness * ratio.ln()).exp() } else { D::from(0.0) }
        };
        let mut ln_g =
            (self.gain * c / (self.trace_mol_l + c) + 1.0).ln() - (power(self.critical_mol_l) + 1.0).ln();
        if self.stop_mol_l.is_finite() {
            ln_g += (-power(D::from(self.stop_mol_l)) + 1.0).ln();
        }
        Some(ln_g)
    }
}
