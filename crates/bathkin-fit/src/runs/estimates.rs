//! The fit of runs, in the recipe's own numbers.

use bathkin::Recipe;
use bathkin::recipe::Value;
use bathkin_numerics::least_squares::{Bounds, LeastSquaresOptions, Residuals};
use serde::Serialize;

use super::messages::messages;
use super::model::{ErrorModel, ParameterScale, RunModel};
use super::settings::settings;
use super::table::{AREA, Runs, RunsError, TIME};
use crate::arrhenius::Message;
use crate::bands::band;
use crate::error::FitError;
use crate::fit::{Determination, Fit, FitOptions, Scale, fit};
use crate::lack_of_fit::{LackOfFit, lack_of_fit};
use crate::profile::{ProfileEnd, profile_interval};
use crate::quantiles::two_sided;

/// How to fit runs.
#[derive(Debug, Clone, PartialEq)]
pub struct RunFitOptions {
    /// The error model.
    pub errors: ErrorModel,
    /// Whether its sigmas are believed.
    pub scale: Scale,
    /// (path, lower, upper) in the recipe's numbers; infinite where there is no bound.
    pub bounds: Vec<(String, f64, f64)>,
}

impl Default for RunFitOptions {
    /// Relative errors of a size that the residuals tell, no bounds.
    fn default() -> Self {
        RunFitOptions {
            errors: ErrorModel::Relative { sigma: 1.0 },
            scale: Scale::Estimated,
            bounds: Vec::new(),
        }
    }
}

/// A fitted number of the recipe.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PathEstimate {
    /// Its path.
    pub path: String,
    /// Value.
    pub value: f64,
    /// Standard error, to first order, or `None`.
    pub standard_error: Option<f64>,
    /// 95 % interval: straight in the logarithm where `scale` is `log`.
    pub interval95: Option<[f64; 2]>,
    /// `ok`, or the code of why there is no uncertainty.
    pub status: &'static str,
    /// How it was moved.
    pub scale: ParameterScale,
    /// Value in the recipe.
    pub start: f64,
}

/// What a run would show, with both bands.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Prediction {
    /// `deposition_um_h`, or `thickness_um` for a run with a time.
    pub quantity: &'static str,
    /// Calculated value.
    pub value: f64,
    /// Where the true mean lies.
    pub confidence: [f64; 2],
    /// Where one further run lies; `None` where every run has a sigma of its own.
    pub prediction: Option<[f64; 2]>,
}

/// A fit of runs.
#[derive(Debug, Clone)]
pub struct RunFit {
    /// The recipe the fit started from.
    pub recipe: Recipe,
    /// Its residuals.
    pub model: RunModel,
    /// The statistics, in the solver's numbers (logarithms where the scale says so).
    pub fit: Fit,
    /// Estimates in the recipe's numbers.
    pub estimates: Vec<PathEstimate>,
    /// Calculated value of every measured run.
    pub calculated: Vec<f64>,
    /// The test against replicates, where there are any.
    pub lack_of_fit: Option<LackOfFit>,
    /// What to think of when using this.
    pub messages: Vec<Message>,
}

