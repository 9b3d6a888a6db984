//! Fits of runs.

use bathkin_fit::fit::Scale;
use bathkin_fit::runs::{self, ErrorModel, PathEstimate, RunFitOptions, Runs};
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use serde::Serialize;

use crate::errors::raise_runs;
use crate::json::json;
use crate::recipe::Recipe;

/// A fit of runs to a recipe.
#[pyclass(frozen, module = "bathkin._core")]
pub struct RunFit {
    inner: runs::RunFit,
}

fn error_model(name: &str, absolute: Option<f64>, relative: Option<f64>) -> PyResult<ErrorModel> {
    let usable = |value: &f64| value.is_finite() && *value > 0.0;
    if let Some(bad) = [absolute, relative].iter().flatten().find(|value| !usable(value)) {
        return Err(PyValueError::new_err(format!("sigma = {bad}: expected a number above zero")));
    }
    match (name, absolute, relative) {
        ("absolute", sigma, _) => Ok(ErrorModel::Absolute { sigma: sigma.unwrap_or(1.0) }),
        ("relative", _, sigma) => Ok(ErrorModel::Relative { sigma: sigma.unwrap_or(1.0) }),
        ("mixed", Some(absolute), Some(relative)) => Ok(ErrorModel::Mixed { absolute, relative }),
        ("mixed", ..) => Err(PyValueError::new_err("mixed errors need absolute_sigma and relative_sigma")),
        _ => {
            Err(PyValueError::new_err(format!("error_model = {name}: expected absolute, relative or mixed")))
        }
    }
}

#[pymethods]
impl RunFit {
    /// Fits; `columns` are (name, cells), `bounds` (path, lower, upper).
    #[new]
    #[pyo3(signature = (
        recipe, file, rows, columns, free, bounds, model, absolute_sigma, relative_sigma, sigma_known
    ))]
    #[allow(clippy::too_many_arguments)] // one constructor, called from one place in Python
    fn new(
        py: Python<'_>,
        recipe: &Recipe,
        file: String,
        rows: Vec<usize>,
        columns: Vec<(String, Vec<Option<f64>>)>,
        free: Vec<String>,
        bounds: Vec<(String, f64, f64)>,
        model: &str,
        absolute_sigma: Option<f64>,
        relative_sigma: Option<f64>,
        sigma_known: bool,
    ) -> PyResult<Self> {
        let options = RunFitOptions {
            errors: error_model(model, absolute_sigma, relative_sigma)?,
            scale: if sigma_known { Scale::Known } else { Scale::Estimated },
            bounds,
        };
        let table = Runs { file, rows, columns };
        let inner = py
            .detach(|| runs::fit_runs(&recipe.inner, &table, &free, &options))
            .map_err(|error| raise_runs(py, &error))?;
        Ok(RunFit { inner })
    }

    /// Estimates, correlations, residuals, tests and remarks, as JSON.
    fn document(&self) -> String {
        #[derive(Serialize)]
        struct Document<'a> {
            estimates: &'a [PathEstimate],
            correlation: Vec<Vec<Option<f64>>>,
            error_model: ErrorModel,
            sigma: Scale,
            degrees_of_freedom: usize,
            scatter: Option<f64>,
            sum_of_squares: f64,
            aicc: Option<f64>,
            row: Vec<usize>,
            observed: Vec<f64>,
            calculated: &'a [f64],
            residual: &'a [f64],
            standardised_residual: Vec<Option<f64>>,
            leverage: Vec<f64>,
            lack_of_fit: Option<bathkin_fit::lack_of_fit::LackOfFit>,
            evaluations: usize,
            failures: usize,
            messages: &'a [bathkin_fit::arrhenius::Message],
        }
        let found = &self.inner;
        let influence = bathkin_fit::influence::influence(&found.fit);
        let (row, observed) = found.model.observed().unzip();
        json(&Document {
            estimates: &found.estimates,
            correlation: found.correlation(),
            error_model: found.model.error_model(),
            sigma: found.fit.options.scale,
            degrees_of_freedom: found.fit.degrees_of_freedom,
            scatter: found.fit.variance.map(f64::sqrt),
            sum_of_squares: found.fit.sum_of_squares(),
            aicc: bathkin_fit::criteria::criteria(&found.fit).aicc,
            row,
            observed,
            calculated: &found.calculated,
            residual: &found.fit.minimum.residuals,
            standardised_residual: influence.iter().map(|of| of.standardised_residual).collect(),
            leverage: influence.iter().map(|of| of.leverage).collect(),
            lack_of_fit: found.lack_of_fit,
            evaluations: found.fit.minimum.evaluations,
            failures: found.fit.minimum.failures,
            messages: &found.messages,
        })
    }

    /// Interval from the standard error.
    fn interval(&self, py: Python<'_>, place: usize, level: f64) -> PyResult<Option<[f64; 2]>> {
        self.inner.interval(place, level).map_err(|error| raise_runs(py, &error))
    }

    /// Interval from the profile likelihood; None on an open side.
    fn profile(&self, py: Python<'_>, place: usize, level: f64) -> PyResult<[Option<f64>; 2]> {
        py.detach(|| self.inner.profile(place, level)).map_err(|error| raise_runs(py, &error))
    }

    /// What a run would show, as JSON.
    fn predict(&self, py: Python<'_>, settings: Vec<(String, f64)>) -> PyResult<String> {
        let found = py.detach(|| self.inner.predict(&settings)).map_err(|error| raise_runs(py, &error))?;
        Ok(json(&found))
    }

    /// The recipe with the fitted numbers; `data` names the runs.
    fn fitted_recipe(&self, py: Python<'_>, data: &str) -> PyResult<Recipe> {
        let inner = self.inner.fitted_recipe(data).map_err(|error| raise_runs(py, &error))?;
        Ok(Recipe { inner })
    }
}
