//! Dosing plans.

use bathkin::study::{Plan, PlanRequest};
use pyo3::prelude::*;

use crate::classes::Recipe;
use crate::made::Made;
use crate::watched::of_recipe;

/// What to add in the coming shift.
#[pyfunction]
#[pyo3(signature = (recipe, shift_h, now, round_ml = None, calendar = None, start_s = None, sure = false))]
#[expect(clippy::too_many_arguments, reason = "the arguments of a Python call")]
pub fn plan(
    py: Python<'_>,
    recipe: &Recipe,
    shift_h: f64,
    now: Vec<(String, f64)>,
    round_ml: Option<f64>,
    calendar: Option<String>,
    start_s: Option<f64>,
    sure: bool,
) -> PyResult<Made<Plan>> {
    let request = PlanRequest { shift_h, now, round_ml, calendar, start_s, sure };
    of_recipe(py, &recipe.inner, |recipe| recipe.plan(&request)).map(Made)
}
