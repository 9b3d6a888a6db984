//! Published Arrhenius tables fitted as coupon runs of a recipe.

use bathkin::Recipe;
use bathkin::constants::ZERO_CELSIUS_K;
use bathkin::document::Value;
use bathkin_fit::RecipeFitOptions;
use bathkin_fit::{Reference, fit_arrhenius};
use bathkin_statistics::quantiles::two_sided;

use support::coupons::{F02_K, F02_T, absolute, f02, fit_runs, fitted, free, runs};
use support::fits::{ENERGY, RATE, close, has};
use support::recipes::power_law;

// Case F08 of a published homework table: degC and 1/s.
const F08_C: [f64; 8] = [10.0, 16.0, 20.0, 31.0, 42.0, 48.0, 54.0, 59.0];
const F08_K: [f64; 8] = [0.000306, 0.000484, 0.00065, 0.0014, 0.00287, 0.00416, 0.00594, 0.00792];

#[test]
fn f02_the_arrhenius_path_through_a_recipe_is_that_of_the_table() {
    let table = fit_arrhenius(&F02_T, &F02_K, Reference::HarmonicMean).expect("a fit");
    let found = fitted(&f02(1000.0), &[RATE, ENERGY], &RecipeFitOptions::default());
    let energy = &found.estimates[1];
    close(energy.value, table.activation_energy_kj_mol.value, 1e-6, "Ea");
    close(
        energy.standard_error.unwrap(),
        table.activation_energy_kj_mol.standard_error.unwrap(),
        1e-6,
        "se of Ea",
    );
    // Computed answer of the public exercise: half-width of the 95 % interval 2.6688.
    let [low, high] = energy.interval95.unwrap();
    close(0.5 * (high - low), 2.6688, 1e-4, "half-width");
    close(energy.value, 121.4883, 1e-6, "Ea of F02");
    has(&found, "error-model", "absolute errors would give");
}

#[test]
fn f02_direct_absolute_errors_give_the_direct_fit() {
    let options = RecipeFitOptions { specification: absolute(), ..RecipeFitOptions::default() };
    let found = fitted(&f02(1000.0), &[RATE, ENERGY], &options);
    // Computed answer of the public exercise, direct fit: 124.3275, standard error 1.4488.
    close(found.estimates[1].value, 124.3275, 1e-6, "Ea");
    close(found.estimates[1].standard_error.unwrap(), 1.4488, 1e-4, "se");
}

#[test]
fn s09_the_unit_of_the_rates_changes_nothing_but_the_rate() {
    let fits =
        [1.0, 3600.0, 1e-6].map(|factor| fitted(&f02(factor), &[RATE, ENERGY], &RecipeFitOptions::default()));
    for (fit, factor) in fits.iter().zip([1.0, 3600.0, 1e-6]) {
        close(fit.estimates[1].value, fits[0].estimates[1].value, 1e-8, "Ea");
        close(fit.estimates[0].value, fits[0].estimates[0].value * factor, 1e-7, "rate");
    }
}

#[test]
fn s10_a_prediction_uses_the_whole_covariance() {
    let found = fitted(&f02(1.0), &[RATE, ENERGY], &RecipeFitOptions::default());
    let ahead = found.predict(&[("temperature_c".to_owned(), 343.0 - ZERO_CELSIUS_K)]).expect("a prediction");
    // Computed answer of the public exercise: ln k = -3.67507, standard error 0.0193603 (0.429 without the covariance).
    assert!((ahead.value.ln() + 3.67507).abs() < 1e-5);
    let quantile = two_sided(0.95, Some(3)).unwrap();
    let error = (ahead.confidence[1] / ahead.confidence[0]).ln() / (2.0 * quantile);
    close(error, 0.0193603, 1e-4, "se of ln k");
    assert!(ahead.prediction.unwrap()[1] > ahead.confidence[1]);
}

#[test]
fn f08_eight_runs_in_celsius() {
    let found = fitted(
        &runs(&[("operation.temperature_c", &F08_C), ("deposition_um_h", &F08_K)]),
        &[RATE, ENERGY],
        &RecipeFitOptions::default(),
    );
    close(found.estimates[1].value, 51.9092, 1e-5, "Ea");
    close(found.estimates[1].standard_error.unwrap(), 0.0166, 1e-2, "se");
}

#[test]
fn bounds_hold_and_are_told() {
    let options =
        RecipeFitOptions { bounds: vec![(ENERGY.to_owned(), 40.0, 70.0)], ..RecipeFitOptions::default() };
    let found = fitted(&f02(1000.0), &[RATE, ENERGY], &options);
    assert_eq!((found.estimates[1].value, found.estimates[1].status), (70.0, "at_bound"));
    has(&found, "at-bound", ENERGY);
    let outside = RecipeFitOptions { bounds: vec![(ENERGY.to_owned(), 70.0, 90.0)], ..options };
    let error = fit_runs(&power_law(), &f02(1.0), &free(&[RATE, ENERGY]), &outside).unwrap_err().to_string();
    assert!(error.contains(ENERGY) && error.contains("65"), "{error}");
}

#[test]
fn the_fitted_recipe_reads_back_and_plates_as_fitted() {
    let found = fitted(&f02(1e4), &[RATE, ENERGY], &RecipeFitOptions::default());
    let written = found.fitted_recipe("runs.csv", &[]).expect("a recipe");
    let again = Recipe::from_toml("fitted.toml", written.text()).expect("it reads");
    assert_eq!(again, written);
    let at = again.with("operation.temperature_c", Value::Number(323.0 - ZERO_CELSIUS_K), "test");
    let rate = at.make_up().and_then(|bath| bath.rate()).expect("a rate").deposition_um_h;
    close(rate, found.calculated[2], 1e-9, "rate");
    let entry = again.document().get(ENERGY).expect("it is set");
    let source = entry.source.as_ref().expect("a source");
    assert_eq!(source.kind, bathkin::source::Kind::Fitted);
    assert!(source.text.contains("5 values of runs.csv"), "{}", source.text);
}

/// A start far off, and a robust loss with a lower minimum elsewhere, are the cases for further starts.
#[test]
fn further_starts_find_what_the_recipe_found_and_say_so() {
    let plain = fitted(&f02(1e4), &[RATE, ENERGY], &RecipeFitOptions::default());
    let options = RecipeFitOptions { starts: 12, seed: 3, ..RecipeFitOptions::default() };
    let found = fitted(&f02(1e4), &[RATE, ENERGY], &options);
    close(found.estimates[1].value, plain.estimates[1].value, 1e-7, "Ea");
    has(&found, "starts", "none led lower than the recipe's numbers");
    let again = fitted(&f02(1e4), &[RATE, ENERGY], &options);
    assert_eq!(found.remarks, again.remarks);
}
