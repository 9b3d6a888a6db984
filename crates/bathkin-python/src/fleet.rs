//! The same fit for many tanks.

use std::sync::atomic::{AtomicUsize, Ordering};

use bathkin_fit::{Data, DataError, RecipeFit, RecipeFitOptions, Stop};
use pyo3::exceptions::PyKeyboardInterrupt;
use pyo3::prelude::*;
use pyo3::types::PyList;
use rayon::prelude::*;

use crate::classes::Recipe;
use crate::errors::raise_data;
use crate::fit_options::{FitOptions, Given, sheets};
use crate::made::Made;
use crate::typed::{Attributes, Progress, Raised};
use crate::watched::{Report, until_interrupted};

/// A recipe, its data, and how it is fitted.
type Tank<'py> = (Bound<'py, Recipe>, Vec<Given>, Attributes<FitOptions>);

/// What is fitted.
struct Asked {
    recipe: bathkin::Recipe,
    data: Vec<Data>,
    options: RecipeFitOptions,
}

/// What each tank came to; nothing where it was not begun.
type Found = Option<Result<RecipeFit, DataError>>;

/// Results of fits in the order of their tanks, None where there is none.
pub struct Fits<'py>(Bound<'py, PyList>);

impl<'py> IntoPyObject<'py> for Fits<'py> {
    type Target = PyList;
    type Output = Bound<'py, PyList>;
    type Error = std::convert::Infallible;
    #[cfg(feature = "stub")]
    const OUTPUT_TYPE: pyo3::inspect::PyStaticExpr =
        <Vec<Option<bathkin_fit::result::FitResult<'_>>> as crate::classed::Classed>::CLASS;

    fn into_pyobject(self, _: Python<'py>) -> Result<Self::Output, Self::Error> {
        Ok(self.0)
    }
}

/// Fits tanks side by side: of each what it found and what was raised, both None where Ctrl-C came first; and whether all of
/// them were begun. `progress` is called with the number of tanks that are done.
#[pyfunction]
#[pyo3(signature = (tanks, progress = None))]
pub fn fit_many<'py>(
    py: Python<'py>,
    tanks: Vec<Tank<'py>>,
    progress: Option<Progress>,
) -> PyResult<(Fits<'py>, Vec<Option<Raised>>, bool)> {
    let stop = Stop::default();
    let asked: Vec<PyResult<Asked>> = tanks.into_iter().map(|tank| asked(py, tank, &stop)).collect();
    let each: Vec<Option<&Asked>> = asked.iter().map(|one| one.as_ref().ok()).collect();
    let (found, interrupted) =
        until_interrupted(py, progress.as_ref(), &stop, |report| fitted(&each, &stop, report))?;
    if let Some(error) = interrupted.filter(|error| !error.is_instance_of::<PyKeyboardInterrupt>(py)) {
        return Err(error);
    }
    let complete = !stop.is_asked();
    let (fits, mut raised) = (PyList::empty(py), Vec::with_capacity(asked.len()));
    for (one, found) in asked.into_iter().zip(found) {
        let (fit, error) = match (one, found) {
            (Err(error), _) => (None, Some(error)),
            (Ok(_), Some(Ok(fit))) => (Some(fit), None),
            (Ok(_), Some(Err(error))) => (None, Some(raise_data(py, &error))),
            (Ok(_), None) => (None, None),
        };
        fits.append(fit.as_ref().map(|fit| Made(fit.result()).into_pyobject(py)).transpose()?)?;
        raised.push(error.map(Raised));
    }
    Ok((Fits(fits), raised, complete))
}

/// A tank as the core takes it.
fn asked(py: Python<'_>, (recipe, data, options): Tank<'_>, stop: &Stop) -> PyResult<Asked> {
    let recipe = recipe.get().inner.clone();
    let options = RecipeFitOptions { stop: stop.clone(), ..options.0.of(py, &recipe)? };
    Ok(Asked { recipe, data: sheets(data)?, options })
}

fn fitted(tanks: &[Option<&Asked>], stop: &Stop, report: Report) -> Vec<Found> {
    let done = AtomicUsize::new(0);
    let one = |tank: &Option<&Asked>| -> Found {
        let Asked { recipe, data, options } = (*tank)?;
        if stop.is_asked() {
            return None;
        }
        let found = bathkin_fit::fit_recipe(recipe, data, options);
        // What a stop broke off has no answer, and is no failure.
        if stop.is_asked() && found.is_err() {
            return None;
        }
        report((done.fetch_add(1, Ordering::Relaxed) + 1) as f64);
        Some(found)
    };
    tanks.par_iter().map(one).collect()
}
