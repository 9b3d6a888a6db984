//! Fits of recipes to runs and logs.

use bathkin_fit::answer::{self, ColumnErrors, LogCourse, Measured, PathEstimate};
use bathkin_fit::arrhenius::Message;
use bathkin_fit::bootstrap::{BootstrapOptions, Resampling};
use bathkin_fit::criteria::{Criteria, criteria};
use bathkin_fit::fit::Scale;
use bathkin_fit::lack_of_fit::LackOfFit;
use bathkin_fit::problem::free::Target;
use pyo3::prelude::*;
use serde::Serialize;

use crate::errors::raise_data;
use crate::fit_question::{Given, asked, sheets};
use crate::json::json;
use crate::recipe::Recipe;

/// A fit of a recipe to data.
#[pyclass(frozen, module = "bathkin._core")]
pub struct RecipeFit {
    inner: answer::RecipeFit,
}

#[derive(Serialize)]
struct Document<'a> {
    /// Estimates of numbers of the recipe.
    estimates: Vec<&'a PathEstimate>,
    /// Estimates of what baths held at the start of their logs.
    starts: Vec<&'a PathEstimate>,
    /// Of both, estimates first.
    names: Vec<&'a str>,
    correlation: Vec<Vec<Option<f64>>>,
    columns: Vec<ColumnErrors<'a>>,
    measured: Vec<Measured<'a>>,
    sigma: Scale,
    degrees_of_freedom: usize,
    scatter: Option<f64>,
    sum_of_squares: f64,
    /// None where sizes of several columns were told by the residuals: sums of squares then say nothing.
    criteria: Option<Criteria>,
    lack_of_fit: Option<LackOfFit>,
    evaluations: usize,
    failures: usize,
    messages: &'a [Message],
}

#[derive(Serialize)]
struct Replicates<'a> {
    names: Vec<&'a str>,
    draws: Vec<Vec<f64>>,
    standard_errors: Vec<f64>,
    intervals: Vec<[f64; 2]>,
    failed: usize,
}

#[pymethods]
impl RecipeFit {
    /// Fits; `data` are (kind, file, rows, columns, labels), `options` a JSON text.
    #[new]
    fn new(py: Python<'_>, recipe: &Recipe, data: Vec<Given>, options: &str) -> PyResult<Self> {
        let (data, options) = (sheets(data)?, asked(options)?);
        let inner = py
            .detach(|| answer::fit_recipe(&recipe.inner, &data, &options))
            .map_err(|error| raise_data(py, &error))?;
        Ok(RecipeFit { inner })
    }

    /// Estimates, correlations, residuals, errors, tests and remarks, as JSON.
    fn document(&self) -> String {
        let found = &self.inner;
        let order = self.order();
        let correlation = found.correlation();
        let (starts, estimates): (Vec<usize>, Vec<usize>) =
            order.iter().copied().partition(|place| self.is_start(*place));
        let at = |places: &[usize]| places.iter().map(|place| &found.estimates[*place]).collect();
        let comparable = found.fit.options.scale == Scale::Known || found.model.columns().len() == 1;
        let row = |place: &usize| order.iter().map(|other| correlation[*place][*other]).collect();
        json(&Document {
            estimates: at(&estimates),
            starts: at(&starts),
            names: order.iter().map(|place| found.estimates[*place].path.as_str()).collect(),
            correlation: order.iter().map(row).collect(),
            columns: found.column_errors(),
            measured: found.measured(),
            sigma: found.fit.options.scale,
            degrees_of_freedom: found.fit.degrees_of_freedom,
            scatter: found.fit.variance.map(f64::sqrt),
            sum_of_squares: found.fit.sum_of_squares(),
            criteria: comparable.then(|| criteria(&found.fit)),
            lack_of_fit: found.lack_of_fit,
            evaluations: found.fit.minimum.evaluations,
            failures: found.fit.minimum.failures,
            messages: &found.messages,
        })
    }

    /// Interval of a name from its standard error.
    fn interval(&self, py: Python<'_>, name: &str, level: f64) -> PyResult<Option<[f64; 2]>> {
        self.inner.interval(self.place(name), level).map_err(|error| raise_data(py, &error))
    }

    /// Interval of a name from the profile likelihood; None on an open side.
    fn profile(&self, py: Python<'_>, name: &str, level: f64) -> PyResult<[Option<f64>; 2]> {
        let place = self.place(name);
        py.detach(|| self.inner.profile(place, level)).map_err(|error| raise_data(py, &error))
    }

    /// What a run would show, as JSON.
    fn predict(&self, py: Python<'_>, settings: Vec<(String, f64)>) -> PyResult<String> {
        let found = py.detach(|| self.inner.predict(&settings)).map_err(|error| raise_data(py, &error))?;
        Ok(json(&found))
    }

    /// The bath of log number `sheet` between its rows, as JSON.
    fn course(&self, py: Python<'_>, sheet: usize, points: usize) -> PyResult<String> {
        let found: LogCourse =
            py.detach(|| self.inner.course(sheet, points)).map_err(|error| raise_data(py, &error))?;
        Ok(json(&found))
    }

    /// The fit repeated on data that could have come instead, as JSON.
    fn bootstrap(&self, py: Python<'_>, replicates: usize, seed: u64, cases: bool) -> PyResult<String> {
        let resampling = if cases { Resampling::Cases } else { Resampling::Residuals };
        let options = BootstrapOptions { replicates, seed, resampling };
        let found = py.detach(|| self.inner.bootstrap(&options)).map_err(|error| raise_data(py, &error))?;
        let order = self.order();
        let draw = |draw: &Vec<f64>| order.iter().map(|place| draw[*place]).collect();
        Ok(json(&Replicates {
            names: order.iter().map(|place| found.names[*place].as_str()).collect(),
            draws: found.draws.iter().map(draw).collect(),
            standard_errors: order.iter().map(|place| found.standard_errors[*place]).collect(),
            intervals: order.iter().map(|place| found.intervals[*place]).collect(),
            failed: found.failed,
        }))
    }

    /// The recipe with the fitted numbers; `data` names what they were fitted to.
    fn fitted_recipe(&self, py: Python<'_>, data: &str) -> PyResult<Recipe> {
        let inner = self.inner.fitted_recipe(data).map_err(|error| raise_data(py, &error))?;
        Ok(Recipe { inner })
    }
}

impl RecipeFit {
    fn is_start(&self, place: usize) -> bool {
        let free = self.inner.model.free().get(place);
        free.is_some_and(|free| free.targets.iter().any(|target| matches!(target, Target::Start { .. })))
    }

    /// Places of free numbers: those of the recipe, then starts of logs.
    fn order(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.inner.estimates.len()).collect();
        order.sort_by_key(|place| self.is_start(*place));
        order
    }

    /// Place of a name; one behind the last where there is none, which the core refuses.
    fn place(&self, name: &str) -> usize {
        let known = self.inner.estimates.iter().position(|estimate| estimate.path == name);
        known.unwrap_or(self.inner.estimates.len())
    }
}
