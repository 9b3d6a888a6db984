//! Start of deposition: a surface that is catalytic only in part, and how the deposit covers the rest.

use schemars::JsonSchema;
use serde::Serialize;

use crate::scalar::Scalar;

/// d theta/dt = (1 - theta) (k_n + k_s f theta): nucleation, and spreading from what is covered.
///
/// | symbol | meaning | unit |
/// |---|---|---|
/// | theta, theta_0 | part of the surface that is catalytic, at the start | - |
/// | k_n | nucleation on bare surface | 1/s |
/// | k_s | spreading at the reference rate of deposition | 1/s |
/// | f = r/r_ref | rate on covered surface over the reference rate | - |
///
/// Deposit grows on the catalytic part only, r_eff = r theta, so thickness shows an induction time and
/// then a straight line. Assumptions: spreading goes with the rate of deposition (a cold or strongly
/// stabilised bath starts late in proportion), nucleation does not (it is displacement, contact or
/// seeds, not the bath's own reaction); thickness is the mean over the whole area. The form is the usual
/// one of an autocatalytic surface (1, 2); constants are data of the substrate and rest on induction
/// times of common practice.
///
/// The tank integrates y = -ln(1 - theta) instead, dy/dt = k_n + k_s f (1 - exp(-y)): theta stays
/// between 0 and 1 by itself, and the covered surface, where y grows in a straight line, is not stiff.
///
/// ```
/// use bathkin::surface::Coverage;
/// let slow = Coverage { start_fraction: 0.0, nucleation_1_s: 0.001, spreading_1_s: 0.1 };
/// // Thickness late is r (t - induction).
/// assert!((slow.induction_s() - (101.0_f64).ln() / 0.1).abs() < 1e-12);
/// assert!((slow.delay_s(500.0) - slow.induction_s()).abs() < 1e-9);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct Coverage<D = f64> {
    /// theta_0.
    pub start_fraction: D,
    /// k_n, 1/s.
    pub nucleation_1_s: D,
    /// k_s, 1/s.
    pub spreading_1_s: D,
}

impl Coverage {
    /// Covered from the first moment.
    pub const AT_ONCE: Coverage = Coverage { start_fraction: 1.0, nucleation_1_s: 0.0, spreading_1_s: 0.0 };
}

impl<D: Scalar> Coverage<D> {
    /// A bare surface with an induction time, s, and a ratio k_s/k_n.
    ///
    /// Late thickness is r (t - ln(1 + k_s/k_n)/k_s).
    pub fn nucleating(induction_s: D, spreading_per_nucleation: D) -> Self {
        let spreading_1_s = spreading_per_nucleation.ln_1p() / induction_s;
        Coverage {
            start_fraction: D::from(0.0),
            nucleation_1_s: spreading_1_s / spreading_per_nucleation,
            spreading_1_s,
        }
    }

    /// A surface seeded to a fraction, with an induction time, s, that is all spreading.
    ///
    /// Late thickness is r (t - ln(1/theta_0)/k_s).
    pub fn seeded(induction_s: D, fraction: D) -> Self {
        Coverage {
            start_fraction: fraction,
            nucleation_1_s: D::from(0.0),
            spreading_1_s: -fraction.ln() / induction_s,
        }
    }

    /// The same surface where deposition runs at f times the reference rate.
    pub fn at_rate(self, relative_rate: D) -> Self {
        Coverage { spreading_1_s: self.spreading_1_s * relative_rate, ..self }
    }

    /// True when nothing is left to cover.
    pub fn is_complete(&self) -> bool {
        self.start_fraction.re() >= 1.0
    }

    /// theta after a time at a steady rate.
    ///
    /// With K = k_n + k_s and E = exp(-K t), covered and bare part are as
    /// theta_0 K + (1 - theta_0) k_n (1 - E) to (1 - theta_0) K E.
    pub fn fraction(&self, seconds: D) -> D {
        let (decay, grown) = self.decay(seconds);
        let total = self.nucleation_1_s + self.spreading_1_s;
        if total.re() == 0.0 || (self.seeds() + self.nucleation_1_s).re() == 0.0 {
            return self.start_fraction;
        }
        let bare = -self.start_fraction + 1.0;
        let covered = self.start_fraction * total + bare * self.nucleation_1_s * grown;
        // A part of a sum stays below one in floating point as well.
        covered / (covered + bare * total * decay)
    }

    /// Time lost to the start up to a time, s: the integral of 1 - theta. Thickness is
    /// r (t - delay) at a steady rate.
    pub fn delay_s(&self, seconds: D) -> D {
        let bare = -self.start_fraction + 1.0;
        let total = self.nucleation_1_s + self.spreading_1_s;
        if (self.seeds() + self.nucleation_1_s).re() == 0.0 {
            return bare * seconds;
        }
        let (decay, grown) = self.decay(seconds);
        let mean = grown / total;
        let lost = self.spreading_1_s * bare * mean;
        // Two ways of writing ln(1 - lost), each exact where the other cancels.
        const HALF: f64 = 0.5;
        if lost.re() == 0.0 {
            bare * mean
        } else if lost.re() < HALF {
            -(-lost).ln_1p() / self.spreading_1_s
        } else {
            let left = (self.nucleation_1_s + self.spreading_1_s * decay + self.seeds() * grown) / total;
            -left.ln() / self.spreading_1_s
        }
    }

