//! Fits of recipes to runs and logs.

use bathkin_fit::predict::{
    Aim, DesignOptions, Forecast, ForecastOptions, MadeUp, NextRuns, PosteriorDraws, Prediction, forecast,
    grid, next_runs_reporting,
};
use bathkin_fit::result::FitResult;
use bathkin_fit::{DataError, Stop};
use bathkin_statistics::bootstrap::{Bootstrap, BootstrapOptions, Resampling};
use bathkin_statistics::importance::SamplingOptions;
use bathkin_statistics::progress::Done;
use numpy::IntoPyArray;
use pyo3::prelude::*;
use rayon::prelude::*;

use crate::classes::Recipe;
use crate::errors::raise_data;
use crate::fit_options::{FitOptions, Given, sheets};
use crate::made::{Made, columns};
use crate::typed::{Array, Attributes, Columns, Progress, ReadArray2};
use crate::watched::watched;

/// A fit of a recipe to data.
#[pyclass(frozen, module = "bathkin._core")]
pub struct RecipeFit {
    inner: bathkin_fit::RecipeFit,
}

#[pymethods]
impl RecipeFit {
    /// Fits; `data` are (kind, file, rows, columns, labels, start).
    #[new]
    fn new(
        py: Python<'_>,
        recipe: &Recipe,
        data: Vec<Given>,
        options: Attributes<FitOptions>,
    ) -> PyResult<Self> {
        let (data, options) = (sheets(data)?, options.0.of(py, &recipe.inner)?);
        let found =
            watched(py, None, &options.stop, |_| bathkin_fit::fit_recipe(&recipe.inner, &data, &options))?;
        Ok(RecipeFit { inner: found.map_err(|error| raise_data(py, &error))? })
    }

    /// Everything it found.
    fn result(&self) -> Made<FitResult<'_>> {
        Made(self.inner.result())
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

    /// What a run would show.
    fn predict(&self, py: Python<'_>, settings: Vec<(String, f64)>) -> PyResult<Made<Prediction>> {
        self.watched(py, None, |fit, _| fit.predict(&settings)).map(Made)
    }

    /// The bath of log number `sheet` between its rows, by columns.
    fn course<'py>(&self, py: Python<'py>, sheet: usize, points: usize) -> PyResult<Columns<'py>> {
        let found = self.watched(py, None, |fit, _| fit.course(sheet, points))?;
        let read = found.columns.iter().map(|(name, values)| (name.as_str(), values.clone()));
        columns(py, std::iter::once(("time_h", found.time_h.clone())).chain(read))
    }

    /// The fit repeated on data that could have come instead; `progress` gets how many are done.
    #[pyo3(signature = (replicates, seed, cases, progress = None))]
    fn bootstrap(
        &self,
        py: Python<'_>,
        replicates: usize,
        seed: u64,
        cases: bool,
        progress: Option<Progress>,
    ) -> PyResult<Made<Bootstrap>> {
        let resampling = if cases { Resampling::Cases } else { Resampling::Residuals };
        let options = BootstrapOptions { replicates, seed, resampling };
        self.watched(py, progress.as_ref(), |fit, done| fit.bootstrap_reporting(&options, done)).map(Made)
    }

    /// Logarithm of the posterior at points (rows) in the numbers of the recipe.
    fn log_posterior<'py>(&self, py: Python<'py>, points: ReadArray2<'py>) -> PyResult<Array<'py, f64>> {
        let points: Vec<Vec<f64>> = points.as_array().rows().into_iter().map(|row| row.to_vec()).collect();
        let values = self.watched(py, None, |fit, _| {
            let each = points.par_iter().map(|point| fit.log_posterior(point));
            each.collect::<Vec<Result<f64, DataError>>>().into_iter().collect::<Result<Vec<f64>, DataError>>()
        })?;
        Ok(Array(values.into_pyarray(py)))
    }

    /// Weighted draws of the posterior; `progress` gets how many points are computed.
    #[pyo3(signature = (effective, most, seed, progress = None))]
    fn posterior(
        &self,
        py: Python<'_>,
        effective: usize,
        most: usize,
        seed: u64,
        progress: Option<Progress>,
    ) -> PyResult<Made<PosteriorDraws>> {
        let options = SamplingOptions { effective, most, seed };
        self.watched(py, progress.as_ref(), |fit, done| fit.posterior_draws(&options, done)).map(Made)
    }

    /// Points about the estimates for a sampler to start from.
    fn sampler_start(&self, py: Python<'_>, count: usize, seed: u64) -> PyResult<Vec<Vec<f64>>> {
        self.watched(py, None, |fit, _| fit.sampler_start(count, seed))
    }

    /// The most informative runs; candidates are every combination of each grid, and `progress` gets
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
        progress: Option<Progress>,
    ) -> PyResult<Made<NextRuns>> {
        let candidates: Vec<_> = grids.iter().flat_map(|settings| grid(settings)).collect();
        let options = DesignOptions { count, aim: aim.map_or(Aim::All, Aim::Path), at_most, relative_sigma };
        self.watched(py, progress.as_ref(), |fit, done| next_runs_reporting(fit, &candidates, &options, done))
            .map(Made)
    }

    /// Simulated bath lives of a recipe, sampled from the fit; `made_up` is (seconds since 1970 by the clock on the
    /// wall, offset as text), `log_start_s` the first row of the log likewise; `progress` gets how many are done.
    #[pyo3(signature = (recipe, count, seed, despite_misfit, made_up, log_start_s, progress = None))]
    #[expect(clippy::too_many_arguments, reason = "the arguments of a Python call")]
    fn forecast(
        &self,
        py: Python<'_>,
        recipe: &Recipe,
        count: usize,
        seed: u64,
        despite_misfit: bool,
        made_up: Option<(f64, String)>,
        log_start_s: Option<f64>,
        progress: Option<Progress>,
    ) -> PyResult<Made<Forecast>> {
        let made_up = made_up.map(|(at_s, zone)| MadeUp { at_s, zone });
        let options = ForecastOptions { count, seed, despite_misfit, made_up, log_start_s };
        let stop = Stop::default();
        let recipe = recipe.inner.heeding(&stop);
        let found = watched(py, progress.as_ref(), &stop, |report| {
            forecast(&recipe, &self.inner, &options, &|count| report(count as f64))
        })?;
        found.map(Made).map_err(|error| raise_data(py, &error))
    }

    /// The recipe with the fitted numbers; `data` names what they were fitted to, `labels` (column, label) of
    /// which of several.
    fn fitted_recipe(&self, py: Python<'_>, data: &str, labels: Vec<(String, String)>) -> PyResult<Recipe> {
        let inner = self.inner.fitted_recipe(data, &labels).map_err(|error| raise_data(py, &error))?;
        Ok(Recipe { inner })
    }
}

impl RecipeFit {
    /// Work of the fit that hears of Ctrl-C; it may report how many parts of it are done.
    fn watched<T: Send>(
        &self,
        py: Python<'_>,
        progress: Option<&Progress>,
        work: impl FnOnce(&bathkin_fit::RecipeFit, Done) -> Result<T, DataError> + Send,
    ) -> PyResult<T> {
        let found = watched(py, progress, &self.inner.options.stop, |report| {
            work(&self.inner, &|count| {
                report(count as f64);
            })
        })?;
        found.map_err(|error| raise_data(py, &error))
    }

    /// Place of a name; one behind the last where there is none, which the core refuses.
    fn place(&self, name: &str) -> usize {
        let known = self.inner.estimates.iter().position(|estimate| estimate.path == name);
        known.unwrap_or(self.inner.estimates.len())
    }
}
