//! Simulated truth: 95 % intervals of fitted recipes hold the truth 95 times of 100.
//!
//! Of 200 sets 190 are expected to, with a binomial standard deviation of 3.1; 92 to 98 % is 184 to 196, two of
//! them to either side. Seeds are fixed.

use bathkin::Recipe;
use bathkin::document::Value;
use bathkin_fit::data::ErrorModel;
use bathkin_fit::result::PathEstimate;
use bathkin_fit::{Data, FitSpecification, RecipeFitOptions, fit_recipe};
use bathkin_statistics::Scale;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rayon::prelude::*;

use support::fits::{ENERGY, PH_ORDER, RATE, asked, calculated, runs, week};
use support::random::normal;
use support::recipes::power_law;

const SETS: u64 = 200;

/// How many of the sets have an interval with the truth in it, by number.
fn covered(
    fit_from: &Recipe,
    options: &RecipeFitOptions,
    truth: &[f64],
    data: impl Fn(u64) -> Data + Sync,
) -> Vec<usize> {
    let inside = |set: u64| -> Vec<usize> {
        let found = fit_recipe(fit_from, &[data(set)], options).expect("a fit");
        let of = |(estimate, truth): (&PathEstimate, &f64)| {
            let [low, high] = estimate.interval95.expect("an interval");
            usize::from((low..high).contains(truth))
        };
        found.estimates.iter().zip(truth).map(of).collect()
    };
    let all: Vec<Vec<usize>> = (0..SETS).into_par_iter().map(inside).collect();
    (0..truth.len()).map(|place| all.iter().map(|set| set[place]).sum()).collect()
}

fn with(numbers: &[(&str, f64)]) -> Recipe {
    numbers.iter().fold(power_law(), |recipe, (path, value)| recipe.with(path, Value::Number(*value), "test"))
}

/// Three numbers of the law from eight coupons, the size of the errors estimated. Rate times time: without an area
/// no coupon changes its bath.
#[test]
fn intervals_of_coupon_runs_cover_the_truth() {
    let truth = [(RATE, 4.6e-4), (ENERGY, 58.0), (PH_ORDER, 0.3)];
    let temperatures = [78.0, 78.0, 84.0, 84.0, 90.0, 90.0, 90.0, 82.0];
    let ph = [4.4, 5.2, 4.6, 5.0, 4.4, 5.2, 4.8, 4.8];
    // A sigma in each row leaves no choice of error model, and nothing to compare.
    let table = |thicknesses: &[f64]| {
        runs(&[
            ("temperature_c", &temperatures),
            ("ph", &ph),
            ("time_min", &[30.0; 8]),
            ("thickness_um", thicknesses),
            ("sigma", thicknesses),
        ])
    };
    let paths = truth.map(|(path, _)| path);
    let (_, exact) = calculated(&with(&truth), &[table(&[1.0; 8])], &asked(&paths));
    let drawn = |set: u64| {
        let mut random = ChaCha8Rng::seed_from_u64(1000 + set);
        let grown: Vec<f64> = exact.iter().map(|exact| exact * (0.03 * normal(&mut random)).exp()).collect();
        table(&grown)
    };
    let options = RecipeFitOptions { specification: asked(&paths), ..RecipeFitOptions::default() };
    let inside = covered(&power_law(), &options, &truth.map(|(_, value)| value), drawn);
    assert!(inside.iter().all(|count| (184..=196).contains(count)), "{inside:?} of {SETS}");
}

/// What the bath held at the first row of a week's log, behind two numbers of the law.
fn of_a_log(scale: Scale) -> Vec<usize> {
    let truth = [(RATE, 5.2e-4), (ENERGY, 62.0)];
    let of_truth = with(&truth);
    let values = [5.2e-4, 62.0, 5.9, 0.28, 0.4, 4.8];
    let relative = ErrorModel::Mixed { absolute: 1e-6, relative: 0.015 };
    let read = ["nickel_g_l", "hypophosphite_mol_l", "orthophosphite_mol_l", "deposition_um_h"];
    let mut column_errors = read.map(|column| (column.to_owned(), relative)).to_vec();
    column_errors.push(("ph".to_owned(), ErrorModel::Absolute { sigma: 0.02 }));
    let specification = FitSpecification { column_errors, ..asked(&truth.map(|(path, _)| path)) };
    let options = RecipeFitOptions { specification, scale, ..RecipeFitOptions::default() };
    let drawn = |set: u64| Data::Log(week(&of_truth, "week.csv", 13, 1.0, 2000 + set));
    covered(&of_truth, &options, &values, drawn)
}

#[test]
fn intervals_of_a_short_log_cover_the_truth() {
    let inside = of_a_log(Scale::Known);
    assert!(inside.iter().all(|count| (184..=196).contains(count)), "{inside:?} of {SETS}");
}

#[test]
fn intervals_of_a_short_log_cover_the_truth_with_sizes_of_errors_estimated() {
    let inside = of_a_log(Scale::Estimated);
    assert!(inside.iter().all(|count| (184..=196).contains(count)), "{inside:?} of {SETS}");
}
