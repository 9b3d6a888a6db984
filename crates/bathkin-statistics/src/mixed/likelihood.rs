//! The marginal likelihood and the restricted one, and the variances at which they are greatest.

use std::f64::consts::PI;

use crate::mixed::linear::Linear;
use crate::mixed::search::{Search, geometric};
use crate::mixed::solved::Solved;
use crate::options::Scale;

/// Which likelihood.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Likelihood {
    /// Of the residuals: compares models with different free numbers, and has too small variances from few groups.
    Marginal,
    /// Of what the estimates leave of the residuals (REML): variances that allow for the numbers that were fitted.
    #[default]
    Restricted,
}

/// Variances, and -2 ln L there.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Variances {
    /// s²; one for absolute sigmas.
    pub within: f64,
    /// θ, by level.
    pub ratios: Vec<f64>,
    pub deviance: f64,
}

/// Ratios of standard deviations, between to within: the least that is told from zero, and the greatest looked at.
const RATIOS: [f64; 2] = [0.03, 1e5];

impl Linear {
    /// m: how many values a likelihood is of.
    fn counted(&self, which: Likelihood) -> f64 {
        match which {
            Likelihood::Marginal => self.rows() as f64,
            Likelihood::Restricted => (self.rows() - self.rank()) as f64,
        }
    }

    /// The s² that goes with ratios.
    pub fn within(&self, at: &Solved, which: Likelihood, scale: Scale) -> f64 {
        match scale {
            Scale::Known => 1.0,
            Scale::Estimated => at.sum_of_squares / self.counted(which),
        }
    }

    /// -2 ln L at s² and ratios; infinite where rounding leaves no estimates.
    pub fn deviance(&self, within: f64, ratios: &[f64], which: Likelihood) -> f64 {
        self.solve(ratios).map_or(f64::INFINITY, |at| self.deviance_of(&at, within, which))
    }

    pub fn deviance_of(&self, at: &Solved, within: f64, which: Likelihood) -> f64 {
        let of_rows = self.counted(which) * (2.0 * PI * within).ln() + at.sum_of_squares / within;
        let of_estimates = match which {
            Likelihood::Marginal => 0.0,
            Likelihood::Restricted => at.ln_information + self.ln_scale,
        };
        of_rows + at.ln_variance + of_estimates
    }

    /// Ratios to begin with, zero among them.
    pub fn ratio_grid(&self, points: usize) -> Vec<f64> {
        let [low, high] = RATIOS.map(|ratio| ratio * ratio * self.usual_ratio());
        [vec![0.0], geometric(low, high, points)].concat()
    }

    /// The variances at which the likelihood is greatest.
    pub fn greatest(&self, which: Likelihood, scale: Scale) -> Variances {
        const POINTS: usize = 24;
        const TOLERANCE: f64 = 1e-9;
        let levels = self.grouping.levels().len();
        let search = Search { grids: vec![self.ratio_grid(POINTS); levels], tolerance: TOLERANCE };
        let profiled = |ratios: &[f64]| {
            let of = |at: Solved| self.deviance_of(&at, self.within(&at, which, scale), which);
            self.solve(ratios).map_or(f64::INFINITY, of)
        };
        let (ratios, deviance) = search.least(&profiled);
        let within = self.solve(&ratios).map_or(f64::NAN, |at| self.within(&at, which, scale));
        Variances { within, ratios, deviance }
    }
}