    /// What the delay tends to, s: the intercept of the late straight line of thickness. Infinite for
    /// a bare surface without nucleation.
    pub fn induction_s(&self) -> D {
        let sources = self.nucleation_1_s + self.seeds();
        let bare = -self.start_fraction + 1.0;
        if bare.re() == 0.0 {
            return D::from(0.0);
        }
        if sources.re() == 0.0 {
            return D::from(f64::INFINITY);
        }
        let gain = self.spreading_1_s * bare / sources;
        // ln(1 + x)/x tends to one.
        if gain.re() == 0.0 { bare / sources } else { gain.ln_1p() / self.spreading_1_s }
    }

    /// y = -ln(1 - theta) at the start.
    pub fn extended_at_start(&self) -> D {
        -(-self.start_fraction).ln_1p()
    }

    /// dy/dt, 1/s, with the rate of deposition at f times the reference rate.
    pub fn extended_rate_1_s(&self, extended: D, relative_rate: D) -> D {
        self.nucleation_1_s + self.spreading_1_s * relative_rate * Self::fraction_of(extended)
    }

    /// theta = 1 - exp(-y).
    pub fn fraction_of(extended: D) -> D {
        -(-extended).exp_m1()
    }

    fn seeds(&self) -> D {
        self.spreading_1_s * self.start_fraction
    }

    /// E = exp(-K t) and 1 - E.
    fn decay(&self, seconds: D) -> (D, D) {
        let exponent = -(self.nucleation_1_s + self.spreading_1_s) * seconds;
        (exponent.exp(), -exponent.exp_m1())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use num_dual::Dual64;

    #[test]
    fn limits_are_regular() {
        let only_nucleation = Coverage { start_fraction: 0.0, nucleation_1_s: 0.1, spreading_1_s: 0.0 };
        assert!((only_nucleation.fraction(7.0) - (1.0 - (-0.7_f64).exp())).abs() < 1e-15);
        assert!((only_nucleation.delay_s(7.0) - (1.0 - (-0.7_f64).exp()) / 0.1).abs() < 1e-12);
        assert!((only_nucleation.induction_s() - 10.0).abs() < 1e-12);
        let never = Coverage { start_fraction: 0.0, nucleation_1_s: 0.0, spreading_1_s: 3.0 };
        assert_eq!((never.fraction(1e6), never.delay_s(9.0)), (0.0, 9.0));
        assert_eq!(never.induction_s(), f64::INFINITY);
        let dead = Coverage { start_fraction: 0.3, nucleation_1_s: 0.0, spreading_1_s: 0.0 };
        assert_eq!((dead.fraction(5.0), dead.delay_s(10.0)), (0.3, 7.0));
        assert_eq!((Coverage::AT_ONCE.fraction(0.0), Coverage::AT_ONCE.delay_s(9.0)), (1.0, 0.0));
        assert_eq!(Coverage::AT_ONCE.induction_s(), 0.0);
    }

    #[test]
    fn an_induction_time_gives_the_constants_that_reproduce_it() {
        assert!((Coverage::<f64>::nucleating(5.0, 20.0).induction_s() - 5.0).abs() < 1e-12);
        assert!((Coverage::<f64>::seeded(20.0, 0.01).induction_s() - 20.0).abs() < 1e-12);
    }

    #[test]
    fn the_slope_of_the_delay_is_the_bare_part() {
        for (fraction, nucleation) in [(0.0, 1e-3), (0.02, 0.0), (0.4, 0.05)] {
            let law = Coverage {
                start_fraction: Dual64::from(fraction),
                nucleation_1_s: Dual64::from(nucleation),
                spreading_1_s: Dual64::from(0.2),
            };
            for seconds in [0.1, 3.0, 20.0, 60.0] {
                let delay = law.delay_s(Dual64::from(seconds).derivative());
                let bare = 1.0 - law.fraction(Dual64::from(seconds)).re;
                assert!((delay.eps - bare).abs() < 1e-12, "{seconds} s: {} and {bare}", delay.eps);
            }
        }
    }

    #[test]
    fn dual_numbers_agree_with_differences() {
        let induction = |spreading: f64| {
            Coverage { start_fraction: 0.01, nucleation_1_s: 1e-3, spreading_1_s: spreading }.induction_s()
        };
        let exact = Coverage {
            start_fraction: Dual64::from(0.01),
            nucleation_1_s: Dual64::from(1e-3),
            spreading_1_s: Dual64::from(0.2).derivative(),
        }
        .induction_s();
        let h = 1e-5;
        let difference = (induction(0.2 + h) - induction(0.2 - h)) / (2.0 * h);
        assert!((exact.eps / difference - 1.0).abs() < 1e-7);
    }
}
