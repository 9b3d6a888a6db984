//! Fits of recipes to runs and logs.

use bathkin_fit::Message;
use bathkin_fit::estimate::PriorWeight;
use bathkin_fit::objective::free::Target;
use bathkin_fit::predict::{Aim, DesignOptions, ForecastOptions, forecast, grid, next_runs_reporting};
use bathkin_fit::result::{ColumnErrors, FitStatistics, LogCourse, Measured, PathEstimate};
use bathkin_fit::{DataError, Stop};
use bathkin_statistics::Scale;
use bathkin_statistics::bootstrap::{BootstrapOptions, Resampling};
use bathkin_statistics::criteria::Criteria;
use bathkin_statistics::lack_of_fit::LackOfFit;
use bathkin_statistics::progress::Done;
use numpy::{IntoPyArray, PyArray1, PyReadonlyArray2};
use pyo3::prelude::*;
use rayon::prelude::*;
use serde::Serialize;

use crate::classes::Recipe;
use crate::errors::raise_data;
use crate::fit_question::{Given, asked, sheets};
use crate::json::json;
use crate::watched::watched;

/// A fit of a recipe to data.
#[pyclass(frozen, module = "bathkin._core")]
pub struct RecipeFit {
    inner: bathkin_fit::RecipeFit,
}

#[derive(Serialize)]
struct Document<'a> {
    /// Estimates of numbers of the recipe.
    estimates: Vec<&'a PathEstimate>,
    /// Estimates of what baths held at the start of their logs.
    starts: Vec<&'a PathEstimate>,
    /// Of both, in this order.
    names: Vec<&'a str>,
    correlation: Vec<Vec<Option<f64>>>,
    prior_weights: &'a [PriorWeight],
    columns: Vec<ColumnErrors<'a>>,
    measured: Vec<Measured<'a>>,
    sigma: Scale,
    degrees_of_freedom: usize,
    scatter: Option<f64>,
    /// `ndata`, `nvarys`, `nfree`, `nfev`, `chisqr`, `redchi`, `llf`, `aic`, `bic`.
    #[serde(flatten)]
    statistics: FitStatistics,
    covar: Vec<Vec<Option<f64>>>,
    sum_of_squares: f64,
    /// None where the error variances of several columns were estimated: sums of squares then say nothing.
    criteria: Option<Criteria>,
    lack_of_fit: Option<LackOfFit>,
    evaluations: usize,
    failures: usize,
    messages: &'a [Message],
    /// Those of them that say that the model misses the data.
    misfit: Vec<&'a Message>,
}

#[pymethods]
impl RecipeFit {
    /// How far the search for the minimum went, as JSON.
    fn solver(&self) -> String {
        #[derive(Serialize)]
        struct Solver {
            gradient_tolerance: f64,
            decrease_tolerance: f64,
            step_tolerance: f64,
            resolution: f64,
            rank_tolerance: f64,
            max_evaluations: usize,
        }
        let of = &self.inner.fit.options.solver;
        json(&Solver {
            gradient_tolerance: of.gradient_tolerance,
            decrease_tolerance: of.decrease_tolerance,
            step_tolerance: of.step_tolerance,
            resolution: of.resolution,
            rank_tolerance: of.rank_tolerance,
            max_evaluations: of.max_evaluations,
        })
    }

    /// Fits; `data` are (kind, file, rows, columns, labels), `options` a JSON text.
    #[new]
    fn new(py: Python<'_>, recipe: &Recipe, data: Vec<Given>, options: &str) -> PyResult<Self> {
        let (data, options) = (sheets(data)?, asked(py, &recipe.inner, options)?);
        let found =
            watched(py, None, &options.stop, |_| bathkin_fit::fit_recipe(&recipe.inner, &data, &options))?;
        Ok(RecipeFit { inner: found.map_err(|error| raise_data(py, &error))? })
    }

    /// Estimates, correlations, residuals, errors, tests and remarks, as JSON.
    fn document(&self) -> String {
        let found = &self.inner;
        let (starts, estimates) = found.estimates.iter().partition(|one| self.is_start(&one.path));
        let comparable = found.fit.options.scale == Scale::Known || found.model.columns().len() == 1;
        json(&Document {
            estimates,
            starts,
            names: found.estimates.iter().map(|one| one.path.as_str()).collect(),
            correlation: found.correlation(),
            prior_weights: &found.prior_weights,
            columns: found.column_errors(),
            measured: found.measured(),
            sigma: found.fit.options.scale,
            degrees_of_freedom: found.fit.degrees_of_freedom,
            scatter: found.scatter(),
            statistics: found.statistics(),
            covar: found.covar(),
            sum_of_squares: found.fit.sum_of_squares(),
            criteria: found.criteria().filter(|_| comparable),
            lack_of_fit: found.lack_of_fit,
            evaluations: found.fit.minimum.evaluations,
            failures: found.fit.minimum.failures,
            messages: &found.messages,
            misfit: found.misfit().collect(),
        })
    }

    /// Interval of a name from its standard error.
    fn interval(&self, py: Python<'_>, name: &str, level: f64) -> PyResult<Option<[f64; 2]>> {
        self.inner.interval(self.place(name), level).map_err(|error| raise_data(py, &error))
    }

    /// Interval of a name from the profile likelihood; None on an open side.
    fn profile(&self, py: Python<'_>, name: &str, level: f64) -> PyResult<[Option<f64>; 2]> {
        let place = self.place(name);
        self.watched(py, None, |fit, _| fit.profile(place, level))
    }

