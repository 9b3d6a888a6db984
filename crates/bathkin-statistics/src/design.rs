//! Which experiments to make next: those that make the parameters, or one of them, best known.
//!
//! A fit knows its parameters by the information M = JᵀJ; a row with the derivatives g of its calculated
//! value and the standard deviation σ adds g gᵀ/σ², wherever its result lies. Of the sums
//!
//! M(chosen) = JᵀJ + Σ g gᵀ/σ²
//!
//! a design takes the one with the greatest ln det M (D-optimal: the smallest joint confidence region) or the
//! smallest variance s² cᵀM⁻¹c of one combination c of the parameters. s² of the fit scales all alike and is
//! taken to stay as it is. Derivatives hold at the fitted values, so a design is as good as the fit behind
//! it: make a few experiments, fit again, choose again.
//!
//! Source: V. V. Fedorov, *Theory of Optimal Experiments*, Academic Press 1972 (criteria, exchange); A. C.
//! Atkinson and A. N. Donev, *Optimum Experimental Designs*, Oxford 1992.

mod score;

use bathkin_numerics::least_squares::Spectrum;
use serde::Serialize;

use crate::error::FitError;
use crate::fit::Fit;
use crate::parameter::{Determination, Parameter};
use crate::progress::Stopped;
use score::{Score, Target, standard_errors};

/// An experiment that could be made.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// Derivatives of what would be observed by the parameters, on the scale they are fitted on.
    pub gradient: Vec<f64>,
    /// Standard deviation of the observation, as the residuals of the fit were divided by it.
    pub sigma: f64,
    /// How often it may be made.
    pub at_most: usize,
}

/// What the experiments are for.
#[derive(Debug, Clone, PartialEq)]
pub enum Aim {
    /// All parameters together: greatest ln det M.
    Determinant,
    /// The combination of parameters with these coefficients: smallest variance.
    Combination(Vec<f64>),
}

impl Aim {
    /// One parameter of `count`.
    pub fn parameter(index: usize, count: usize) -> Self {
        Aim::Combination((0..count).map(|i| if i == index { 1.0 } else { 0.0 }).collect())
    }
}

/// An experiment that was chosen.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Choice {
    /// Its place among the candidates, from 0.
    pub candidate: usize,
    /// Combinations of parameters that it is the first to determine, 0 or 1.
    pub rank_gained: usize,
    /// Rise of ln det M, or fall of ln of the variance, after those before it. `None` where it cannot be
    /// stated: the rank rises, or the combination is not determined without it.
    pub gain: Option<f64>,
}

/// What is expected of a parameter.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Expected {
    /// Name.
    pub name: String,
    /// Standard error now; `None` where the fit has none.
    pub before: Option<f64>,
    /// Standard error with the experiments; `None` where it stays undetermined, held by a bound, or the fit
    /// has no s.
    pub after: Option<f64>,
    /// after/before.
    pub shrinkage: Option<f64>,
    /// Not determined by the fit, determined with the experiments.
    pub newly_determined: bool,
}

/// Experiments to make.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Design {
    /// The experiments, the most informative first.
    pub choices: Vec<Choice>,
    /// Every parameter, in order.
    pub parameters: Vec<Expected>,
    /// Combinations determined now.
    pub rank_before: usize,
    /// Combinations determined with the experiments.
    pub rank_after: usize,
}

