//! The dump date of a bath with its uncertainty.
//!
//! The life of the bath from its make-up to its first limit, once for every draw of the fitted numbers
//! ([`draws`](crate::predict::draws())): how the lives spread is what the data leave open of the fitted numbers. Nothing
//! else is drawn; what the recipe says of work, solutions and limits is taken as it stands. What ten per cent more of
//! each number that is invented or widely uncertain would do to the life is given beside it.

use bathkin::Recipe;
use bathkin::life::Verdict;
use rayon::prelude::*;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use crate::error::{DataError, RequestProblem};
use crate::predict::draws::{draws, with_draw};
use crate::predict::forecast_remarks::remarks;
use crate::predict::forecast_result::{DumpForecast, Forecast, ForecastOptions};
use crate::predict::held::{HeldNumber, by_strength, held_by};
use crate::predict::spread::{Spread, first_limits};
use crate::recipe_fit::RecipeFit;
use bathkin_statistics::error::FitError;

/// Lives of a recipe at draws of a fit, from a seed; the same for any number of threads.
///
/// `recipe` is the bath that will be run, which may differ from the fitted one in anything but the fitted
/// numbers; ties follow. The bath starts from a fresh make-up. `report` is called with the number of lives
/// that are done; `false` from it ends the forecast.
///
/// # Errors
/// [`DataError`]: a fit that misses its data ([`DataError::Misfit`]); a life at the estimates that fails; every draw failed; a grouped parameter of the fit;
/// the forecast was ended by `report`.
pub fn forecast(
    recipe: &Recipe,
    fit: &RecipeFit,
    options: &ForecastOptions,
    report: &(dyn Fn(usize) -> bool + Sync),
) -> Result<Forecast, DataError> {
    let ForecastOptions { count, seed, despite_misfit, .. } = *options;
    let missed: Vec<String> = fit.misfit().map(|remark| remark.text.clone()).collect();
    if !despite_misfit && !missed.is_empty() {
        return Err(DataError::Misfit { remarks: missed });
    }
    let record = fit.record();
    let estimated = with_draw(recipe, &record, &record.estimates)?;
    let longest_clock_h = estimated.model()?.settings.longest_clock_h;
    let life = estimated.simulate_life()?;
    let flags = estimated.life_flags(&life)?;
    let at_estimates = life.verdict;
    let drawn = draws(&record, count, seed)?;
    let (done, ended) = (AtomicUsize::new(0), AtomicBool::new(false));
    let life = |draw: &Vec<f64>| -> Result<Verdict, DataError> {
        recipe.go_on()?;
        let mut going_on = |_: f64| !ended.load(Ordering::Relaxed);
        let lived = with_draw(recipe, &record, draw)?.simulate_life_reporting(&mut going_on);
        if !report(done.fetch_add(1, Ordering::Relaxed) + 1) {
            ended.store(true, Ordering::Relaxed);
        }
        Ok(lived?.verdict)
    };
    let found: Vec<Result<Verdict, DataError>> = drawn.values.par_iter().map(life).collect();
    if ended.load(Ordering::Relaxed) {
        return Err(FitError::Stopped.into());
    }
    let held_numbers = by_strength(moved(&estimated, fit, &at_estimates, &|| {
        if !report(count) {
            ended.store(true, Ordering::Relaxed);
        }
        !ended.load(Ordering::Relaxed)
    }));
    if ended.load(Ordering::Relaxed) {
        return Err(FitError::Stopped.into());
    }
    let first_failure = found.iter().find_map(|life| life.as_ref().err().map(DataError::remark));
    let lives: Vec<Option<Verdict>> = found.into_iter().map(Result::ok).collect();
    let lived: Vec<&Verdict> = lives.iter().flatten().collect();
    if lived.is_empty() {
        return Err(RequestProblem::NoLife { count, why: first_failure }.into());
    }
    let clock_h = spread(&lived, |life| life.clock_h);
    let made_up = options.made_up.as_ref();
    let mut ahead = Forecast {
        draws: count,
        dump: DumpForecast {
            clock_h,
            plating_h: spread(&lived, |life| life.plating_h),
            turnovers: spread(&lived, |life| life.turnovers),
            area_m2: spread(&lived, |life| life.area_m2),
            date: made_up.map(|made_up| made_up.spread(&clock_h)).transpose()?.unwrap_or_default(),
        },
        first_limit: first_limits(lived.iter().map(|life| life.limit.as_str())),
        beyond: lived.iter().filter(|life| outlives(life)).count(),
        longest_clock_h,
        failed: lives.len() - lived.len(),
        first_failure,
        date_at_estimates: made_up.map(|made_up| made_up.day_after(at_estimates.clock_h)).transpose()?,
        at_estimates,
        flags,
        held: drawn.held,
        held_numbers,
        lives,
        remarks: Vec::new(),
    };
    ahead.remarks = remarks(&ahead, fit, options)?;
    Ok(ahead)
}

/// What ten per cent more of each number that is held does to the life at the estimates, h.
fn moved(
    estimated: &Recipe,
    fit: &RecipeFit,
    at_estimates: &Verdict,
    going_on: &(dyn Fn() -> bool + Sync),
) -> Vec<HeldNumber> {
    let life = |mut one: HeldNumber| {
        let lived = one.more(estimated).simulate_life_reporting(&mut |_| going_on());
        let ended = lived.ok().map(|life| life.verdict).filter(|verdict| !outlives(verdict));
        one.moved =
            ended.filter(|_| !outlives(at_estimates)).map(|verdict| verdict.clock_h - at_estimates.clock_h);
        one
    };
    held_by(estimated, fit).into_par_iter().map(life).collect()
}

/// Whether a life reached no limit.
fn outlives(life: &Verdict) -> bool {
    life.limit == "none"
}

fn spread(lives: &[&Verdict], of: impl Fn(&Verdict) -> f64) -> Spread {
    let end = |life: &&Verdict| if outlives(life) { f64::INFINITY } else { of(life) };
    Spread::of(lives.iter().map(end).collect())
}