    /// What a run would show, as JSON.
    fn predict(&self, py: Python<'_>, settings: Vec<(String, f64)>) -> PyResult<String> {
        Ok(json(&self.watched(py, None, |fit, _| fit.predict(&settings))?))
    }

    /// The bath of log number `sheet` between its rows, as JSON.
    fn course(&self, py: Python<'_>, sheet: usize, points: usize) -> PyResult<String> {
        let found: LogCourse = self.watched(py, None, |fit, _| fit.course(sheet, points))?;
        Ok(json(&found))
    }

    /// The fit repeated on data that could have come instead, as JSON; `progress` gets how many are done.
    #[pyo3(signature = (replicates, seed, cases, progress = None))]
    fn bootstrap(
        &self,
        py: Python<'_>,
        replicates: usize,
        seed: u64,
        cases: bool,
        progress: Option<Py<PyAny>>,
    ) -> PyResult<String> {
        let resampling = if cases { Resampling::Cases } else { Resampling::Residuals };
        let options = BootstrapOptions { replicates, seed, resampling };
        let found =
            self.watched(py, progress.as_ref(), |fit, done| fit.bootstrap_reporting(&options, done))?;
        Ok(json(&found))
    }

    /// Logarithm of the posterior at points (rows) in the numbers of the recipe.
    fn log_posterior<'py>(
        &self,
        py: Python<'py>,
        points: PyReadonlyArray2<'py, f64>,
    ) -> PyResult<Bound<'py, PyArray1<f64>>> {
        let points: Vec<Vec<f64>> = points.as_array().rows().into_iter().map(|row| row.to_vec()).collect();
        let values = self.watched(py, None, |fit, _| {
            let each = points.par_iter().map(|point| fit.log_posterior(point));
            each.collect::<Vec<Result<f64, DataError>>>().into_iter().collect::<Result<Vec<f64>, DataError>>()
        })?;
        Ok(values.into_pyarray(py))
    }

    /// Points about the estimates for a sampler to start from.
    fn sampler_start(&self, py: Python<'_>, count: usize, seed: u64) -> PyResult<Vec<Vec<f64>>> {
        self.watched(py, None, |fit, _| fit.sampler_start(count, seed))
    }

    /// The runs that would tell most, as JSON; candidates are every combination of each grid, and `progress` gets
    /// how many of them are computed.
    #[pyo3(signature = (grids, count, aim, at_most, relative_sigma, progress = None))]
    #[expect(clippy::too_many_arguments, reason = "the arguments of a Python call")]
    fn next_runs(
        &self,
        py: Python<'_>,
        grids: Vec<Vec<(String, Vec<f64>)>>,
        count: usize,
        aim: Option<String>,
        at_most: usize,
        relative_sigma: Option<f64>,
        progress: Option<Py<PyAny>>,
    ) -> PyResult<String> {
        let candidates: Vec<_> = grids.iter().flat_map(|settings| grid(settings)).collect();
        let options = DesignOptions { count, aim: aim.map_or(Aim::All, Aim::Path), at_most, relative_sigma };
        let found = self.watched(py, progress.as_ref(), |fit, done| {
            next_runs_reporting(fit, &candidates, &options, done)
        })?;
        Ok(json(&found))
    }

    /// Simulated bath lives of a recipe, sampled from the fit, as JSON; `progress` gets how many are done.
    #[pyo3(signature = (recipe, count, seed, despite_misfit, progress = None))]
    fn forecast(
        &self,
        py: Python<'_>,
        recipe: &Recipe,
        count: usize,
        seed: u64,
        despite_misfit: bool,
        progress: Option<Py<PyAny>>,
    ) -> PyResult<String> {
        let options = ForecastOptions { count, seed, despite_misfit };
        let stop = Stop::default();
        let recipe = recipe.inner.heeding(&stop);
        let found = watched(py, progress.as_ref(), &stop, |report| {
            forecast(&recipe, &self.inner, &options, &|count| report(count as f64))
        })?;
        Ok(json(&found.map_err(|error| raise_data(py, &error))?))
    }

    /// The recipe with the fitted numbers; `data` names what they were fitted to, `labels` (column, label) of
    /// which of several.
    fn fitted_recipe(&self, py: Python<'_>, data: &str, labels: Vec<(String, String)>) -> PyResult<Recipe> {
        let inner = self.inner.fitted_recipe(data, &labels).map_err(|error| raise_data(py, &error))?;
        Ok(Recipe { inner })
    }
}

impl RecipeFit {
    /// Work of the fit that hears of Ctrl-C; it may tell how many parts of it are done.
    fn watched<T: Send>(
        &self,
        py: Python<'_>,
        progress: Option<&Py<PyAny>>,
        work: impl FnOnce(&bathkin_fit::RecipeFit, Done) -> Result<T, DataError> + Send,
    ) -> PyResult<T> {
        let found = watched(py, progress, &self.inner.options.stop, |report| {
            work(&self.inner, &|count| {
                report(count as f64);
            })
        })?;
        found.map_err(|error| raise_data(py, &error))
    }

    /// Whether a name is what a bath held at the start of its log. Those stand behind all others.
    fn is_start(&self, name: &str) -> bool {
        let free = self.inner.model.free().iter().find(|free| free.name == name);
        free.is_some_and(|free| free.targets.iter().any(|target| matches!(target, Target::Start { .. })))
    }

    /// Place of a name; one behind the last where there is none, which the core refuses.
    fn place(&self, name: &str) -> usize {
        let known = self.inner.estimates.iter().position(|estimate| estimate.path == name);
        known.unwrap_or(self.inner.estimates.len())
    }
}
