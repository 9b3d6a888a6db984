//! Lives at draws of fitted numbers.

use bathkin::document::Value;
use bathkin::remark::RemarkValue;
use bathkin_fit::data::ErrorModel;
use bathkin_fit::objective::Tie;
use bathkin_fit::predict::{ForecastOptions, draws, forecast};
use bathkin_fit::{FitSpecification, RecipeFit, RecipeFitOptions, fit_recipe};
use bathkin_statistics::Scale;
use rayon::ThreadPoolBuilder;

use support::fits::{ENERGY, RATE, asked, close, runs, tank};
use support::recipes::power_law;

const COUNT: usize = 30;

fn fitted(ties: Vec<Tie>) -> RecipeFit {
    let data = runs(&[("temperature_c", &[86.0, 88.0, 90.0]), ("deposition_um_h", &[16.1, 18.5, 20.6])]);
    let specification =
        FitSpecification { errors: Some(ErrorModel::Relative { sigma: 0.2 }), ties, ..asked(&[RATE]) };
    let options = RecipeFitOptions { specification, scale: Scale::Known, ..RecipeFitOptions::default() };
    fit_recipe(&power_law(), &[data], &options).expect("a fit")
}

fn of(count: usize) -> ForecastOptions {
    ForecastOptions { count, seed: 7, ..ForecastOptions::default() }
}

/// Hours of plating until the dump at a rate.
fn plating_h(rate: f64) -> f64 {
    let at = tank(8760.0).with(RATE, Value::Number(rate), "test");
    at.simulate_life().expect("a life").verdict.plating_h
}

/// Producer: lives at the rates below which nine, five and one of ten draws lie: the faster it plates, the sooner
/// it is dumped. 0.3 %, for what is straight between draws in the rate is not quite so in the time.
#[test]
fn quantiles_of_a_dump_are_lives_at_quantiles_of_the_rate() {
    let found = fitted(Vec::new());
    let ahead = forecast(&tank(8760.0), &found, &of(COUNT), &|_| true).expect("a forecast");
    let mut rates: Vec<f64> =
        draws(&found.record(), COUNT, 7).expect("draws").values.iter().map(|draw| draw[0]).collect();
    rates.sort_by(f64::total_cmp);
    let rate_at = |part: f64| {
        let place = part * (COUNT - 1) as f64;
        let below = place.floor() as usize;
        rates[below] + (place - below as f64) * (rates[below + 1] - rates[below])
    };
    let spread = ahead.dump.plating_h;
    for (found, part) in [(spread.p10, 0.9), (spread.p50, 0.5), (spread.p90, 0.1)] {
        close(found.expect("a dump"), plating_h(rate_at(part)), 3e-3, "plating hours");
    }
    assert_eq!((ahead.failed, ahead.beyond, ahead.draws, ahead.lives.len()), (0, 0, COUNT, COUNT));
    assert_eq!(ahead.first_limit.len(), 1);
    assert_eq!(ahead.first_limit[0], ("turnovers".to_owned(), 1.0));
    close(ahead.dump.turnovers.p50.expect("a dump"), 0.5, 1e-3, "turnovers");
    close(ahead.at_estimates.plating_h, plating_h(found.estimates[0].value), 1e-12, "at the estimates");
    // The same for any number of threads.
    let pool = ThreadPoolBuilder::new().num_threads(1).build().expect("a pool");
    let alone = pool.install(|| forecast(&tank(8760.0), &found, &of(COUNT), &|_| true)).expect("a forecast");
    assert_eq!(alone, ahead);
}

#[test]
fn lives_that_reach_no_limit_are_longer_than_any_number() {
    let found = fitted(Vec::new());
    let all = forecast(&tank(8760.0), &found, &of(COUNT), &|_| true).expect("a forecast");
    let median = all.dump.clock_h.p50.expect("a dump");
    let cut = forecast(&tank(median), &found, &of(COUNT), &|_| true).expect("a forecast");
    assert_eq!(cut.dump.clock_h.p10, all.dump.clock_h.p10);
    assert_eq!((cut.dump.clock_h.p90, cut.dump.area_m2.p90), (None, None));
    assert!(cut.beyond > 0 && cut.beyond < COUNT);
    let none = cut.first_limit.iter().find(|(limit, _)| limit == "none").expect("lives without a limit");
    close(none.1, cut.beyond as f64 / COUNT as f64, 1e-12, "part beyond");
    assert!(cut.words().contains("P90 beyond"), "{}", cut.words());
}

