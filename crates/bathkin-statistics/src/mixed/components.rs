//! Standard deviations between groups and within them.

use std::convert::Infallible;

use bathkin_numerics::bracketed_root;

use crate::mixed::fit::Mixed;
use crate::mixed::search::{Search, geometric};
use crate::options::Scale;
use crate::quantiles::two_sided;

/// How far groups of a label are off each other, or rows of one group.
#[derive(Debug, Clone, PartialEq)]
pub struct VarianceComponent {
    /// The label; `None` for the scatter within the finest groups.
    pub label: Option<String>,
    /// Groups, or rows.
    pub count: usize,
    /// √τ in the unit of the effects; within, s in sigmas.
    pub standard_deviation: f64,
    /// Where the profile of the likelihood is within the quantile of χ² of one degree of freedom, the other variances at
    /// their best; from zero where that holds zero, `None` where there is no upper end.
    pub interval: Option<[f64; 2]>,
}

/// A variance that is held while the others are at their best.
#[derive(Clone, Copy)]
enum Held {
    Within,
    Level(usize),
}

impl Mixed {
    /// The standard deviations of each level, the coarser first, and within; without the last where sigmas are absolute.
    pub fn components(&self, level: f64) -> Vec<VarianceComponent> {
        let of = |(place, of): (usize, &crate::mixed::grouping::Level)| {
            let held = Held::Level(place);
            let standard_deviation = self.between(place).sqrt();
            VarianceComponent {
                label: Some(of.label.clone()),
                count: of.groups.len(),
                standard_deviation,
                interval: self.interval_of(held, standard_deviation, level),
            }
        };
        let mut found: Vec<VarianceComponent> = self.grouping().levels().iter().enumerate().map(of).collect();
        if self.scale() == Scale::Estimated {
            let standard_deviation = self.within().sqrt();
            found.push(VarianceComponent {
                label: None,
                count: self.linear.rows(),
                standard_deviation,
                interval: self.interval_of(Held::Within, standard_deviation, level),
            });
        }
        found
    }

    fn interval_of(&self, held: Held, estimate: f64, level: f64) -> Option<[f64; 2]> {
        // Doublings.
        const FARTHEST: usize = 40;
        const EVALUATIONS: usize = 60;
        const TOLERANCE: f64 = 1e-5;
        let cut = two_sided(level, None)?.powi(2);
        let best = self.deviance_with(held, estimate * estimate);
        let excess = |deviation: f64| self.deviance_with(held, deviation * deviation) - best - cut;
        let root = |low: f64, high: f64| {
            bracketed_root(|x| Ok::<_, Infallible>(excess(x)), low, high, TOLERANCE * high, EVALUATIONS).ok()
        };
        let usual = match held {
            Held::Within => estimate,
            Held::Level(_) => (self.within() * self.linear.usual_ratio()).sqrt(),
        };
        let mut above = estimate.max(0.1 * usual);
        let mut inside = estimate;
        let mut tries = 0;
        while excess(above) <= 0.0 {
            tries += 1;
            if tries > FARTHEST {
                return None;
            }
            inside = above;
            above *= 2.0;
        }
        let upper = root(inside, above)?;
        let lower = match held {
            Held::Level(_) if estimate == 0.0 || excess(0.0) <= 0.0 => 0.0,
            Held::Level(_) => root(0.0, estimate)?,
            Held::Within => {
                let mut below = 0.5 * estimate;
                while excess(below) <= 0.0 {
                    below *= 0.5;
                    if below < 1e-9 * estimate {
                        return None;
                    }
                }
                root(below, estimate)?
            }
        };
        Some([lower, upper])
    }

    /// -2 ln L with a variance held, the others at their best.
    fn deviance_with(&self, held: Held, variance: f64) -> f64 {
        const POINTS: usize = 12;
        const TOLERANCE: f64 = 1e-5;
        let (linear, which) = (&self.linear, self.likelihood());
        let levels = linear.grouping.levels().len();
        let grid = linear.ratio_grid(POINTS);
        let search = |grids: Vec<Vec<f64>>| Search { grids, tolerance: TOLERANCE };
        match (held, self.scale()) {
            (Held::Within, _) => {
                let at = |ratios: &[f64]| linear.deviance(variance, ratios, which);
                search(vec![grid; levels]).least(&at).1
            }
            (Held::Level(level), Scale::Known) => {
                let at = |others: &[f64]| {
                    let mut ratios = others.to_vec();
                    ratios.insert(level, variance);
                    linear.deviance(1.0, &ratios, which)
                };
                search(vec![grid; levels - 1]).least(&at).1
            }
            (Held::Level(level), Scale::Estimated) => {
                // Where groups do not differ all scatter is that of rows.
                let plain = linear.solve(&vec![0.0; levels]);
                let most = plain.map_or(self.within(), |at| linear.within(&at, which, Scale::Estimated));
                let within = geometric(0.05 * self.within(), 4.0 * most.max(self.within()), POINTS);
                let at = |others: &[f64]| {
                    let mut ratios = others[1..].to_vec();
                    ratios.insert(level, variance / others[0]);
                    linear.deviance(others[0], &ratios, which)
                };
                let grids = [vec![within], vec![grid; levels - 1]].concat();
                search(grids).least(&at).1
            }
        }
    }
}
