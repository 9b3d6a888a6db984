//! Activity coefficients of ions.
//!
//! Every model here has the form ln gamma = -z² phi(I): the charge effect depends on the ionic
//! strength alone. [`Activity::Sit`] adds a term per pair of ions, see [`super::interaction`].

use super::water;
use crate::constants::LN_10;
use crate::scalar::Scalar;

/// Ionic strength up to which the Davies equation is usually trusted, mol/L.
pub const DAVIES_TRUSTED_TO_MOL_L: f64 = 0.5;

/// Ionic strength up to which the specific-interaction model was compared with measured mixtures, mol/L:
/// 5 mol/kg, where a litre of an old bath holds 0.88 kg of water.
pub const SIT_TRUSTED_TO_MOL_L: f64 = 4.4;

/// The activity model of a solution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Activity {
    /// All coefficients one.
    Ideal,
    /// Davies: log10 gamma = -A z² (√I/(1+√I) - 0.3 I); neutral species have gamma = 1.
    ///
    /// Good to about I = 0.5 mol/L. Beyond `held_above_mol_l` the coefficient is held at its value
    /// there, because the linear term would let it grow without bound; results past that point
    /// are flagged. `f64::INFINITY` gives the plain equation.
    ///
    /// Source: Davies, Ion Association (1962), with the later coefficient 0.3.
    Davies {
        /// Ionic strength above which the coefficient no longer changes, mol/L.
        held_above_mol_l: f64,
    },
    /// Specific ion interaction, log10 gamma = -z² A √I/(1 + 1.5 √I) + sum eps m: good to about
    /// 4 mol/kg, see [`super::interaction`].
    Sit,
}

impl Activity {
    /// The charge function phi and its derivative d phi/d I at ionic strength I (mol/L).
    ///
    /// `debye_hueckel_a` is the slope A of log10 gamma at the temperature, see
    /// [`water::debye_hueckel_a`].
    pub fn charge_function(&self, debye_hueckel_a: f64, ionic_strength: f64) -> (f64, f64) {
        match *self {
            Activity::Ideal => (0.0, 0.0),
            Activity::Davies { held_above_mol_l } => {
                let held = ionic_strength > held_above_mol_l;
                let strength = ionic_strength.clamp(0.0, held_above_mol_l);
                let root = strength.sqrt();
                let scale = debye_hueckel_a * LN_10;
                let value = scale * (root / (1.0 + root) - 0.3 * strength);
                // The slope of the square root is infinite at I = 0; a tiny floor keeps it finite.
                let slope = scale * (0.5 / (root.max(1e-8) * (1.0 + root).powi(2)) - 0.3);
                (value, if held { 0.0 } else { slope })
            }
            Activity::Sit => {
                const B: f64 = 1.5;
                let root = ionic_strength.max(0.0).sqrt();
                let scale = debye_hueckel_a * LN_10;
                let below = 1.0 + B * root;
                (scale * root / below, scale * 0.5 / (root.max(1e-8) * below * below))
            }
        }
    }

    /// The Debye-Hückel slope this model needs at a temperature (zero for the ideal one).
    pub fn slope_at<D: Scalar>(&self, temperature_k: D) -> D {
        match self {
            Activity::Ideal => D::from(0.0),
            Activity::Davies { .. } | Activity::Sit => water::debye_hueckel_a(temperature_k),
        }
    }

    /// A warning when the ionic strength is beyond the model, else `None`.
    pub fn warning(&self, ionic_strength: f64) -> Option<String> {
        match *self {
            Activity::Ideal if ionic_strength > 0.01 => Some(format!(
                "activity coefficients are taken as one at an ionic strength of {ionic_strength:.2} mol/L"
            )),
            Activity::Davies { held_above_mol_l } if ionic_strength > DAVIES_TRUSTED_TO_MOL_L => {
                let held = if held_above_mol_l.is_finite() && ionic_strength > held_above_mol_l {
                    format!("; coefficients are held at their value at {held_above_mol_l:.2} mol/L")
                } else {
                    String::new()
                };
                Some(format!(
                    "ionic strength {ionic_strength:.2} mol/L is beyond the Davies equation (about {DAVIES_TRUSTED_TO_MOL_L} mol/L){held}"
                ))
            }
            Activity::Sit if ionic_strength > SIT_TRUSTED_TO_MOL_L => Some(format!(
                "ionic strength {ionic_strength:.2} mol/L is beyond the specific-interaction model (about {SIT_TRUSTED_TO_MOL_L} mol/L)"
            )),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn davies_at_half_molar() {
        // By hand: A = 0.5098, I = 0.5: log10 gamma(z=1) = -0.5098 (0.41421 - 0.15) = -0.13470.
        let davies = Activity::Davies { held_above_mol_l: f64::INFINITY };
        let (value, _) = davies.charge_function(0.5098, 0.5);
        assert!((value / LN_10 - 0.134_70).abs() < 1e-5);
    }

    #[test]
    fn each_model_is_doubted_beyond_its_range_and_not_within() {
        let davies = |held_above_mol_l| Activity::Davies { held_above_mol_l };
        for (model, trusted_to) in
            [(Activity::Sit, 4.4), (davies(f64::INFINITY), DAVIES_TRUSTED_TO_MOL_L), (Activity::Ideal, 0.01)]
        {
            assert_eq!(model.warning(0.999 * trusted_to), None, "{model:?}");
            let warning = model.warning(1.001 * trusted_to).expect("beyond the model");
            assert!(warning.contains(&format!("{:.2} mol/L", 1.001 * trusted_to)), "{warning}");
        }
        let held = davies(0.8).warning(1.0).expect("beyond the equation");
        assert!(held.contains("held at their value at 0.80 mol/L"), "{held}");
    }

    #[test]
    fn slope_is_the_derivative() {
        let davies = Activity::Davies { held_above_mol_l: f64::INFINITY };
        for strength in [1e-4, 0.05, 0.5, 2.0] {
            let h = strength * 1e-6;
            let (up, _) = davies.charge_function(0.55, strength + h);
            let (down, _) = davies.charge_function(0.55, strength - h);
            let (_, slope) = davies.charge_function(0.55, strength);
            assert!(((up - down) / (2.0 * h) - slope).abs() < 1e-6 * slope.abs().max(1.0));
        }
    }

    #[test]
    fn held_coefficient_does_not_change_above() {
        let davies = Activity::Davies { held_above_mol_l: 0.5 };
        assert_eq!(davies.charge_function(0.5, 0.5).0, davies.charge_function(0.5, 4.0).0);
        assert!(davies.warning(4.0).is_some() && davies.warning(0.1).is_none());
    }
}
