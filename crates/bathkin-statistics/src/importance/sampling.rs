//! Draws from a density, by rounds: a few points judge the proposal and mend it, many points are the answer.

use nalgebra::DMatrix;
use rayon::prelude::*;

use crate::error::FitError;
use crate::importance::pareto::{effective, largest_trusted, smoothed};
use crate::importance::proposal::Proposal;
use crate::progress::{Counter, Done, Stopped};
use crate::random::Stream;

/// Rounds in which the proposal is mended.
const ROUNDS: usize = 6;
/// Points of such a round for each number, and their least.
const PER_NUMBER: usize = 100;
const FEWEST: usize = 400;
/// How often more points are drawn where they are worth less than was asked for, and how many more at once.
const TOPPED_UP: usize = 4;
const MORE: f64 = 1.05;

/// How many draws, and from which seed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SamplingOptions {
    /// Independent draws that the answer is to be worth.
    pub effective: usize,
    /// The most points that are drawn for it.
    pub most: usize,
    /// Seed; the answer is the same for any number of threads.
    pub seed: u64,
}

/// Weighted draws.
#[derive(Debug, Clone, PartialEq)]
pub struct Sampled {
    /// Points.
    pub points: Vec<Vec<f64>>,
    /// Logarithm of the density at each, as it was given.
    pub ln_densities: Vec<f64>,
    /// Weights; they add up to one.
    pub weights: Vec<f64>,
    /// Shape of the tail of the ratios.
    pub k: f64,
    /// The largest shape that may be trusted with so many points.
    pub largest_trusted_k: f64,
    /// How many independent draws they are worth.
    pub effective: f64,
    /// How often the proposal was mended.
    pub mended: usize,
    /// Values of the density that all this took.
    pub evaluations: usize,
}

impl Sampled {
    /// Whether means over the weights converge.
    pub fn is_trusted(&self) -> bool {
        self.k <= self.largest_trusted_k
    }
}

/// Draws from a density that is known to a factor by its logarithm, negative infinity where it is zero.
///
/// # Errors
/// [`FitError::Count`] where fewer points than there are numbers hit the density; [`FitError::Stopped`].
///
/// ```
/// use bathkin_statistics::importance::{Proposal, SamplingOptions, marginal, sample};
/// use nalgebra::DMatrix;
///
/// // A normal distribution of mean 3 and standard deviation 2, looked for about 2.5.
/// let density = |at: &[f64]| -0.5 * ((at[0] - 3.0) / 2.0_f64).powi(2);
/// let start = Proposal::new(vec![2.5], DMatrix::from_element(1, 1, 4.0), 7).expect("a covariance");
/// let options = SamplingOptions { effective: 4000, most: 100_000, seed: 1 };
/// let found = sample(&density, start, &options, &|| false, &|_| {})?;
/// assert!(found.is_trusted() && found.effective > 3500.0);
/// let values: Vec<f64> = found.points.iter().map(|point| point[0]).collect();
/// let number = marginal("mean", &values, &found.weights);
/// assert!((number.mean - 3.0).abs() < 0.15 && (number.standard_deviation - 2.0).abs() < 0.15);
/// # Ok::<(), bathkin_statistics::FitError>(())
/// ```
pub fn sample(
    ln_density: &(dyn Fn(&[f64]) -> f64 + Sync),
    start: Proposal,
    options: &SamplingOptions,
    stopped: Stopped,
    done: Done,
) -> Result<Sampled, FitError> {
    let counter = Counter::new(done);
    let few = FEWEST.max(PER_NUMBER * start.numbers()).min(options.most);
    let draw = |proposal: &Proposal, round: usize, count: usize| -> Result<Vec<Drawn>, FitError> {
        let one = |place: usize| {
            if stopped() {
                return Err(FitError::Stopped);
            }
            let stream = ((round as u64) << 40) + place as u64;
            let (point, ln_proposal) = proposal.draw(&mut Stream::new(options.seed, stream));
            let value = ln_density(&point);
            counter.one_more();
            Ok(Drawn { point, ln_density: value, ln_ratio: value - ln_proposal })
        };
        (0..count).into_par_iter().map(one).collect::<Vec<_>>().into_iter().collect()
    };
    let (mut proposal, mut evaluations) = (start, 0);
    let mut best: Option<(Sampled, Proposal)> = None;
    for round in 0..ROUNDS {
        let found = weighed(&draw(&proposal, round, few)?)?;
        evaluations += few;
        let mended = mended(&found, &proposal);
        let trusted = found.is_trusted();
        if best.as_ref().is_none_or(|(known, _)| found.k < known.k) {
            best = Some((Sampled { mended: round, ..found }, proposal));
        }
        match mended {
            Some(next) if !trusted => proposal = next,
            _ => break,
        }
    }
    let Some((judged, proposal)) = best else { return Err(none(0, 1)) };
    let (mut drawn, mut found) = (Vec::new(), judged.clone());
    for round in ROUNDS..ROUNDS + TOPPED_UP {
        // What so few points are worth is known to some per cent.
        let part = found.effective / found.points.len() as f64;
        let wanted = (MORE * options.effective as f64 / part).ceil() as usize;
        let count = wanted.max(few).min(options.most).saturating_sub(drawn.len());
        if count == 0 {
            break;
        }
        drawn.extend(draw(&proposal, round, count)?);
        found = weighed(&drawn)?;
        if found.effective >= options.effective as f64 {
            break;
        }
    }
    Ok(Sampled { mended: judged.mended, evaluations: evaluations + drawn.len(), ..found })
}