/// Chooses `count` of the candidates.
///
/// Greedy, one at a time, then single swaps, the best first, until none improves. Where M is singular the
/// rank counts before the determinant, which is then that of the determined directions; for a combination,
/// how much of it is undetermined counts before its variance. Parameters on a bound count as known. Singular
/// values below the rank tolerance of the fit's solver count as zero.
///
/// # Errors
/// [`FitError`]: a gradient or combination of another length than the parameters or not finite, a sigma that
/// is not above zero, fewer experiments allowed than asked for, a combination of nothing but known
/// parameters.
///
/// ```
/// use bathkin_statistics::design::{Aim, Candidate, choose};
/// use bathkin_statistics::{FitOptions, ResidualModel, fit};
/// use bathkin_numerics::least_squares::Residuals;
/// use std::convert::Infallible;
///
/// /// y = a + b x at x = -0.5, 0, 0.5.
/// struct Line {
///     names: Vec<String>,
/// }
///
/// impl Residuals for Line {
///     type Error = Infallible;
///     fn parameters(&self) -> usize { 2 }
///     fn rows(&self) -> usize { 3 }
///     fn residuals(&self, at: &[f64], f: &mut [f64]) -> Result<(), Infallible> {
///         self.linearise(at, f, &mut [0.0; 6])
///     }
///     fn linearise(&self, at: &[f64], f: &mut [f64], j: &mut [f64]) -> Result<(), Infallible> {
///         for (row, (x, y)) in [(-0.5, 0.6), (0.0, 0.9), (0.5, 1.6)].into_iter().enumerate() {
///             f[row] = at[0] + at[1] * x - y;
///             j[2 * row..2 * row + 2].copy_from_slice(&[1.0, x]);
///         }
///         Ok(())
///     }
/// }
///
/// impl ResidualModel for Line {
///     fn names(&self) -> &[String] { &self.names }
/// }
///
/// let model = Line { names: vec!["a".to_owned(), "b".to_owned()] };
/// let found = fit(&model, &[0.0, 0.0], &FitOptions::default())?;
/// let x = [-1.0, -0.5, 0.0, 0.5, 1.0];
/// let candidates = x.map(|x| Candidate { gradient: vec![1.0, x], sigma: 1.0, at_most: 2 });
/// let design = choose(&found, &candidates, 2, &Aim::parameter(1, 2))?;
/// let mut at: Vec<f64> = design.choices.iter().map(|choice| x[choice.candidate]).collect();
/// at.sort_by(f64::total_cmp);
/// assert_eq!(at, [-1.0, 1.0]);
/// # Ok::<(), bathkin_statistics::FitError>(())
/// ```
pub fn choose(fit: &Fit, candidates: &[Candidate], count: usize, aim: &Aim) -> Result<Design, FitError> {
    choose_heeding(fit, candidates, count, aim, &|| false)
}

/// The same, until it is asked to stop.
///
/// # Errors
/// As [`choose`], and [`FitError::Stopped`].
pub fn choose_heeding(
    fit: &Fit,
    candidates: &[Candidate],
    count: usize,
    aim: &Aim,
    stopped: Stopped,
) -> Result<Design, FitError> {
    check(fit, candidates, count, aim)?;
    let target = Target::new(fit, candidates, aim, stopped)?;
    let mut chosen: Vec<usize> = Vec::with_capacity(count);
    for _ in 0..count {
        if let Some((next, _)) = best_addition(&target, candidates, &chosen, 0..candidates.len()) {
            chosen.push(next);
        }
    }
    while let Some((place, candidate)) = best_swap(&target, candidates, &chosen) {
        chosen[place] = candidate;
    }
    let choices = in_order(&target, candidates, chosen);
    if stopped() {
        return Err(FitError::Stopped);
    }
    let rows: Vec<usize> = choices.iter().map(|choice| choice.candidate).collect();
    let after = target.information(&rows);
    Ok(Design {
        parameters: expected(fit, &after),
        rank_before: target.information(&[]).rank,
        rank_after: after.rank,
        choices,
    })
}

fn best_addition(
    target: &Target,
    candidates: &[Candidate],
    chosen: &[usize],
    among: impl Iterator<Item = usize>,
) -> Option<(usize, Score)> {
    let mut best: Option<(usize, Score)> = None;
    let mut rows = chosen.to_vec();
    let left = among.filter(|candidate| is_allowed(candidates, chosen, *candidate));
    for candidate in left.take_while(|_| !(target.stopped)()) {
        rows.push(candidate);
        let score = target.score(&rows);
        rows.pop();
        if best.as_ref().is_none_or(|(_, best)| score.exceeds(best)) {
            best = Some((candidate, score));
        }
    }
    best
}

