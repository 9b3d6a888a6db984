//! Which runs to make next.

use std::collections::HashSet;

use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use crate::error::{DataError, Part, RequestProblem};
use crate::objective::free::ParameterScale;
use crate::report::sentences::ahead::OfNextRuns;
use crate::result::half_width::only;
use crate::result::solution::Solution;
use bathkin::Remark;
use bathkin_statistics::Scale;
use bathkin_statistics::design::{Aim as Target, Candidate, choose_heeding};
use bathkin_statistics::error::FitError;
use bathkin_statistics::progress::{Counter, Done};
use bathkin_statistics::quantiles::two_sided;

/// What the runs are for.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Aim {
    /// All free numbers together.
    #[default]
    All,
    /// This one.
    Path(String),
}

/// How to choose runs.
#[derive(Debug, Clone, PartialEq)]
pub struct DesignOptions {
    /// How many.
    pub count: usize,
    /// What for.
    pub aim: Aim,
    /// How often the same settings may be chosen.
    pub at_most: usize,
    /// Relative standard deviation of a run, for a fit that knows nothing of errors of further coupons: one of
    /// logs alone, or of runs that have a sigma each. Otherwise the errors are those of the fit, and this must be
    /// left out.
    pub relative_sigma: Option<f64>,
}

impl Default for DesignOptions {
    /// One run, for all numbers, no settings twice.
    fn default() -> Self {
        DesignOptions { count: 1, aim: Aim::All, at_most: 1, relative_sigma: None }
    }
}

/// A run to make.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct NextRun {
    /// Its settings.
    #[serde(serialize_with = "bathkin::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, f64>")]
    pub settings: Vec<(String, f64)>,
    /// What it would measure: `deposition_um_h`, or `thickness_um` for a run with a time.
    pub quantity: &'static str,
    /// What it would show.
    pub expected: f64,
    /// Rise of ln det of the information, or fall of ln of the variance, after the runs before it; `None`
    /// where it makes known what was not.
    pub gain: Option<f64>,
}

/// What is expected of a number.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct ExpectedEstimate {
    /// Its path.
    pub path: String,
    /// Its value now.
    pub value: f64,
    /// Standard error now, in the recipe's unit; `None` where it has none.
    pub standard_error: Option<f64>,
    /// Half-width of the 95 % interval now, to first order.
    pub half_width95: Option<f64>,
    /// Standard error with the runs.
    pub standard_error_after: Option<f64>,
    /// Half-width of the 95 % interval with them.
    pub half_width95_after: Option<f64>,
    /// Not determined now, determined with the runs.
    pub newly_determined: bool,
}

/// Runs to make next.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct NextRuns {
    /// The runs, the most informative first.
    pub runs: Vec<NextRun>,
    /// What they would make of every free number of the recipe.
    pub expected: Vec<ExpectedEstimate>,
    /// What limits the choice.
    pub remarks: Vec<Remark>,
}

/// Every combination of the values of each setting, the last setting fastest.
///
/// ```
/// use bathkin_fit::predict::grid;
///
/// let candidates = grid(&[("temperature_c".to_owned(), vec![80.0, 90.0]), ("ph".to_owned(), vec![4.6, 5.0])]);
/// assert_eq!(candidates.len(), 4);
/// assert_eq!(candidates[1], [("temperature_c".to_owned(), 80.0), ("ph".to_owned(), 5.0)]);
/// ```
pub fn grid(settings: &[(String, Vec<f64>)]) -> Vec<Vec<(String, f64)>> {
    let extend = |made: Vec<Vec<(String, f64)>>, (name, values): &(String, Vec<f64>)| {
        let with = |one: &Vec<(String, f64)>, value: &f64| {
            one.iter().cloned().chain([(name.clone(), *value)]).collect::<Vec<_>>()
        };
        made.iter().flat_map(|one| values.iter().map(|value| with(one, value)).collect::<Vec<_>>()).collect()
    };
    settings.iter().fold(vec![Vec::new()], extend)
}