/// A point that was drawn, with the logarithms of the density there and of its ratio to that of the proposal.
struct Drawn {
    point: Vec<f64>,
    ln_density: f64,
    ln_ratio: f64,
}

fn none(given: usize, least: usize) -> FitError {
    FitError::Count { of: "draws where the posterior is above zero", given, least, most: None }
}

fn weighed(drawn: &[Drawn]) -> Result<Sampled, FitError> {
    let ratio = |one: &Drawn| if one.ln_ratio.is_nan() { f64::NEG_INFINITY } else { one.ln_ratio };
    let ratios: Vec<f64> = drawn.iter().map(ratio).collect();
    let numbers = drawn.first().map_or(0, |one| one.point.len());
    let hits = ratios.iter().filter(|ratio| ratio.is_finite()).count();
    let found = smoothed(&ratios).filter(|_| hits > numbers).ok_or_else(|| none(hits, numbers + 1))?;
    let largest_trusted_k = largest_trusted(drawn.len());
    Ok(Sampled {
        points: drawn.iter().map(|one| one.point.clone()).collect(),
        ln_densities: drawn.iter().map(|one| one.ln_density).collect(),
        k: found.k,
        largest_trusted_k,
        effective: effective(&found.weights),
        weights: found.weights,
        mended: 0,
        evaluations: 0,
    })
}

/// A proposal with the mean and covariance of what was drawn. Where few points carry nearly all of the weight the weights
/// are evened out first, by halving their logarithms until enough points count.
fn mended(found: &Sampled, from: &Proposal) -> Option<Proposal> {
    const ENOUGH_PER_NUMBER: f64 = 8.0;
    const HALVINGS: usize = 12;
    let numbers = from.numbers();
    let mut weights = found.weights.clone();
    for _ in 0..HALVINGS {
        if effective(&weights) >= ENOUGH_PER_NUMBER * numbers as f64 {
            break;
        }
        weights.iter_mut().for_each(|weight| *weight = weight.sqrt());
        let sum: f64 = weights.iter().sum();
        weights.iter_mut().for_each(|weight| *weight /= sum);
    }
    let mean: Vec<f64> = (0..numbers)
        .map(|at| found.points.iter().zip(&weights).map(|(point, weight)| weight * point[at]).sum())
        .collect();
    let scatter = DMatrix::from_fn(numbers, numbers, |a, b| {
        let both = |(point, weight): (&Vec<f64>, &f64)| weight * (point[a] - mean[a]) * (point[b] - mean[b]);
        found.points.iter().zip(&weights).map(both).sum()
    });
    Proposal::new(mean, scatter, from.freedom())
}