/// Whether a candidate may be made once more.
fn is_allowed(candidates: &[Candidate], chosen: &[usize], candidate: usize) -> bool {
    chosen.iter().filter(|already| **already == candidate).count() < candidates[candidate].at_most
}

/// The exchange of one chosen experiment that improves most.
fn best_swap(target: &Target, candidates: &[Candidate], chosen: &[usize]) -> Option<(usize, usize)> {
    let mut best: Option<(usize, usize)> = None;
    let mut best_score = target.score(chosen);
    for place in 0..chosen.len() {
        let mut others = chosen.to_vec();
        others.remove(place);
        let found = best_addition(target, candidates, &others, 0..candidates.len());
        if let Some((candidate, score)) = found.filter(|(_, score)| score.exceeds(&best_score)) {
            best = Some((place, candidate));
            best_score = score;
        }
    }
    best
}

/// The chosen ones, each time the most informative one after those before it.
fn in_order(target: &Target, candidates: &[Candidate], mut left: Vec<usize>) -> Vec<Choice> {
    let mut rows: Vec<usize> = Vec::new();
    let mut choices = Vec::new();
    let mut before = target.score(&rows);
    let mut rank = target.information(&rows).rank;
    while let Some((candidate, score)) = best_addition(target, candidates, &rows, left.iter().copied()) {
        rows.push(candidate);
        left.remove(left.iter().position(|one| *one == candidate).unwrap_or(0));
        let rank_now = target.information(&rows).rank;
        choices.push(Choice { candidate, rank_gained: rank_now - rank, gain: score.gain_over(&before) });
        (before, rank) = (score, rank_now);
    }
    choices
}

fn expected(fit: &Fit, after: &Spectrum) -> Vec<Expected> {
    let scale = fit.factor().map(f64::sqrt);
    let spreads = standard_errors(after, fit.parameters.len());
    let of = |(parameter, spread): (&Parameter, Option<f64>)| {
        let open = [Determination::RankDeficient, Determination::NoInfluence];
        let error = spread.zip(scale).map(|(spread, scale)| spread * scale);
        Expected {
            name: parameter.name.clone(),
            before: parameter.standard_error,
            after: error,
            shrinkage: error.zip(parameter.standard_error).map(|(after, before)| after / before),
            newly_determined: spread.is_some() && open.contains(&parameter.determination),
        }
    };
    fit.parameters.iter().zip(spreads).map(of).collect()
}

fn check(fit: &Fit, candidates: &[Candidate], count: usize, aim: &Aim) -> Result<(), FitError> {
    let parameters = fit.parameters.len();
    let length = |first: &'static str, rows: usize| {
        (rows == parameters).then_some(()).ok_or(FitError::Length {
            first,
            first_rows: rows,
            second: "parameters",
            second_rows: parameters,
        })
    };
    for (place, candidate) in candidates.iter().enumerate() {
        length("gradient", candidate.gradient.len())?;
        let value =
            |column, value, expected| Err(FitError::Value { row: place + 1, column, value, expected });
        if let Some(slope) = candidate.gradient.iter().find(|slope| !slope.is_finite()) {
            return value("gradient", *slope, "a finite number");
        }
        if !(candidate.sigma > 0.0 && candidate.sigma.is_finite()) {
            return value("sigma", candidate.sigma, "a finite number above zero");
        }
    }
    if let Aim::Combination(coefficients) = aim {
        length("combination", coefficients.len())?;
        if let Some((place, value)) = coefficients.iter().enumerate().find(|(_, value)| !value.is_finite()) {
            let (row, value) = (place + 1, *value);
            return Err(FitError::Value { row, column: "combination", value, expected: "a finite number" });
        }
    }
    let allowed = candidates.iter().fold(0_usize, |sum, one| sum.saturating_add(one.at_most));
    if allowed < count {
        let of = "experiments allowed by the candidates";
        return Err(FitError::Count { of, given: allowed, least: count, most: None });
    }
    Ok(())
}
