//! Numbers of the recipe that no member draws, and what they do to the date.
//!
//! Ten per cent more of each from now on, in the bath as it is believed to be and plating today as fast as the log says: what a
//! number does to the rate of today is in the rate factor, which is drawn. Limits stay where they are, in the unit of what they
//! watch. Numbers of laws alone: contents, strengths and drag-out are drawn, and what a shop sets it knows.

use bathkin::document::Role;
use bathkin::life::RestOfLife;
use bathkin::tank::{Balances, Tank};
use rayon::prelude::*;
use std::sync::Arc;

use crate::error::DataError;
use crate::format::number;
use crate::predict::held::{HeldNumber, by_strength, held};
use crate::track::passes::with_form;
use crate::track::rest::Today;
use crate::track::unknown::AgeingForm;

/// Numbers of laws that are invented or widely uncertain, those first that move the end of the bath at the mean most, h.
///
/// # Errors
/// An equilibrium that is not found today.
pub(crate) fn held_numbers(
    today: &Today,
    form: AgeingForm,
    at_mean: &RestOfLife,
) -> Result<Vec<HeldNumber>, DataError> {
    let model = today.recipe.model()?;
    let of_law = |path: &str| {
        let role = model.declaration(path).map(|one| one.role);
        matches!(role, Some(Role::Constant | Role::Law | Role::LawOfLiquid | Role::GasExchange))
    };
    let rate = growth_now(today)?;
    let each = |mut one: HeldNumber| {
        one.moved = with_more(today, &one, form, rate)
            .ok()
            .filter(|life| life.verdict.limit != "none" && at_mean.verdict.limit != "none")
            .map(|life| life.verdict.clock_h - at_mean.verdict.clock_h);
        one
    };
    let moved = held(today.recipe, of_law).into_par_iter().map(each).collect();
    today.recipe.go_on()?;
    Ok(by_strength(moved))
}

/// The rest of the life at the mean with more of a number.
fn with_more(today: &Today, one: &HeldNumber, form: AgeingForm, rate: f64) -> Result<RestOfLife, DataError> {
    let recipe = one.more(today.recipe);
    let model = recipe.model()?;
    let mut tank: Tank = with_form(model.tank.clone(), form, &model.fresh_totals_mol_l)?;
    let factor = rate / growth_now(&Today { recipe: &recipe, tank: &tank, ..*today })?;
    if factor.is_finite() && factor > 0.0 {
        tank.bath.kinetics = Arc::new(tank.bath.kinetics.times(factor));
    }
    Today { recipe: &recipe, tank: &tank, ..*today }.at_mean()
}

/// How fast the bath at the mean plates today, um/s.
fn growth_now(today: &Today) -> Result<f64, DataError> {
    let values = &today.belief.mean.as_slice()[today.coordinates.len()..];
    let tank = today.tank_of(values);
    let balances = Balances::new(&tank, &today.recipe.model()?.fresh_totals_mol_l);
    Ok(balances.observe(&today.state_of(&today.belief.mean), |observed, _, _| observed.growth_um_s)?)
}

/// What moves the date by an hour and more, in words.
pub(crate) fn told(held: &[HeldNumber]) -> Option<String> {
    const MOST: usize = 3;
    const LEAST_H: f64 = 1.0;
    let moving = held.iter().filter(|one| one.moved.is_none_or(|hours| hours.abs() >= LEAST_H));
    let each: Vec<String> = moving
        .take(MOST)
        .map(|one| match one.moved {
            Some(hours) => {
                let sign = if hours > 0.0 { "+" } else { "" };
                format!("{} {sign}{} h", one.path, number(hours, 2))
            }
            None => format!("{} to no date at all", one.path),
        })
        .collect();
    (!each.is_empty()).then(|| {
        format!(
            "numbers of laws that were never measured; 10 % more from now on moves the date by: {}",
            each.join(", ")
        )
    })
}
