//! The steady state next to the one a surface is in.

use bathkin_numerics::{Bracket, narrow_bracket};

use super::{EVALUATIONS, FilmSurface, MET, NARROW, NOWHERE};
use crate::surface::conditions::Conditions;
use crate::surface::film::Film;
use crate::surface::kinetics::Kinetics;

impl FilmSurface {
    /// Brings the surface to the root it moves to from `from`, and returns its rate. `fresh` is the rate of the bath's own
    /// liquid.
    pub(super) fn stay(
        &mut self,
        film: &Film,
        kinetics: &Kinetics,
        bath: &Conditions,
        from: f64,
        fresh: f64,
    ) -> f64 {
        if let Some(metal) = self.secant(film, kinetics, bath, from) {
            return metal;
        }
        let root = self.follow(film, kinetics, bath, from, fresh);
        self.stand_at(film, kinetics, bath, root)
    }

    /// The root that the secant method goes straight to, with the slope that f had last; nothing where f does not fall
    /// there, or the root is not close.
    fn secant(&mut self, film: &Film, kinetics: &Kinetics, bath: &Conditions, from: f64) -> Option<f64> {
        const STEPS: usize = 6;
        /// As a share of the rate.
        const FAR: f64 = 0.05;
        /// Each step leaves less than this of f.
        const SHRINKS: f64 = 0.2;
        /// Differences over less than this share of the rate are too rounded for a slope.
        const ROUNDED: f64 = 1e-8;
        let (mut metal, mut slope) = (from, self.slope);
        let mut f = self.excess(film, kinetics, bath, metal);
        for _ in 0..STEPS {
            let step = -f / slope;
            if step.abs() <= NARROW * metal {
                self.slope = slope;
                self.supplied = f.abs() <= MET * metal;
                return Some(metal);
            }
            // Also of no slope yet, a NaN.
            let straight = slope < 0.0 && step.abs() <= FAR * from;
            if !straight {
                return None;
            }
            let there = self.excess(film, kinetics, bath, metal + step);
            if there.abs() > SHRINKS * f.abs() {
                return None;
            }
            if step.abs() > ROUNDED * metal {
                slope = (there - f) / step;
            }
            (metal, f) = (metal + step, there);
        }
        None
    }

    /// Brings the surface to a root and returns its rate: that side of the bracket which the film
    /// can feed.
    pub(super) fn stand_at(
        &mut self,
        film: &Film,
        kinetics: &Kinetics,
        bath: &Conditions,
        root: Bracket,
    ) -> f64 {
        let met = root.f_high.abs() <= MET * root.high && root.f_high.abs() < root.f_low.abs();
        let metal = if met { root.high } else { root.low };
        let f = self.excess(film, kinetics, bath, metal);
        self.supplied = f.abs() <= MET * metal.abs();
        metal
    }

    /// The root on the side to which the surface moves from `from`: up where the laws make more
    /// than that, down where they make less. `fresh` is the rate of the bath's own liquid.
    fn follow(
        &mut self,
        film: &Film,
        kinetics: &Kinetics,
        bath: &Conditions,
        from: f64,
        fresh: f64,
    ) -> Bracket {
        const FIRST_STEP: f64 = 1e-4;
        const GROWTH: f64 = 4.0;
        let mut near = from;
        let mut f_near = self.excess(film, kinetics, bath, near);
        let mut step = (FIRST_STEP * near).max(NARROW * fresh);
        while f_near != 0.0 {
            let far = (near + step.copysign(f_near)).max(0.0);
            let f_far = self.excess(film, kinetics, bath, far);
            if (f_far > 0.0) != (f_near > 0.0) || far == near {
                let (low, high) = if far > near { (near, far) } else { (far, near) };
                let (f_low, f_high) = if far > near { (f_near, f_far) } else { (f_far, f_near) };
                self.slope = (f_high - f_low) / (high - low);
                return self.narrow(film, kinetics, bath, Bracket { low, high, f_low, f_high });
            }
            (near, f_near, step) = (far, f_far, step * GROWTH);
        }
        Bracket { low: near, high: near, ..NOWHERE }
    }

    pub(super) fn narrow(
        &mut self,
        film: &Film,
        kinetics: &Kinetics,
        bath: &Conditions,
        bracket: Bracket,
    ) -> Bracket {
        let tolerance = NARROW * bracket.high;
        let f = |metal: f64| Ok::<f64, std::convert::Infallible>(self.excess(film, kinetics, bath, metal));
        // Two hundred halvings exhaust any bracket of doubles.
        narrow_bracket(f, bracket, tolerance, EVALUATIONS).unwrap_or(bracket)
    }
}
