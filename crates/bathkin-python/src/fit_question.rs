//! What Python asks of a fit: data as tuples, options as JSON.

use bathkin::Recipe;
use bathkin_fit::data::{ErrorModel, Sheet};
use bathkin_fit::estimate::Prior;
use bathkin_fit::objective::{FitSpecification, Tie};
use bathkin_fit::{Data, RecipeFitOptions};
use bathkin_numerics::least_squares::Loss;
use bathkin_statistics::Scale;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use serde::Deserialize;

use crate::errors::raise_data;

/// Columns of numbers; an empty cell is `None`.
type Numbers = Vec<(String, Vec<Option<f64>>)>;

/// A sheet: `runs` or `log`, file, numbers of the rows, columns, columns of words, when a log begins.
pub type Given = (String, String, Vec<usize>, Numbers, Vec<(String, Vec<String>)>, Option<f64>);

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Asked {
    free: Vec<String>,
    /// (path, the free path it follows, times that one).
    ties: Vec<(String, String, Option<f64>)>,
    per: Vec<(String, String)>,
    errors: ErrorModel,
    column_errors: Vec<(String, ErrorModel)>,
    starts_as_made_up: bool,
    sigma_known: bool,
    #[serde(default)]
    start: Vec<(String, f64)>,
    bounds: Vec<(String, Option<f64>, Option<f64>)>,
    /// (path, mean and standard deviation, or nothing where the recipe is to tell).
    priors: Vec<(String, Option<(f64, f64)>)>,
    loss: Robust,
    loss_scale: f64,
    starts: usize,
    seed: u64,
}

#[derive(Deserialize)]
#[serde(rename_all = "snake_case")]
enum Robust {
    Linear,
    SoftL1,
    Huber,
    Cauchy,
}

/// Sheets of data.
pub fn sheets(given: Vec<Given>) -> PyResult<Vec<Data>> {
    let of = |(kind, file, rows, columns, labels, start_s): Given| {
        let sheet = Sheet { file, rows, columns, labels, start_s };
        match kind.as_str() {
            "runs" => Ok(Data::Runs(sheet)),
            "log" => Ok(Data::Log(sheet)),
            _ => Err(PyValueError::new_err(format!("data = {kind}: expected runs or log"))),
        }
    };
    given.into_iter().map(of).collect()
}

/// Options of a fit.
pub fn asked(py: Python<'_>, recipe: &Recipe, options: &str) -> PyResult<RecipeFitOptions> {
    let asked: Asked =
        serde_json::from_str(options).map_err(|error| PyValueError::new_err(format!("options: {error}")))?;
    let bound = |(path, low, high): (String, Option<f64>, Option<f64>)| {
        (path, low.unwrap_or(f64::NEG_INFINITY), high.unwrap_or(f64::INFINITY))
    };
    let prior = |(path, told): (String, Option<(f64, f64)>)| match told {
        Some((mean, standard_deviation)) => Ok(Prior { path, mean, standard_deviation }),
        None => Prior::from_recipe(recipe, &path).map_err(|error| raise_data(py, &error)),
    };
    Ok(RecipeFitOptions {
        specification: FitSpecification {
            free: asked.free,
            ties: asked.ties.into_iter().map(|(path, to, factor)| Tie { path, to, factor }).collect(),
            per: asked.per,
            errors: Some(asked.errors),
            column_errors: asked.column_errors,
            starts_as_made_up: asked.starts_as_made_up,
        },
        scale: if asked.sigma_known { Scale::Known } else { Scale::Estimated },
        start: asked.start,
        bounds: asked.bounds.into_iter().map(bound).collect(),
        priors: asked.priors.into_iter().map(prior).collect::<PyResult<_>>()?,
        loss: match asked.loss {
            Robust::Linear => Loss::Linear,
            Robust::SoftL1 => Loss::SoftL1,
            Robust::Huber => Loss::Huber,
            Robust::Cauchy => Loss::Cauchy,
        },
        loss_scale: Some(asked.loss_scale),
        starts: asked.starts,
        seed: asked.seed,
        ..RecipeFitOptions::default()
    })
}