/// Chooses among candidate runs, settings as in [`Solution::predict`] with `time_min` and `area_cm2`.
///
/// Method and assumptions are those of [`design`](bathkin_statistics::design): slopes hold at the estimates, so make a few
/// runs, fit again ([`RecipeFit::updated`](crate::RecipeFit::updated)), choose again. A candidate that the recipe refuses is left out, and
/// named in the remarks. Half-widths after the runs count the runs as further degrees of freedom.
///
/// # Errors
/// [`DataError`]: a path to aim at that is not free; no candidate that the recipe takes, or fewer than asked
/// for; nothing known of the errors of a run; what [`choose`](bathkin_statistics::design::choose) refuses; [`FitError::Stopped`].
///
/// ```
/// use bathkin::Recipe;
/// use bathkin_fit::predict::{Aim, DesignOptions, grid, next_runs};
/// use bathkin_fit::{Data, FitSpecification, RecipeFitOptions, Sheet, fit_recipe};
///
/// let runs = Sheet {
///     file: "example".to_owned(),
///     rows: vec![1, 2, 3],
///     columns: vec![
///         ("temperature_c".to_owned(), vec![Some(86.0), Some(88.0), Some(90.0)]),
///         ("deposition_um_h".to_owned(), vec![Some(16.6), Some(19.2), Some(21.0)]),
///     ],
///     ..Sheet::default()
/// };
/// let energy = "deposition.activation_energy_kj_mol".to_owned();
/// let free = vec!["deposition.rate_mol_m2_s".to_owned(), energy.clone()];
/// let specification = FitSpecification { free, ..FitSpecification::default() };
/// let options = RecipeFitOptions { specification, ..RecipeFitOptions::default() };
/// let found = fit_recipe(&Recipe::built_in("nickel-acid")?, &[Data::Runs(runs)], &options)?;
///
/// let candidates = grid(&[("temperature_c".to_owned(), vec![70.0, 80.0, 88.0])]);
/// let aim = Aim::Path(energy);
/// let next = next_runs(&found, &candidates, &DesignOptions { aim, ..DesignOptions::default() })?;
/// assert_eq!(next.runs[0].settings[0].1, 70.0);
/// # Ok::<(), bathkin_fit::DataError>(())
/// ```
pub fn next_runs(
    fit: &Solution,
    candidates: &[Vec<(String, f64)>],
    options: &DesignOptions,
) -> Result<NextRuns, DataError> {
    next_runs_reporting(fit, candidates, options, &|_| {})
}

/// The same, reporting how many candidates are computed.
///
/// # Errors
/// As [`next_runs`].
pub fn next_runs_reporting(
    fit: &Solution,
    candidates: &[Vec<(String, f64)>],
    options: &DesignOptions,
    done: Done,
) -> Result<NextRuns, DataError> {
    let counter = Counter::new(done);
    let target = target(fit, &options.aim)?;
    let candidates = different(candidates);
    let stop = &fit.options.stop;
    let slope =
        |given: &&Vec<_>| if stop.is_asked() { Err(FitError::Stopped.into()) } else { fit.slope(given) };
    let found: Vec<_> = candidates.par_iter().map(slope).inspect(|_| counter.one_more()).collect();
    if stop.is_asked() {
        return Err(FitError::Stopped.into());
    }
    let mut taken = Vec::new();
    let mut remarks = Vec::new();
    let mut first_refusal = None;
    for (place, found) in found.into_iter().enumerate() {
        match found {
            Ok(slope) => taken.push((place, slope)),
            Err(error) => {
                let (candidate, why) = (place + 1, error.to_string());
                remarks.push(OfNextRuns::LeftOut { candidate, why }.into());
                first_refusal.get_or_insert(error);
            }
        }
    }
    if let Some(error) = first_refusal.filter(|_| taken.is_empty()) {
        return Err(error);
    }
    let mut rows = Vec::with_capacity(taken.len());
    for (_, slope) in &taken {
        let sigma = match (fit.sigma_of(slope.quantity.own_name(), slope.value), options.relative_sigma) {
            (Some(sigma), None) => sigma,
            // As the residuals are counted, which s multiplies.
            (None, Some(sigma)) => {
                let in_unit = if slope.log { sigma } else { sigma * slope.value };
                in_unit / fit.fit.variance.unwrap_or(1.0).sqrt()
            }
            (None, None) => return Err(RequestProblem::RelativeSigmaNeeded.into()),
            (Some(_), Some(given)) => return Err(RequestProblem::RelativeSigmaKnown { given }.into()),
        };
        rows.push(Candidate { gradient: slope.gradient.clone(), sigma, at_most: options.at_most });
    }
    let design = choose_heeding(&fit.fit, &rows, options.count, &target, &|| stop.is_asked())?;
    let run = |choice: &bathkin_statistics::design::Choice| {
        let (place, slope) = &taken[choice.candidate];
        NextRun {
            settings: candidates[*place].clone(),
            quantity: slope.quantity.own_name(),
            expected: slope.value,
            gain: choice.gain,
        }
    };
    if options.at_most == 1 && options.count > 1 {
        remarks.push(OfNextRuns::NoRepeats {}.into());
    }
    let spent = design.rank_after - design.rank_before;
    let freedom = (fit.fit.degrees_of_freedom + options.count).saturating_sub(spent);
    Ok(NextRuns {
        runs: design.choices.iter().map(run).collect(),
        expected: expected(fit, &design, freedom),
        remarks,
    })
}

