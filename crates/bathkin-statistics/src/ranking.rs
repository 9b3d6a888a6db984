//! Several models of the same rows side by side.
//!
//! Of fits with the criteria A (AICc), Δ = A - min A, and the weight of a model is exp(-Δ/2) over the sum of
//! these: the probability, given that one of them is the best, that it is this one. Source: K. P. Burnham
//! and D. R. Anderson, *Model Selection and Multimodel Inference*, 2nd ed., Springer 2002, section 2.6,
//! where Δ below 2 is substantial support and beyond 10 essentially none. It ranks what is offered, and knows
//! nothing of a model that is missing: look at the residuals of the best too.

use bathkin_numerics::least_squares::Loss;
use schemars::JsonSchema;
use serde::Serialize;

use crate::criteria::criteria;
use crate::error::FitError;
use crate::fit::Fit;

/// Δ within which models cannot be told apart.
pub const TOLD_APART: f64 = 2.0;

/// Δ beyond which a model has essentially no support.
pub const NO_SUPPORT: f64 = 10.0;

/// A fit that is to be ranked.
#[derive(Debug, Clone, Copy)]
pub struct Candidate<'a> {
    /// What the model is called.
    pub name: &'a str,
    /// Its fit.
    pub fit: &'a Fit,
    /// Observation and sigma of every row, in order, by which rows are known to be the same.
    pub rows: &'a [(f64, f64)],
    /// Root mean square of its prediction residuals, where they were computed:
    /// [`cross_validation`](crate::cross_validation).
    pub cross_validation_rms: Option<f64>,
}

/// What is said of a model.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Support {
    /// The smallest AICc, and no other within 2.
    Best,
    /// Within 2 of the smallest AICc, as is another: the rows do not decide between them.
    CannotBeToldApart,
    /// Less support: Δ from 2 to 10.
    Less,
    /// Essentially none: Δ above 10.
    None,
    /// No AICc: too few rows for its parameters, or rows met exactly.
    NotRanked,
}

impl Support {
    /// A code for programs.
    pub fn code(self) -> &'static str {
        match self {
            Support::Best => "best",
            Support::CannotBeToldApart => "cannot_be_told_apart",
            Support::Less => "less",
            Support::None => "none",
            Support::NotRanked => "not_ranked",
        }
    }
}

/// A line of the table.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct RankedModel {
    /// What the model is called.
    pub name: String,
    /// k: determined combinations of its parameters, and one for an estimated scale.
    pub counted: usize,
    /// χ²: its sum of squares.
    pub chi_squared: f64,
    /// AICc.
    pub aicc: Option<f64>,
    /// Δ.
    pub delta: Option<f64>,
    /// Weight.
    pub weight: Option<f64>,
    /// Root mean square of its prediction residuals.
    pub cross_validation_rms: Option<f64>,
    /// What that comes to.
    pub support: Support,
}

/// Ranks fits of the same rows, the smallest AICc first and those without one last.
///
/// # Errors
/// [`FitError`]: no fits; fits of different rows (number, observation or sigma), of different scales, or
/// with a robust loss, whose criteria cannot be compared.
pub fn rank(candidates: &[Candidate<'_>]) -> Result<Vec<RankedModel>, FitError> {
    let Some(first) = candidates.first() else {
        return Err(FitError::Count { of: "fits to rank", given: 0, least: 1, most: None });
    };
    candidates.iter().try_for_each(|candidate| comparable(first, candidate))?;
    let found: Vec<_> = candidates.iter().map(|candidate| (candidate, criteria(candidate.fit))).collect();
    let least = found.iter().filter_map(|(_, of)| of.aicc).fold(f64::INFINITY, f64::min);
    let deltas = || found.iter().filter_map(|(_, of)| of.aicc.map(|aicc| aicc - least));
    let total: f64 = deltas().map(|delta| (-0.5 * delta).exp()).sum();
    let close = deltas().filter(|delta| *delta < TOLD_APART).count();
    let line = |(candidate, of): &(&Candidate<'_>, crate::criteria::Criteria)| {
        let delta = of.aicc.map(|aicc| aicc - least);
        RankedModel {
            name: candidate.name.to_owned(),
            counted: of.counted,
            chi_squared: candidate.fit.sum_of_squares(),
            aicc: of.aicc,
            delta,
            weight: delta.map(|delta| (-0.5 * delta).exp() / total),
            cross_validation_rms: candidate.cross_validation_rms,
            support: match delta {
                None => Support::NotRanked,
                Some(delta) if delta < TOLD_APART && close > 1 => Support::CannotBeToldApart,
                Some(delta) if delta < TOLD_APART => Support::Best,
                Some(delta) if delta <= NO_SUPPORT => Support::Less,
                Some(_) => Support::None,
            },
        }
    };
    let mut lines: Vec<RankedModel> = found.iter().map(line).collect();
    let key = |line: &RankedModel| line.aicc.unwrap_or(f64::INFINITY);
    lines.sort_by(|a, b| key(a).total_cmp(&key(b)));
    Ok(lines)
}

fn comparable(first: &Candidate<'_>, other: &Candidate<'_>) -> Result<(), FitError> {
    let names = || (first.name.to_owned(), other.name.to_owned());
    let rows = other.fit.minimum.residuals.len();
    if other.rows.len() != rows {
        let (first_rows, second_rows) = (other.rows.len(), rows);
        return Err(FitError::Length { first: "rows", first_rows, second: "residuals", second_rows });
    }
    if first.rows.len() != rows {
        let (first_rows, (first, other)) = (first.rows.len(), names());
        return Err(FitError::OtherRows { first, first_rows, other, other_rows: rows });
    }
    if let Some(row) = (0..rows).find(|row| first.rows[*row] != other.rows[*row]) {
        let (of_first, of_other) = (first.rows[row], other.rows[row]);
        let (first, other) = names();
        return Err(FitError::OtherRow { row: row + 1, first, of_first, other, of_other });
    }
    let (scale, of_other) = (first.fit.options.scale, other.fit.options.scale);
    if scale != of_other {
        let (first, other) = names();
        return Err(FitError::OtherScale { first, scale, other, of_other });
    }
    if other.fit.options.solver.loss != Loss::Linear {
        return Err(FitError::RobustLoss { method: "an information criterion" });
    }
    Ok(())
}