/// Fits the free paths of a recipe to runs, from the recipe's numbers.
///
/// # Errors
/// [`RunsError`]: see [`RunModel::new`]; bounds that do not hold the start; no convergence.
///
/// ```
/// use bathkin::Recipe;
/// use bathkin_fit::runs::{RunFitOptions, Runs, fit_runs};
///
/// // Rates of a bath 1.1 times as fast as the recipe says, with an activation energy of its own.
/// let runs = Runs {
///     file: "example".to_owned(),
///     rows: vec![1, 2, 3],
///     columns: vec![
///         ("temperature_c".to_owned(), vec![Some(80.0), Some(88.0), Some(92.0)]),
///         ("deposition_um_h".to_owned(), vec![Some(11.4), Some(19.2), Some(24.6)]),
///     ],
/// };
/// let recipe = Recipe::built_in("nickel-acid")?;
/// let free = ["deposition.rate_mol_m2_s", "deposition.activation_energy_kj_mol"].map(str::to_owned);
/// let found = fit_runs(&recipe, &runs, &free, &RunFitOptions::default())?;
/// assert!((found.estimates[1].value - 68.6).abs() < 1.0);
/// # Ok::<(), bathkin_fit::runs::RunsError>(())
/// ```
pub fn fit_runs(
    recipe: &Recipe,
    runs: &Runs,
    free: &[String],
    options: &RunFitOptions,
) -> Result<RunFit, RunsError> {
    let model = RunModel::new(recipe, runs, free, options.errors)?;
    let start = model.start();
    // A recipe that does not take a row is told with the row, before any statistics.
    model.predictions(&start)?;
    let bounds = inside_bounds(&model, runs, free, &options.bounds)?;
    let mut of_solver = FitOptions {
        bounds: Some(bounds),
        scale: options.scale,
        level: 0.95,
        // The error of the differences decides how far the sum of squares and the singular values of a
        // column of little influence can be believed.
        solver: if model.simulates() {
            LeastSquaresOptions { resolution: 1e-5, rank_tolerance: 1e-3, ..LeastSquaresOptions::default() }
        } else {
            LeastSquaresOptions { resolution: 1e-10, rank_tolerance: 1e-7, ..LeastSquaresOptions::default() }
        },
    };
    let found = fit_to_the_edge(&model, start, &mut of_solver)?;
    let calculated = model.predictions(found.values())?;
    let calculated = model.measured.iter().map(|run| calculated[run.condition]).collect();
    let lack_of_fit = lack_of_fit(&found, &groups(&model)).ok();
    let mut made = RunFit {
        recipe: recipe.clone(),
        estimates: Vec::new(),
        calculated,
        lack_of_fit,
        messages: Vec::new(),
        model,
        fit: found,
    };
    made.estimates = made.estimates()?;
    made.messages = messages(&made, runs, other_errors(&made, &of_solver).as_ref());
    Ok(made)
}

/// The fit; where it runs against the edge of what the recipe takes, that edge becomes a bound.
fn fit_to_the_edge(model: &RunModel, start: Vec<f64>, options: &mut FitOptions) -> Result<Fit, RunsError> {
    // Well inside the last step before the edge, well beyond rounding.
    const OUTWARDS: f64 = 1e-6;
    let mut start = start;
    loop {
        let stopped = match fit(model, &start, options) {
            Ok(found) => return Ok(found),
            Err(stopped) => stopped,
        };
        let (FitError::NotConverged { parameters, .. }, Some(bounds)) = (&stopped, &mut options.bounds)
        else {
            return Err(stopped.into());
        };
        let mut edges = 0;
        for (place, value) in parameters.iter().enumerate() {
            for (side, bound) in [(-1.0, &mut bounds.lower[place]), (1.0, &mut bounds.upper[place])] {
                let mut beyond = parameters.clone();
                beyond[place] += side * OUTWARDS * value.abs().max(1.0);
                if bound.is_infinite() && model.predictions(&beyond).is_err() {
                    *bound = *value;
                    edges += 1;
                }
            }
        }
        if edges == 0 {
            return Err(stopped.into());
        }
        start.clone_from(parameters);
    }
}

fn inside_bounds(
    model: &RunModel,
    runs: &Runs,
    free: &[String],
    given: &[(String, f64, f64)],
) -> Result<Bounds, RunsError> {
    let mut bounds = Bounds::none(free.len());
    let start = model.start();
    for (path, lower, upper) in given {
        let Some(place) = free.iter().position(|known| known == path) else {
            return Err(runs.refuse_column(format!("bounds of {path}, which is not free")));
        };
        let scale = model.scales()[place];
        let value = scale.outside(start[place]);
        // The logarithm and back may be off by rounding where a bound is the start.
        let slack = 1e-12 * value.abs();
        if lower.is_nan() || upper.is_nan() || lower > upper || value < lower - slack || value > upper + slack
        {
            let what = format!("bounds of {path}: the recipe's {value} is not within {lower} to {upper}");
            return Err(runs.refuse_column(what));
        }
        bounds.lower[place] = scale.inside(*lower).min(start[place]);
        bounds.upper[place] = scale.inside(*upper).max(start[place]);
    }
    Ok(bounds)
}

