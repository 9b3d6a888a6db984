//! Models of the same data side by side.

use bathkin_fit::predict::{CandidateModel, compare_reporting};
use bathkin_fit::{RecipeFitOptions, Stop};
use bathkin_statistics::cross_validation::Folds;
use pyo3::prelude::*;

use crate::classes::Recipe;
use crate::errors::raise_data;
use crate::fit_question::{Given, asked, sheets};
use crate::json::json;
use crate::watched::watched;

/// Ranks rivals (name, recipe, options as JSON), as JSON; `folds` are how many parts are left out in turn, 0
/// for each case by itself, None for no cross-validation. `progress` gets how many fits are done.
#[pyfunction]
#[pyo3(signature = (rivals, data, folds, seed, progress = None))]
pub fn compare_models(
    py: Python<'_>,
    rivals: Vec<(String, PyRef<'_, Recipe>, String)>,
    data: Vec<Given>,
    folds: Option<usize>,
    seed: u64,
    progress: Option<Py<PyAny>>,
) -> PyResult<String> {
    let (data, stop) = (sheets(data)?, Stop::default());
    let rival = |(name, recipe, options): &(String, PyRef<'_, Recipe>, String)| {
        let options = RecipeFitOptions { stop: stop.clone(), ..asked(py, &recipe.inner, options)? };
        Ok(CandidateModel { name: name.clone(), recipe: recipe.inner.clone(), options })
    };
    let rivals = rivals.iter().map(rival).collect::<PyResult<Vec<_>>>()?;
    let folds = folds.map(|count| if count == 0 { Folds::Each } else { Folds::Drawn { count, seed } });
    let found = watched(py, progress.as_ref(), &stop, |report| {
        compare_reporting(&rivals, &data, folds, &|count| {
            report(count as f64);
        })
    })?;
    Ok(json(&found.map_err(|error| raise_data(py, &error))?))
}