/// Draws below a least rate of the fresh bath have no life: the first says so by cause.
#[test]
fn lives_that_fail_are_counted_and_the_first_says_why() {
    let found = fitted(Vec::new());
    let drawn = draws(&found.record(), COUNT, 7).expect("draws");
    let fresh = |rate: f64| {
        let at = tank(8760.0).with(RATE, Value::Number(rate), "test");
        at.simulate_life().expect("a life").rows[0].deposition_um_h
    };
    let rates: Vec<f64> = drawn.values.iter().map(|draw| fresh(draw[0])).collect();
    let least = 0.97 * fresh(found.estimates[0].value);
    let below = rates.iter().filter(|rate| **rate < least).count();
    assert!(below > 0 && below < COUNT);
    let limited = tank(8760.0).with("limits.deposition_um_h", Value::Number(least), "test");
    let ahead = forecast(&limited, &found, &of(COUNT), &|_| true).expect("a forecast");
    assert_eq!((ahead.failed, ahead.draws), (below, COUNT));
    let first = ahead.first_failure.expect("a failure");
    assert_eq!(first.code, "limit-at-make-up");
    assert!(first.values.contains(&("bound".to_owned(), RemarkValue::Number(least))), "{:?}", first.values);
    assert!(ahead.remarks.iter().any(|one| one.code == "lives-failed" && one.text.ends_with(&first.text)));
}

#[test]
fn what_is_tied_follows_and_a_forecast_can_be_ended() {
    // A rate that drags the energy along: lives at 88 degC, its reference, are what they were.
    let tie = Tie { path: ENERGY.to_owned(), to: RATE.to_owned(), factor: None };
    let found = fitted(vec![tie]);
    let at = found.record();
    assert_eq!(at.ties.len(), 1);
    let ahead = forecast(&tank(8760.0), &found, &of(4), &|_| true).expect("a forecast");
    let drawn = draws(&at, 4, 7).expect("draws");
    for (life, draw) in ahead.lives.iter().zip(&drawn.values) {
        close(life.as_ref().expect("a life").plating_h, plating_h(draw[0]), 1e-6, "a tied life");
    }
    let error = forecast(&tank(8760.0), &found, &of(8), &|done| done < 2).unwrap_err().to_string();
    assert!(error.contains("stopped before it ended"), "{error}");
    // A coupon that is parted by a label has two rates, and a tank one.
    let data = runs(&[("ph", &[4.6, 4.6, 5.0, 5.0]), ("deposition_um_h", &[16.1, 16.5, 20.6, 20.2])]);
    let specification = FitSpecification { per: vec![(RATE.to_owned(), "ph".to_owned())], ..asked(&[RATE]) };
    let options = RecipeFitOptions { specification, ..RecipeFitOptions::default() };
    let parted = fit_recipe(&power_law(), &[data], &options).expect("a fit");
    let error = forecast(&tank(8760.0), &parted, &of(2), &|_| true).unwrap_err().to_string();
    assert!(error.contains("one of several"), "{error}");
}

/// What ten per cent more of the slowest part of an invented number does is that of a life of its own. 1e-9.
#[test]
fn numbers_that_were_held_are_listed_with_what_they_move() {
    let found = fitted(Vec::new());
    let ahead = forecast(&tank(8760.0), &found, &of(2), &|_| true).expect("a forecast");
    let paths: Vec<&str> = ahead.held_numbers.iter().map(|one| one.path.as_str()).collect();
    // The rate was fitted; prices, and numbers that are neither invented nor wide, are not in it.
    assert!(!paths.contains(&RATE) && !paths.iter().any(|path| path.starts_with("cost.")), "{paths:?}");
    assert!(paths.contains(&ENERGY) && paths.contains(&"tank.volume_l"), "{paths:?}");
    assert!(!paths.contains(&"operation.temperature_c"), "of 75 to 95 degC: {paths:?}");
    let strength: Vec<f64> =
        ahead.held_numbers.iter().map(|one| one.moved.map_or(f64::INFINITY, f64::abs)).collect();
    assert!(strength.is_sorted_by(|a, b| a >= b), "{strength:?}");
    let hours = ahead.held_numbers.iter().find(|one| one.path == "work.hours_per_day").expect("invented");
    let estimated = tank(8760.0).with(RATE, Value::Number(found.estimates[0].value), "test");
    let life = |hours: f64| {
        let recipe = estimated.with("work.hours_per_day", Value::Number(hours), "test");
        recipe.simulate_life().expect("a life").verdict.clock_h
    };
    let moved = hours.moved.expect("a dump");
    assert!((moved - (life(8.8) - life(8.0))).abs() < 1e-9, "{moved}");
}
