//! Morris's screening: which of many numbers matter, from few answers.
//!
//! A trajectory begins at a random point of a grid of L levels, and moves one number after the other, in random order, by half of
//! its range Δ = 1/2, up or down. Each move gives an elementary effect
//!
//! d = (f(x + Δ eᵢ) - f(x))/Δ,
//!
//! in units of the answer over the whole range of the number. Over the trajectories μ is their mean, μ* that of their sizes, and
//! σ their standard deviation: large where a number acts not in a straight line, or with others. Levels lie in the
//! middles of L equal parts of (0, 1), so that a distribution without ends has a value at each.
//!
//! Sources: M. D. Morris, Technometrics 33 (1991) 161-174; F. Campolongo, J. Cariboni and A. Saltelli, Environmental
//! Modelling & Software 22 (2007) 1509-1518 (μ*).

use serde::Serialize;

use crate::error::FitError;
use crate::random::Stream;

/// The points at which an answer is to be computed, by numbers: trajectory by trajectory, of each its start and the point after
/// each move.
#[derive(Debug, Clone)]
pub struct MorrisSample {
    dimensions: usize,
    levels: usize,
    trajectories: u64,
    seed: u64,
}

/// A trajectory: where it begins, and the order of its moves.
struct Trajectory {
    start: Vec<f64>,
    order: Vec<usize>,
}

const HALF: f64 = 0.5;

impl MorrisSample {
    /// Of so many numbers, levels (an even number) and trajectories, from a seed.
    ///
    /// # Errors
    /// [`FitError`]: no number, levels that are odd or fewer than two, fewer than two trajectories.
    pub fn new(dimensions: usize, levels: usize, trajectories: u64, seed: u64) -> Result<Self, FitError> {
        let count = |of, given, least| Err(FitError::Count { of, given, least, most: None });
        if dimensions == 0 {
            return count("numbers to screen", 0, 1);
        }
        if levels < 2 || levels % 2 == 1 {
            let expected = "an even number from 2 on, so that half a range is a whole number of levels";
            return Err(FitError::Argument { name: "levels", value: levels as f64, expected });
        }
        if trajectories < 2 {
            return count("trajectories", trajectories as usize, 2);
        }
        Ok(MorrisSample { dimensions, levels, trajectories, seed })
    }

    /// Answers of a trajectory.
    fn steps(&self) -> u64 {
        self.dimensions as u64 + 1
    }

    /// Levels of each number.
    pub fn levels(&self) -> usize {
        self.levels
    }

    /// How many answers it takes.
    pub fn count(&self) -> u64 {
        self.trajectories * self.steps()
    }

    fn trajectory(&self, number: u64) -> Trajectory {
        let mut random = Stream::new(self.seed, number);
        let level = |level: usize| (level as f64 + 0.5) / self.levels as f64;
        let start = (0..self.dimensions).map(|_| level(random.below(self.levels))).collect();
        Trajectory { start, order: random.permutation(self.dimensions) }
    }

    /// The coordinates inside (0, 1) of a point by its number.
    pub fn point(&self, number: u64) -> Vec<f64> {
        let Trajectory { start: mut point, order } = self.trajectory(number / self.steps());
        for moved in order.iter().take((number % self.steps()) as usize) {
            point[*moved] = shifted(point[*moved]);
        }
        point
    }

    /// The effects of each number from the answers at all points, in their order. An effect that lacks an answer is left
    /// out.
    ///
    /// # Errors
    /// [`FitError::Count`] for a number with fewer than two effects.
    pub fn effects(&self, answers: &[f64]) -> Result<Vec<Effects>, FitError> {
        let mut of = vec![Vec::new(); self.dimensions];
        for (number, answers) in answers.chunks_exact(self.steps() as usize).enumerate() {
            let Trajectory { start, order } = self.trajectory(number as u64);
            for (step, moved) in order.into_iter().enumerate() {
                let by = shifted(start[moved]) - start[moved];
                let effect = (answers[step + 1] - answers[step]) / by;
                if effect.is_finite() {
                    of[moved].push(effect);
                }
            }
        }
        of.iter().map(|effects| Effects::of(effects)).collect()
    }
}

/// Half a range up from the lower half, down from the upper one.
fn shifted(value: f64) -> f64 {
    if value < HALF { value + HALF } else { value - HALF }
}

/// Elementary effects of a number.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Effects {
    /// μ: their mean.
    pub mean: f64,
    /// μ*: the mean of their sizes.
    pub mean_size: f64,
    /// σ: their standard deviation.
    pub standard_deviation: f64,
    /// How many there are.
    pub count: usize,
}

impl Effects {
    fn of(effects: &[f64]) -> Result<Self, FitError> {
        let (given, count) = (effects.len(), effects.len() as f64);
        if given < 2 {
            return Err(FitError::Count { of: "effects of a number", given, least: 2, most: None });
        }
        let mean = effects.iter().sum::<f64>() / count;
        let squares: f64 = effects.iter().map(|effect| (effect - mean).powi(2)).sum();
        Ok(Effects {
            mean,
            mean_size: effects.iter().map(|effect| effect.abs()).sum::<f64>() / count,
            standard_deviation: (squares / (count - 1.0)).sqrt(),
            count: given,
        })
    }
}
