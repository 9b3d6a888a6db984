//! How large the errors of observations are: a part that is the same everywhere, and one in proportion.
//!
//! Of a group of observations (a column of a table) that scatter about their calculated values y with
//!
//! σ² = a² + (b y)²,
//!
//! a in the unit of y and b without one are those of greatest likelihood,
//!
//! ln L = -½ Σ [ln(2π σ²) + (observed - y)²/σ²],
//!
//! among all a, b ≥ 0, with the bounds a = 0 and b = 0. With w = a²/(a² + b²Y²), Y² the mean of y², σ² is c
//! (w + (1-w) y²/Y²), the best c is a mean, and what is left is a search over w alone, which cannot miss the
//! maximum for want of a start. Residuals of a fit with p parameters are smaller than errors: a and b are
//! multiplied by √(n/(n - p)), n rows of all groups together. That is exact in the mean for one sigma and a
//! linear model. Method: R. J. Carroll and D. Ruppert, *Transformation and Weighting in Regression*, Chapman
//! & Hall 1988, chapter 3. Assumes normal, independent errors. A fit with these sigmas changes y a little;
//! repeat it.

use serde::Serialize;
use std::f64::consts::PI;

use crate::criteria::corrected;
use crate::error::FitError;
use crate::ranking::TOLD_APART;

/// One error model at its best.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ErrorModel {
    /// a, in the unit of the observations.
    pub absolute: f64,
    /// b.
    pub relative: f64,
    /// ln L, before the correction for degrees of freedom.
    pub ln_likelihood: f64,
    /// AICc, 2 parameters for the mixed model and 1 for a pure one; `None` with too few rows.
    pub aicc: Option<f64>,
}

/// The errors of one group.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GroupErrors {
    /// Label of the group.
    pub group: usize,
    /// Its rows.
    pub rows: usize,
    /// Both parts.
    pub mixed: ErrorModel,
    /// Standard errors of a and b from the information matrix, none where one of them is at zero.
    pub standard_errors: Option<[f64; 2]>,
    /// b = 0.
    pub pure_absolute: ErrorModel,
    /// a = 0; `None` where a calculated value is zero.
    pub pure_relative: Option<ErrorModel>,
    /// The absolute part alone does as well: its AICc is within 2 of the smallest.
    pub absolute_will_do: bool,
    /// The relative part alone does as well.
    pub relative_will_do: bool,
}

/// Estimates the errors of every group of rows, groups in the order of their labels.
///
/// `parameters` is p, the determined combinations of the fit that the calculated values come from, 0 where
/// they are not fitted.
///
/// # Errors
/// [`FitError`]: columns of different lengths, values that are not finite, no more rows than parameters, a
/// group with fewer than three rows or one that is met exactly.
///
/// ```
/// use bathkin_statistics::variance::estimate_errors;
///
/// // Ten per cent of anything.
/// let calculated = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0];
/// let observed = [1.1, 1.8, 5.5, 9.0, 22.0, 45.0, 110.0, 180.0];
/// let found = estimate_errors(&observed, &calculated, &[0; 8], 0)?;
/// assert!((found[0].mixed.relative - 0.1).abs() < 1e-3);
/// assert!(found[0].relative_will_do && !found[0].absolute_will_do);
/// # Ok::<(), bathkin_statistics::FitError>(())
/// ```
pub fn estimate_errors(
    observed: &[f64],
    calculated: &[f64],
    groups: &[usize],
    parameters: usize,
) -> Result<Vec<GroupErrors>, FitError> {
    check(observed, calculated, groups, parameters)?;
    let rows = observed.len() as f64;
    let widen = (rows / (rows - parameters as f64)).sqrt();
    let mut by_group = std::collections::BTreeMap::<usize, Vec<Row>>::new();
    for ((observed, calculated), group) in observed.iter().zip(calculated).zip(groups) {
        let row =
            Row { squared_residual: (observed - calculated).powi(2), squared_value: calculated.powi(2) };
        by_group.entry(*group).or_default().push(row);
    }
    by_group.into_iter().map(|(group, rows)| of_group(group, &rows, widen)).collect()
}

struct Row {
    squared_residual: f64,
    squared_value: f64,
}

fn of_group(group: usize, rows: &[Row], widen: f64) -> Result<GroupErrors, FitError> {
    let undetermined = |text: &str| Err(FitError::Undetermined(format!("group {group}: {text}")));
    if rows.len() < 3 {
        return undetermined("fewer than three rows do not tell the size of their errors");
    }
    let met = |row: &&Row| row.squared_residual == 0.0;
    if rows.iter().all(|row| met(&row)) {
        return undetermined("every row is met exactly: there is no error to see");
    }
    let mut zeros = rows.iter().filter(|row| row.squared_value == 0.0).peekable();
    if zeros.peek().is_some() && zeros.all(|row| met(&row)) {
        return undetermined(
            "rows with a calculated value of zero are met exactly, as if a were zero: leave them out",
        );
    }
    let mean_square = rows.iter().map(|row| row.squared_value).sum::<f64>() / rows.len() as f64;
    let profile = Profile { rows, mean_square };
    let absolute = profile.model(1.0, 1, widen);
    let all_above_zero = rows.iter().all(|row| row.squared_value > 0.0);
    let relative = all_above_zero.then(|| profile.model(0.0, 1, widen));
    let share = profile.best_share(all_above_zero);
    let mixed = profile.model(share, 2, widen);
    let criteria = [Some(&mixed), Some(&absolute), relative.as_ref()];
    let least = criteria.iter().flatten().filter_map(|model| model.aicc).fold(f64::INFINITY, f64::min);
    let will_do = |model: &ErrorModel| model.aicc.is_some_and(|aicc| aicc - least < TOLD_APART);
    Ok(GroupErrors {
        group,
        rows: rows.len(),
        standard_errors: profile.standard_errors(&mixed),
        absolute_will_do: will_do(&absolute),
        relative_will_do: relative.as_ref().is_some_and(will_do),
        mixed,
        pure_absolute: absolute,
        pure_relative: relative,
    })
}