/// Candidates without those that stand there already.
fn different(candidates: &[Vec<(String, f64)>]) -> Vec<&Vec<(String, f64)>> {
    let mut known = HashSet::new();
    let key = |candidate: &&Vec<(String, f64)>| -> Vec<(String, u64)> {
        candidate.iter().map(|(name, value)| (name.clone(), value.to_bits())).collect()
    };
    candidates.iter().filter(|candidate| known.insert(key(candidate))).collect()
}

fn target(fit: &Solution, aim: &Aim) -> Result<Target, DataError> {
    let Aim::Path(path) = aim else { return Ok(Target::Determinant) };
    let place = fit.estimates.iter().position(|estimate| estimate.path == *path);
    let place = place.ok_or_else(|| fit.model.not_free(Part::Aim, path))?;
    Ok(Target::parameter(place, fit.estimates.len()))
}

/// In the recipe's numbers; starts of logs are left out.
fn expected(
    fit: &Solution,
    design: &bathkin_statistics::design::Design,
    freedom: usize,
) -> Vec<ExpectedEstimate> {
    let estimated = fit.fit.options.scale == Scale::Estimated;
    let quantile = |freedom: usize| two_sided(0.95, estimated.then_some(freedom));
    let (pooled, after) = (quantile(fit.fit.degrees_of_freedom), quantile(freedom));
    let own = |place: usize| fit.quantile(&only(&fit.fit, place), 0.95);
    // As much narrower as all degrees of freedom make it.
    let then = |place: usize| match (own(place), pooled, after) {
        (Some(own), Some(pooled), Some(after)) => Some(own * after / pooled),
        _ => after,
    };
    let times = |error: Option<f64>, quantile: Option<f64>| error.zip(quantile).map(|(error, q)| error * q);
    let of = |(place, (estimate, known)): (
        usize,
        (&crate::result::estimates::PathEstimate, &bathkin_statistics::design::Expected),
    )| {
        let slope = if estimate.scale == ParameterScale::Log { estimate.value } else { 1.0 };
        let standard_error = known.before.map(|error| slope * error);
        let standard_error_after = known.after.map(|error| slope * error);
        ExpectedEstimate {
            path: estimate.path.clone(),
            value: estimate.value,
            half_width95: times(standard_error, own(place)),
            half_width95_after: times(standard_error_after, then(place)),
            standard_error,
            standard_error_after,
            newly_determined: known.newly_determined,
        }
    };
    let all = fit.estimates.iter().zip(&design.parameters).enumerate();
    all.filter(|(place, _)| !fit.model.free[*place].is_start()).map(of).collect()
}
