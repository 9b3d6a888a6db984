//! Numbers of the recipe that no member draws, and those that each draws: what they do to the date.
//!
//! Ten per cent more of each from now on, in the bath as it is believed to be and plating today as fast as the log says: what a
//! number does to the rate of today is in the rate factor, which is drawn. Limits stay where they are, in the unit of what they
//! watch. Numbers of laws alone: contents, strengths and drag-out are drawn, and what a shop sets it knows.

use bathkin::constants::SECONDS_PER_HOUR;
use bathkin::document::Role;
use bathkin::life::RestOfLife;
use rayon::prelude::*;

use crate::error::DataError;
use crate::format::number;
use crate::predict::held::{HeldNumber, PART, by_strength, held};
use crate::track::moved::Told;
use crate::track::numbers::{Number, is_asked};
use crate::track::rest::Today;
use crate::track::result::DrawnNumber;

/// Numbers of laws that are invented or widely uncertain, those first that move the end of the bath at the mean most, h.
///
/// # Errors
/// An equilibrium that is not found today.
pub(crate) fn held_numbers(
    today: &Today,
    at_mean: &RestOfLife,
    drawn: &[Number],
) -> Result<Vec<HeldNumber>, DataError> {
    let of_law = |path: &str| {
        let role = today.model.declaration(path).map(|one| one.role);
        matches!(role, Some(Role::Constant | Role::Law | Role::LawOfLiquid | Role::GasExchange))
            && drawn.iter().all(|one| one.path != path)
    };
    let told = Told::rate_of(today)?;
    let each = |mut one: HeldNumber| {
        one.moved = later(with_value(today, &one.path, (1.0 + PART) * one.value, &told), at_mean);
        one
    };
    let moved = held(today.recipe, of_law).into_par_iter().map(each).collect();
    today.recipe.go_on()?;
    Ok(by_strength(moved))
}

/// The rest of the life at the mean with a number at another value.
fn with_value(today: &Today, path: &str, value: f64, told: &Told) -> Result<RestOfLife, DataError> {
    let bath = today.with_numbers(&[(path, value)], told)?;
    bath.today(today).life_of(&(&today.belief.mean + &bath.shift), None, &mut |_| true)
}

/// Numbers that have a width, those first of which one standard deviation more moves the end of the bath at the mean most, h. Drawn
/// are those that move it, and those that were asked for.
///
/// # Errors
/// An equilibrium that is not found today.
pub(crate) fn drawn_numbers(
    today: &Today,
    at_mean: &RestOfLife,
    numbers: &[Number],
    asked: &[String],
) -> Result<Vec<DrawnNumber>, DataError> {
    /// Part of the time left; all of a recipe's numbers that move it by less widen it by a fiftieth of itself.
    const LEAST_PART: f64 = 0.005;
    if numbers.is_empty() {
        return Ok(Vec::new());
    }
    let told = Told::of(today)?;
    let least_h = LEAST_PART * (at_mean.verdict.clock_h - today.clock_s / SECONDS_PER_HOUR);
    let each = |one: &Number| {
        let more = one.at(1.0);
        let moved = later(with_value(today, &one.path, more, &told), at_mean);
        let moves = at_mean.verdict.limit != "none" && moved.is_none_or(|hours| hours.abs() >= least_h);
        let drawn = moves || is_asked(asked, &one.path);
        DrawnNumber { path: one.path.clone(), value: one.value, one_sd_more: more, moved, drawn }
    };
    let mut found: Vec<DrawnNumber> = numbers.par_iter().map(each).collect();
    today.recipe.go_on()?;
    let strength = |one: &DrawnNumber| one.moved.map_or(f64::INFINITY, f64::abs);
    found.sort_by(|a, b| strength(b).total_cmp(&strength(a)));
    Ok(found)
}

/// How much later a life ends than another, h; none where one of them has no end.
fn later(life: Result<RestOfLife, DataError>, at_mean: &RestOfLife) -> Option<f64> {
    let ends = |life: &RestOfLife| life.verdict.limit != "none";
    let life = life.ok().filter(|life| ends(life) && ends(at_mean))?;
    Some(life.verdict.clock_h - at_mean.verdict.clock_h)
}

/// What moves the date by an hour and more, in words: (path, hours) of each, the strongest first.
fn strongest<'a>(each: impl Iterator<Item = (&'a str, Option<f64>)>) -> Option<String> {
    const MOST: usize = 3;
    const LEAST_H: f64 = 1.0;
    let moving = each.filter(|(_, moved)| moved.is_none_or(|hours| hours.abs() >= LEAST_H));
    let words = |(path, moved): (&str, Option<f64>)| match moved {
        Some(hours) => {
            let sign = if hours > 0.0 { "+" } else { "" };
            format!("{path} {sign}{} h", number(hours, 2))
        }
        None => format!("{path} to no date at all"),
    };
    let each: Vec<String> = moving.take(MOST).map(words).collect();
    (!each.is_empty()).then(|| each.join(", "))
}

/// What held numbers move, in words.
pub(crate) fn told(held: &[HeldNumber]) -> Option<String> {
    let each = strongest(held.iter().map(|one| (one.path.as_str(), one.moved)))?;
    Some(format!("numbers of laws that were never measured; 10 % more from now on moves the date by: {each}"))
}

/// Which numbers are drawn, and what they move, in words.
pub(crate) fn told_drawn(numbers: &[DrawnNumber]) -> Option<String> {
    let drawn: Vec<&DrawnNumber> = numbers.iter().filter(|one| one.drawn).collect();
    let text = match drawn.as_slice() {
        [] => return None,
        [one] => format!("{} within its width, as far as the log has not told it", one.path),
        _ => format!(
            "{} constants and numbers of laws within their widths, as far as the log has not told them",
            drawn.len()
        ),
    };
    let moving = drawn.iter().filter(|one| one.moved.is_some()).map(|one| (one.path.as_str(), one.moved));
    Some(match strongest(moving) {
        Some(each) => format!("{text}; one standard deviation more moves the date by: {each}"),
        None => text,
    })
}

/// Which numbers have a width and move nothing, in words.
pub(crate) fn told_unmoving(numbers: &[DrawnNumber]) -> Option<String> {
    let count = numbers.iter().filter(|one| !one.drawn).count();
    let strongest = numbers.iter().find(|one| !one.drawn)?;
    let hours = strongest.moved.map_or(0.0, f64::abs);
    Some(format!(
        "of the constants and numbers of laws with a width {count}: one standard deviation of each moves the date by {} h at \
         most, as far as the log has not told it",
        number(hours, 2)
    ))
}
