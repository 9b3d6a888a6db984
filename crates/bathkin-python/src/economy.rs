//! Cost, outlook, sensitivity, bleed and strategies.

use bathkin::Flag;
use bathkin::life::Outlook;
use bathkin::study::{
    BleedForLimit, Horizon, LifeCost, LifeSensitivity, RankedBy, SteadyBleed, Strategy, StrategyResult,
};
use pyo3::prelude::*;

use crate::classes::Recipe;
use crate::errors::raise;
use crate::life::Life;
use crate::made::Made;
use crate::recipe::{Set, from_python, to_python};
use crate::watched::of_recipe;

/// What a life has cost; None for a recipe without prices.
#[pyfunction]
pub fn life_cost(py: Python<'_>, recipe: &Recipe, life: &Life) -> PyResult<Made<Option<LifeCost>>> {
    of_recipe(py, &recipe.inner, |recipe| recipe.life_cost(&life.verdict, &life.table)).map(Made)
}

/// Warnings that go with a cost.
#[pyfunction]
pub fn price_flags(py: Python<'_>, recipe: &Recipe) -> PyResult<Made<Vec<Flag>>> {
    recipe.inner.price_flags().map(Made).map_err(|error| raise(py, &error))
}

/// When each limit is reached; `past` runs the life on past its first limit.
#[pyfunction]
pub fn life_outlook(
    py: Python<'_>,
    recipe: &Recipe,
    life: &Life,
    past: bool,
) -> PyResult<Made<Vec<Outlook>>> {
    let outlook = of_recipe(py, &recipe.inner, |recipe| {
        let further = if past { Some(recipe.life_past_limits(&life.verdict)?) } else { None };
        recipe.outlook(&life.verdict, &life.table, &life.margins, further.as_ref())
    });
    outlook.map(Made)
}

/// How the dump moves with each number, ranked by `area`, `money` or `hours`.
#[pyfunction]
pub fn life_sensitivity(
    py: Python<'_>,
    recipe: &Recipe,
    paths: Option<Vec<String>>,
    by: &str,
) -> PyResult<Made<LifeSensitivity>> {
    let by = RankedBy::named(by).map_err(|error| raise(py, &error))?;
    of_recipe(py, &recipe.inner, |recipe| recipe.life_sensitivity(paths.as_deref(), by)).map(Made)
}

/// Where a steady bleed ends.
#[pyfunction]
pub fn steady_bleed(py: Python<'_>, recipe: &Recipe, bleed_per_turnover: f64) -> PyResult<Made<SteadyBleed>> {
    of_recipe(py, &recipe.inner, |recipe| recipe.steady_bleed(bleed_per_turnover)).map(Made)
}

/// The least bleed that holds a limit for ever.
#[pyfunction]
pub fn bleed_for_limit(py: Python<'_>, recipe: &Recipe, limit: &str) -> PyResult<Made<BleedForLimit>> {
    of_recipe(py, &recipe.inner, |recipe| recipe.bleed_for_limit(limit)).map(Made)
}

/// Usual strategies of these names (without names all) with a bleed, or the one that is usual too: each name
/// with what it sets.
#[pyfunction]
#[pyo3(signature = (recipe, names = None, bleed_per_turnover = None))]
pub fn usual_strategies(
    py: Python<'_>,
    recipe: &Recipe,
    names: Option<Vec<String>>,
    bleed_per_turnover: Option<f64>,
) -> PyResult<Vec<(String, Set)>> {
    let asked: Vec<&str> = match &names {
        Some(names) => names.iter().map(String::as_str).collect(),
        None => Strategy::USUAL.to_vec(),
    };
    let found = of_recipe(py, &recipe.inner, |recipe| recipe.usual_strategies(&asked, bleed_per_turnover))?;
    found.into_iter().map(|usual| Ok((usual.name, to_python(py, &usual.settings)?))).collect()
}

/// A strategy from Python: its name and what it sets.
type Asked = (String, Set);

/// Strategies over the same horizon (hours, or area in m²; neither: five lives).
#[pyfunction]
#[pyo3(signature = (recipe, strategies, hours = None, area_m2 = None))]
pub fn compare(
    py: Python<'_>,
    recipe: &Recipe,
    strategies: Vec<Asked>,
    hours: Option<f64>,
    area_m2: Option<f64>,
) -> PyResult<Made<Vec<StrategyResult>>> {
    let strategies = strategies
        .into_iter()
        .map(|(name, settings)| {
            let settings = settings
                .into_iter()
                .map(|(path, value)| Ok((path, from_python(value.0.bind(py))?)))
                .collect::<PyResult<Vec<_>>>()?;
            Ok(Strategy { name, settings })
        })
        .collect::<PyResult<Vec<_>>>()?;
    let horizon = hours.map(Horizon::Hours).or(area_m2.map(Horizon::Area));
    of_recipe(py, &recipe.inner, |recipe| recipe.compare(&strategies, horizon)).map(Made)
}