/// Replicates: the same condition and the same sigma.
fn groups(model: &RunModel) -> Vec<usize> {
    let key = |run: &super::model::Measured| (run.condition, run.sigma.map(f64::to_bits));
    let keys: Vec<_> = model.measured.iter().map(key).collect();
    keys.iter().map(|key| keys.iter().position(|known| known == key).unwrap_or(0)).collect()
}

/// The fit with relative errors where it had absolute ones, and the other way round.
fn other_errors(made: &RunFit, options: &FitOptions) -> Option<Fit> {
    let other = match made.model.error_model() {
        ErrorModel::Relative { .. } => ErrorModel::Absolute { sigma: 1.0 },
        ErrorModel::Absolute { .. } => ErrorModel::Relative { sigma: 1.0 },
        ErrorModel::Mixed { .. } => return None,
    };
    let positive = made.model.measured.iter().all(|run| run.observed > 0.0);
    if !positive || made.model.has_sigma() {
        return None;
    }
    let options = FitOptions { scale: Scale::Estimated, ..options.clone() };
    fit(&made.model.with_errors(other), made.fit.values(), &options).ok()
}

impl RunFit {
    fn estimates(&self) -> Result<Vec<PathEstimate>, RunsError> {
        let start = self.model.start();
        let of = |(place, parameter): (usize, &crate::fit::Parameter)| {
            let scale = self.model.scales()[place];
            let value = scale.outside(parameter.value);
            Ok(PathEstimate {
                path: parameter.name.clone(),
                value,
                standard_error: parameter.standard_error.map(|error| match scale {
                    ParameterScale::Log => value * error,
                    ParameterScale::Linear => error,
                }),
                interval95: self.interval(place, 0.95)?,
                status: parameter.determination.code(),
                scale,
                start: scale.outside(start[place]),
            })
        };
        self.fit.parameters.iter().enumerate().map(of).collect()
    }

    fn place_of(&self, place: usize) -> Result<(ParameterScale, &crate::fit::Parameter), RunsError> {
        let scale = self.model.scales().get(place);
        scale
            .zip(self.fit.parameters.get(place))
            .map(|(scale, parameter)| (*scale, parameter))
            .ok_or_else(|| RunsError::Fit(FitError::Undetermined(format!("there is no parameter {place}"))))
    }

    /// Interval of an estimate at a level, from its standard error; `None` where it has none.
    ///
    /// # Errors
    /// [`FitError::Undetermined`] for a place or level that does not exist.
    pub fn interval(&self, place: usize, level: f64) -> Result<Option<[f64; 2]>, RunsError> {
        check_level(level)?;
        let (scale, parameter) = self.place_of(place)?;
        let freedom = (self.fit.options.scale == Scale::Estimated).then_some(self.fit.degrees_of_freedom);
        let around =
            crate::fit::interval(parameter.value, parameter.standard_error, two_sided(level, freedom));
        Ok(around.map(|ends| ends.map(|end| scale.outside(end))))
    }

    /// Ends of the profile-likelihood interval at a level; `None` on a side that the runs leave open.
    ///
    /// # Errors
    /// As [`profile_interval`], and where a fit along the profile does not succeed.
    pub fn profile(&self, place: usize, level: f64) -> Result<[Option<f64>; 2], RunsError> {
        check_level(level)?;
        let (scale, parameter) = self.place_of(place)?;
        let mut at_level = self.fit.clone();
        at_level.options.level = level;
        let found = profile_interval(&self.model, &at_level, place)?;
        let end = |end: ProfileEnd| match end {
            ProfileEnd::Failed { at, why } => Err(RunsError::Fit(FitError::Undetermined(format!(
                "the profile of {} fails at {}: {why}",
                parameter.name,
                scale.outside(at)
            )))),
            ProfileEnd::BetterMinimum { .. } => Err(RunsError::Fit(FitError::Undetermined(format!(
                "the profile of {} finds a better fit: start again from other numbers",
                parameter.name
            )))),
            other => Ok(other.value().map(|at| scale.outside(at))),
        };
        Ok([end(found.lower)?, end(found.upper)?])
    }

