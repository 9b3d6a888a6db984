//! Sobol's indices: which part of the variance of an answer each uncertain number makes.
//!
//! With A and B two samples of N points each and ABᵢ the first with column i of the second, f their answers less the mean of all
//! of them, and V the variance of f(A) and f(B) together,
//!
//! first Sᵢ = (1/N) Σ f(B) (f(ABᵢ) - f(A)) / V, total Tᵢ = (1/2N) Σ (f(A) - f(ABᵢ))² / V.
//!
//! Sᵢ is the part of V that would go if number i were known, Tᵢ the part that would stay if it alone were not. Sources: A.
//! Saltelli et al., Computer Physics Communications 181 (2010) 259-270 (first); M. J. W. Jansen, ibid. 117 (1999) 35-43
//! (total). Without the centring the error of Sᵢ grows with the square of mean over spread.
//!
//! Points are those of a Sobol sequence. Its rows are not independent, so that resampling them gives no honest interval:
//! the whole is repeated with several scramblings, and the interval is that of Student's t from their scatter.

use serde::Serialize;

use crate::error::FitError;
use crate::quantiles::two_sided;
use crate::random::mixed;
use crate::sobol::Sobol;

/// The points at which an answer is to be computed, by numbers: scrambling by scrambling, of each point A, AB₁, AB₂ ..., B.
#[derive(Debug, Clone)]
pub struct SobolSample {
    dimensions: usize,
    base: u64,
    scrambles: Vec<Sobol>,
}

impl SobolSample {
    /// Of so many numbers, `base` points (a power of two), and `scrambles` scramblings of a seed.
    ///
    /// # Errors
    /// [`FitError`]: no number, or more than 256; a base that is no power of two; fewer than two scramblings.
    pub fn new(dimensions: usize, base: u64, scrambles: usize, seed: u64) -> Result<Self, FitError> {
        if !base.is_power_of_two() || !(2..=Sobol::MOST_POINTS).contains(&base) {
            let expected = "a power of two from 2 on: Sobol points are balanced in such numbers";
            return Err(FitError::Argument { name: "points of a scrambling", value: base as f64, expected });
        }
        if scrambles < 2 {
            return Err(FitError::Count { of: "scramblings", given: scrambles, least: 2, most: None });
        }
        let scramble = |number: usize| Sobol::scrambled(2 * dimensions, mixed(seed, number as u64));
        let scrambles = (0..scrambles).map(scramble).collect::<Result<_, _>>()?;
        Ok(SobolSample { dimensions, base, scrambles })
    }

    /// Answers of a point: A, B and one for each number.
    fn blocks(&self) -> u64 {
        self.dimensions as u64 + 2
    }

    /// Points of a scrambling.
    pub fn base(&self) -> u64 {
        self.base
    }

    /// How many answers it takes.
    pub fn count(&self) -> u64 {
        self.scrambles.len() as u64 * self.base * self.blocks()
    }

    /// A coordinate inside (0, 1) of a point by its number.
    ///
    /// # Panics
    /// For a number beyond the last.
    pub fn coordinate(&self, number: u64, dimension: usize) -> f64 {
        let (point, block) = (number / self.blocks(), number % self.blocks());
        let scramble = &self.scrambles[(point / self.base) as usize];
        let of_b = block == self.blocks() - 1 || block == dimension as u64 + 1;
        scramble.coordinate((point % self.base) as u32, dimension + if of_b { self.dimensions } else { 0 })
    }

    /// The indices of each number from the answers at all points, in their order.
    ///
    /// # Errors
    /// As [`estimates`], of any scrambling.
    pub fn indices(&self, answers: &[f64], level: f64) -> Result<SobolIndices, FitError> {
        let each = (self.base * self.blocks()) as usize;
        let found = answers.chunks(each).map(|part| estimates(part, self.dimensions));
        let found = found.collect::<Result<Vec<Estimates>, FitError>>()?;
        let of = |read: fn(&Estimates) -> &Vec<f64>| -> Vec<Index> {
            let number =
                |i: usize| Index::of(&found.iter().map(|one| read(one)[i]).collect::<Vec<f64>>(), level);
            (0..self.dimensions).map(number).collect()
        };
        Ok(SobolIndices {
            first: of(|one| &one.first),
            total: of(|one| &one.total),
            points: found.iter().map(|one| one.points as u64).sum(),
        })
    }
}

/// An index with its interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Index {
    /// Mean over the scramblings.
    pub value: f64,
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
}

impl Index {
    /// Mean of independent estimates, with the interval of Student's t.
    fn of(estimates: &[f64], level: f64) -> Self {
        let count = estimates.len() as f64;
        let value = estimates.iter().sum::<f64>() / count;
        let squares: f64 = estimates.iter().map(|one| (one - value).powi(2)).sum();
        let error = (squares / (count - 1.0) / count).sqrt();
        let half = error * two_sided(level, Some(estimates.len() - 1)).unwrap_or(f64::NAN);
        Index { value, low: value - half, high: value + half }
    }
}

/// Indices of every number.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SobolIndices {
    /// First-order indices.
    pub first: Vec<Index>,
    /// Total indices.
    pub total: Vec<Index>,
    /// Points of all scramblings whose answers are all there.
    pub points: u64,
}

/// Indices from one sample, without intervals.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimates {
    /// First-order indices.
    pub first: Vec<f64>,
    /// Total indices.
    pub total: Vec<f64>,
    /// Points whose answers are all there.
    pub points: usize,
}

/// The indices from answers at A, AB₁, AB₂ ..., B of one point after the other. A point that lacks an answer is left out.
///
/// # Errors
/// [`FitError`] with fewer than two points, and where all answers are equal: there is no variance to part.
pub fn estimates(answers: &[f64], dimensions: usize) -> Result<Estimates, FitError> {
    let whole = |point: &&[f64]| point.iter().all(|answer| answer.is_finite());
    let points: Vec<&[f64]> = answers.chunks_exact(dimensions + 2).filter(whole).collect();
    if points.len() < 2 {
        let (of, given) = ("points whose answers are all there", points.len());
        return Err(FitError::Count { of, given, least: 2, most: None });
    }
    let (last, count) = (dimensions + 1, points.len() as f64);
    let mean = points.iter().flat_map(|point| point.iter()).sum::<f64>() / (count * (dimensions + 2) as f64);
    let of_both = |of: &dyn Fn(f64) -> f64| {
        points.iter().map(|point| of(point[0] - mean) + of(point[last] - mean)).sum::<f64>() / (2.0 * count)
    };
    let variance = of_both(&|f| f * f) - of_both(&|f| f).powi(2);
    if variance <= (1e-14 * mean).powi(2) {
        return Err(FitError::NoScatter { method: "indices of variance" });
    }
    let mean_of =
        |of: &dyn Fn(&[f64]) -> f64| points.iter().map(|point| of(point)).sum::<f64>() / count / variance;
    Ok(Estimates {
        first: (1..last).map(|i| mean_of(&|f| (f[last] - mean) * (f[i] - f[0]))).collect(),
        total: (1..last).map(|i| mean_of(&|f| 0.5 * (f[0] - f[i]).powi(2))).collect(),
        points: points.len(),
    })
}