/// The likelihood with c at its best, over w.
struct Profile<'a> {
    rows: &'a [Row],
    mean_square: f64,
}

impl Profile<'_> {
    /// σ²/c of a row.
    fn shape(&self, share: f64, row: &Row) -> f64 {
        // A group of zeros has no relative part.
        let relative = if self.mean_square > 0.0 { row.squared_value / self.mean_square } else { 0.0 };
        share + (1.0 - share) * relative
    }

    /// c.
    fn variance(&self, share: f64) -> f64 {
        let sum: f64 = self.rows.iter().map(|row| row.squared_residual / self.shape(share, row)).sum();
        sum / self.rows.len() as f64
    }

    fn ln_likelihood(&self, share: f64) -> f64 {
        let variance = self.variance(share);
        let term = |row: &Row| (2.0 * PI * variance * self.shape(share, row)).ln() + 1.0;
        -0.5 * self.rows.iter().map(term).sum::<f64>()
    }

    fn model(&self, share: f64, counted: usize, widen: f64) -> ErrorModel {
        let variance = self.variance(share);
        let ln_likelihood = self.ln_likelihood(share);
        let relative = if share < 1.0 { ((1.0 - share) * variance / self.mean_square).sqrt() } else { 0.0 };
        ErrorModel {
            absolute: widen * (share * variance).sqrt(),
            relative: widen * relative,
            ln_likelihood,
            aicc: corrected(-2.0 * ln_likelihood, counted, self.rows.len()),
        }
    }

    /// The best w: a walk over its logit, golden sections about the best step, and the bounds.
    fn best_share(&self, all_above_zero: bool) -> f64 {
        const REACH: i32 = 60;
        const STEP: f64 = 0.5;
        // Likelihoods closer than this are alike, and the simpler model stands.
        const ALIKE: f64 = 1e-9;
        if self.mean_square == 0.0 {
            return 1.0;
        }
        let share = |logit: f64| 1.0 / (1.0 + (-logit).exp());
        let worth = |logit: f64| self.ln_likelihood(share(logit));
        let steps = (-REACH..=REACH).map(|step| STEP * f64::from(step));
        let best = steps.max_by(|a, b| worth(*a).total_cmp(&worth(*b))).unwrap_or(0.0);
        let golden = 0.5 * (5_f64.sqrt() - 1.0);
        let (mut low, mut high) = (best - STEP, best + STEP);
        while high - low > 1e-8 {
            let (left, right) = (high - golden * (high - low), low + golden * (high - low));
            if worth(left) >= worth(right) { high = right } else { low = left }
        }
        let inner = share(0.5 * (low + high));
        let bounds: &[f64] = if all_above_zero { &[0.0, 1.0] } else { &[1.0] };
        let mut best = (inner, self.ln_likelihood(inner));
        for bound in bounds {
            let worth = self.ln_likelihood(*bound);
            if worth > best.1 - ALIKE {
                best = (*bound, worth);
            }
        }
        best.0
    }

    /// From the expected information of (a², b²), I = ½ Σ (1, y²)ᵀ(1, y²)/σ⁴, by the delta method.
    fn standard_errors(&self, mixed: &ErrorModel) -> Option<[f64; 2]> {
        let [a, b] = [mixed.absolute, mixed.relative];
        if a == 0.0 || b == 0.0 {
            return None;
        }
        let (mut aa, mut ab, mut bb) = (0.0, 0.0, 0.0);
        for row in self.rows {
            let y2 = row.squared_value;
            let weight = 0.5 / (a * a + b * b * y2).powi(2);
            aa += weight;
            ab += weight * y2;
            bb += weight * y2 * y2;
        }
        let determinant = aa * bb - ab * ab;
        // σ² of all rows alike: the two parts cannot be told apart.
        if determinant <= 1e-12 * aa * bb {
            return None;
        }
        let errors = [(bb / determinant).sqrt(), (aa / determinant).sqrt()];
        Some([0.5 * errors[0] / a, 0.5 * errors[1] / b])
    }
}

fn check(observed: &[f64], calculated: &[f64], groups: &[usize], parameters: usize) -> Result<(), FitError> {
    for (second, second_rows) in [("calculated", calculated.len()), ("groups", groups.len())] {
        if observed.len() != second_rows {
            let first_rows = observed.len();
            return Err(FitError::Length { first: "observed", first_rows, second, second_rows });
        }
    }
    for (column, values) in [("observed", observed), ("calculated", calculated)] {
        if let Some(row) = values.iter().position(|value| !value.is_finite()) {
            let (value, row) = (values[row], row + 1);
            return Err(FitError::Value { row, column, value, expected: "a finite number" });
        }
    }
    if observed.len() <= parameters {
        let text =
            format!("{} rows and {parameters} parameters leave nothing to see errors by", observed.len());
        return Err(FitError::Undetermined(text));
    }
    Ok(())
}