    /// Correlations, row by row; `None` where one of the two has no standard error.
    pub fn correlation(&self) -> Vec<Vec<Option<f64>>> {
        let all = 0..self.fit.parameters.len();
        all.clone().map(|a| all.clone().map(|b| self.fit.correlation(a, b)).collect()).collect()
    }

    /// What a run under these settings (names as in the table of runs) would show, with 95 % bands.
    /// `time_min` and `area_cm2` are settings too: without a time the rate is shown.
    ///
    /// # Errors
    /// [`RunsError`]: a setting that is not known, a recipe that does not take it, or a value that
    /// depends on what the runs do not determine.
    pub fn predict(&self, given: &[(String, f64)]) -> Result<Prediction, RunsError> {
        let table = Runs {
            file: "predict".to_owned(),
            rows: vec![1],
            columns: given.iter().map(|(name, value)| (name.clone(), vec![Some(*value)])).collect(),
        };
        table.check()?;
        let set = |recipe: Recipe, setting: super::settings::Setting| {
            let value = table.cell(&setting.column, 0).unwrap_or(f64::NAN);
            recipe.with(&setting.path, Value::Number(value * setting.factor), "predict")
        };
        let recipe = settings(&self.recipe, &table)?.into_iter().fold(self.recipe.clone(), set);
        let minutes = table.cell(TIME, 0);
        let condition = self.model.condition(recipe, minutes, table.cell(AREA, 0).map(|cm2| cm2 * 1e-4));
        let (value, slopes) = self.model.slopes(&condition, self.fit.values())?;
        // Bands are straight where the errors are: in the logarithm for relative ones.
        let (middle, gradient, sigma, log) = match self.model.error_model() {
            ErrorModel::Relative { sigma } => {
                (value.ln(), slopes.iter().map(|slope| slope / value).collect(), sigma, true)
            }
            ErrorModel::Absolute { sigma } => (value, slopes, sigma, false),
            ErrorModel::Mixed { absolute, relative } => {
                (value, slopes, absolute.hypot(relative * value), false)
            }
        };
        let bands = band(&self.fit, middle, &gradient, sigma)?;
        let back = |ends: [f64; 2]| if log { ends.map(f64::exp) } else { ends };
        Ok(Prediction {
            quantity: if minutes.is_some() { "thickness_um" } else { "deposition_um_h" },
            value,
            confidence: back(bands.confidence),
            prediction: (!self.model.has_sigma()).then(|| back(bands.prediction)),
        })
    }

    /// The recipe with the fitted numbers, each of kind `fitted` and with its source.
    ///
    /// # Errors
    /// [`RunsError::Recipe`] when the text of the recipe cannot be written again.
    pub fn fitted_recipe(&self, data: &str) -> Result<Recipe, RunsError> {
        let of = |estimate: &PathEstimate| {
            let uncertainty = match (estimate.standard_error, estimate.status) {
                (Some(error), _) if (1e-3..1e4).contains(&error) => format!("standard error {error:.4}"),
                (Some(error), _) => format!("standard error {error:.2e}"),
                (None, status) => format!("no uncertainty: {status}"),
            };
            let runs = self.model.rows();
            let source = format!("fitted to {runs} runs of {data}, {uncertainty}");
            (estimate.path.clone(), estimate.value, source)
        };
        let numbers: Vec<(String, f64, String)> = self.estimates.iter().map(of).collect();
        Ok(self.recipe.with_fitted(&numbers)?)
    }

    /// Whether an estimate has an uncertainty.
    pub(super) fn is_determined(&self, place: usize) -> bool {
        self.fit.parameters[place].determination == Determination::Ok
    }
}

fn check_level(level: f64) -> Result<(), RunsError> {
    if level > 0.0 && level < 1.0 {
        return Ok(());
    }
    Err(FitError::Undetermined(format!("level = {level}: expected a probability between 0 and 1")).into())
}
