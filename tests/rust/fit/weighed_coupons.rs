//! Weighed coupons of a known truth, with scatter: the truth comes back within its intervals.

use bathkin::Recipe;
use bathkin::document::Value;
use bathkin_fit::{RecipeFitOptions, Sheet};
use bathkin_statistics::bootstrap::{BootstrapOptions, Resampling, bootstrap};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;

use support::coupons::{fitted, runs};
use support::fits::{ENERGY, PH_ORDER, RATE, close};
use support::random::normal;
use support::recipes::power_law;

/// Coupons of 50 cm² in a beaker of a litre for 20 to 60 min, weighed: the truth and 2 % of scatter.
fn weighed(truth: &Recipe, relative: f64, seed: u64) -> Sheet {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let mut columns = vec![Vec::new(); 5];
    for temperature_c in [80.0, 85.0, 90.0] {
        for ph in [4.4, 4.8, 5.2] {
            for minutes in [20.0, 60.0] {
                let set = |recipe: Recipe, (path, value): (&str, f64)| {
                    recipe.with(path, Value::Number(value), "test")
                };
                let settings = [
                    ("operation.temperature_c", temperature_c),
                    ("operation.ph", ph),
                    ("tank.volume_l", 1.0),
                ];
                let bath = settings.into_iter().fold(truth.clone(), set).make_up().expect("a bath");
                let mass_mg = bath.plate(50e-4, minutes).expect("a load").load.mass_g * 1e3;
                let observed = mass_mg * (relative * normal(&mut random)).exp();
                for (column, value) in columns.iter_mut().zip([temperature_c, ph, minutes, 50.0, observed]) {
                    column.push(value);
                }
            }
        }
    }
    let names = ["temperature_c", "ph", "time_min", "area_cm2", "mass_gain_mg"];
    let mut table = runs(
        &names.iter().zip(&columns).map(|(name, column)| (*name, column.as_slice())).collect::<Vec<_>>(),
    );
    table.columns.push(("volume_l".to_owned(), vec![Some(1.0); table.rows.len()]));
    table
}

#[test]
fn simulated_truth_is_recovered_within_its_interval() {
    let truth = [(RATE, 4.0e-4), (ENERGY, 52.0), (PH_ORDER, 0.28)];
    let of_truth = truth
        .iter()
        .fold(power_law(), |recipe, (path, value)| recipe.with(path, Value::Number(*value), "test"));
    let paths = truth.map(|(path, _)| path);
    let exact = fitted(&weighed(&of_truth, 0.0, 1), &paths, &RecipeFitOptions::default());
    for (estimate, (path, value)) in exact.estimates.iter().zip(truth) {
        close(estimate.value, value, 1e-5, path);
    }
    let found = fitted(&weighed(&of_truth, 0.02, 7), &paths, &RecipeFitOptions::default());
    for (estimate, (path, value)) in found.estimates.iter().zip(truth) {
        let [low, high] = estimate.interval95.expect("an interval");
        assert!((low..high).contains(&value), "{path}: {value} outside {low} to {high}");
        assert!(high - low < 0.25 * value, "{path}: {low} to {high}");
    }
    // The scatter itself comes back, within its own chi-square of 15 degrees of freedom.
    let scatter = found.fit.variance.unwrap().sqrt();
    assert!((0.012..0.029).contains(&scatter), "scatter {scatter}");
    // The profile of a nearly straight number is its interval.
    let (profile, straight) = (found.profile(1, 0.95).unwrap(), found.interval(1, 0.95).unwrap().unwrap());
    for (end, expected) in profile.iter().zip(straight) {
        close(end.expect("an end"), expected, 1e-3, "profile");
    }
}

/// Producer: the same replicates fitted with slopes of their own; a twentieth of a standard error.
#[test]
fn a_bootstrap_by_the_slopes_of_the_fit_is_that_of_full_fits() {
    let found =
        fitted(&weighed(&power_law(), 0.03, 11), &[RATE, ENERGY, PH_ORDER], &RecipeFitOptions::default());
    let options = BootstrapOptions { replicates: 24, seed: 5, resampling: Resampling::Residuals };
    let quick = found.bootstrap(&options).expect("a bootstrap");
    let full = bootstrap(&found.model, &found.fit, &options).expect("a bootstrap");
    assert_eq!((quick.failed, full.failed), (0, 0));
    for (a, b) in quick.draws.iter().zip(&full.draws) {
        for (((a, b), number), estimate) in a.iter().zip(b).zip(found.model.free()).zip(&found.estimates) {
            let (b, error) = (number.scale.outside(*b), estimate.standard_error.expect("an error"));
            assert!((a - b).abs() < 0.05 * error, "{}: {a} and {b}, se {error}", estimate.path);
        }
    }
}
