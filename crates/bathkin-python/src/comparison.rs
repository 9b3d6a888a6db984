//! Models of the same data side by side.

use bathkin_fit::predict::{CandidateModel, ModelComparison, compare_reporting};
use bathkin_fit::{RecipeFitOptions, Stop};
use bathkin_statistics::cross_validation::Folds;
use pyo3::prelude::*;

use crate::classes::Recipe;
use crate::errors::raise_data;
use crate::fit_options::{FitOptions, Given, sheets};
use crate::made::Made;
use crate::typed::{Attributes, Progress};
use crate::watched::watched;

/// Ranks candidates (name, recipe, options); `folds` are how many parts are left out in turn, 0
/// for each case by itself, None for no cross-validation. `progress` gets how many fits are done.
#[pyfunction]
#[pyo3(signature = (candidates, data, folds, seed, progress = None))]
pub fn compare_models(
    py: Python<'_>,
    candidates: Vec<(String, PyRef<'_, Recipe>, Attributes<FitOptions>)>,
    data: Vec<Given>,
    folds: Option<usize>,
    seed: u64,
    progress: Option<Progress>,
) -> PyResult<Made<ModelComparison>> {
    let (data, stop) = (sheets(data)?, Stop::default());
    let candidate = |(name, recipe, options): (String, PyRef<'_, Recipe>, Attributes<FitOptions>)| {
        let options = RecipeFitOptions { stop: stop.clone(), ..options.0.of(py, &recipe.inner)? };
        Ok(CandidateModel { name, recipe: recipe.inner.clone(), options })
    };
    let candidates = candidates.into_iter().map(candidate).collect::<PyResult<Vec<_>>>()?;
    let folds = folds.map(|count| if count == 0 { Folds::Each } else { Folds::Drawn { count, seed } });
    let found = watched(py, progress.as_ref(), &stop, |report| {
        compare_reporting(&candidates, &data, folds, &|count| {
            report(count as f64);
        })
    })?;
    found.map(Made).map_err(|error| raise_data(py, &error))
}
