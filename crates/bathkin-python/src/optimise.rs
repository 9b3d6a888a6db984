//! Best numbers of a recipe, and trade-offs.

use bathkin::error::Result;
use bathkin::study::optimise as core;
use bathkin::study::optimise::{Aim, Asked, Band, Optimisation, TradeOff, Varied};
use bathkin::{Error, Stop};
use pyo3::exceptions::PyKeyboardInterrupt;
use pyo3::prelude::*;

use crate::classes::Recipe;
use crate::errors::raise;
use crate::made::Made;
use crate::typed::Progress;
use crate::watched::{Report, until_interrupted};

/// Numbers with their bounds, goals with whether they are to be great, limits with their sides, further outputs, and points,
/// starts, restarts and seed.
type Given = (
    Vec<(String, f64, f64)>,
    Vec<(String, bool)>,
    Vec<(String, Option<f64>, Option<f64>)>,
    Vec<String>,
    (u32, usize, usize, u64),
);

fn asked((vary, aims, limits, outputs, (points, starts, restarts, seed)): Given) -> Asked {
    Asked {
        vary: vary.into_iter().map(|(path, low, high)| Varied { path, low, high }).collect(),
        aims: aims.into_iter().map(|(output, most)| Aim { output, most }).collect(),
        limits: limits.into_iter().map(|(name, low, high)| Band { name, low, high }).collect(),
        outputs,
        points,
        starts,
        restarts,
        seed,
    }
}

/// Best numbers of a recipe; after Ctrl-C the best until then. `progress` is called with the number of points that are done.
#[pyfunction]
#[pyo3(signature = (recipe, given, progress = None))]
pub fn optimise(
    py: Python<'_>,
    recipe: &Recipe,
    given: Given,
    progress: Option<Progress>,
) -> PyResult<Made<Optimisation>> {
    let (recipe, asked) = (&recipe.inner, asked(given));
    watched(py, progress, |stop, report| core::optimise(recipe, &asked, stop, &|done| report(done as f64)))
}

/// The curve between two goals, of so many points.
#[pyfunction]
#[pyo3(signature = (recipe, given, count, progress = None))]
pub fn trade_off(
    py: Python<'_>,
    recipe: &Recipe,
    given: Given,
    count: usize,
    progress: Option<Progress>,
) -> PyResult<Made<TradeOff>> {
    let (recipe, asked) = (&recipe.inner, asked(given));
    watched(py, progress, |stop, report| {
        core::trade_off(recipe, &asked, count, stop, &|done| report(done as f64))
    })
}

/// Work that has something to show when Ctrl-C ends it, unless nothing is done yet.
fn watched<T: Send>(
    py: Python<'_>,
    progress: Option<Progress>,
    work: impl FnOnce(&Stop, Report) -> Result<T> + Send,
) -> PyResult<Made<T>> {
    let stop = Stop::default();
    let (found, interrupted) = until_interrupted(py, progress.as_ref(), &stop, |report| work(&stop, report))?;
    match (found, interrupted) {
        (_, Some(error)) if !error.is_instance_of::<PyKeyboardInterrupt>(py) => Err(error),
        (Ok(found), _) => Ok(Made(found)),
        (Err(Error::Stopped), Some(interrupted)) => Err(interrupted),
        (Err(error), _) => Err(raise(py, &error)),
    }
}
