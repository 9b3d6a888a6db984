//! Slopes of fits through the equilibrium, and fits of what moves it.

use bathkin::tank::BathState;
use bathkin::{Model, Recipe};
use bathkin_fit::objective::RecipeModel;
use bathkin_fit::{Data, RecipeFitOptions};
use bathkin_numerics::least_squares::Residuals;

use support::coupons::{absolute, fit_runs, free, runs};
use support::fits::close;
use support::recipes::{nickel_acid, say, set, um_h};

const LOG_K: &str = "species.nickel_lactate_1.log_k_25c";
const LACTIC_ACID: &str = "make_up.lactic_acid_g_l";
const PH: &str = "operation.ph";
/// What moves the liquid, and a number of a law beside it.
const PATHS: [&str; 8] = [
    LOG_K,
    "species.nickel_lactate_1.enthalpy_kj_mol",
    "species.lactic_acid.log_k_25c",
    "species.lactic_acid.heat_capacity_j_mol_k",
    LACTIC_ACID,
    "make_up.nickel_sulfate_hexahydrate_g_l",
    "make_up.sodium_hypophosphite_monohydrate_g_l",
    "deposition.order.nickel",
];

/// Acid nickel whose rate follows free nickel, hydroxide, salt and pH, with constants of its own.
fn recipe() -> Recipe {
    let own = [(LOG_K, 2.3), (PATHS[1], -2.0), (PATHS[2], 3.9), (PATHS[3], 160.0)];
    set(&nickel_acid(), &own)
}

fn model(recipe: &Recipe, paths: &[&str]) -> RecipeModel {
    let mut specification = absolute();
    specification.free = free(paths);
    let table = runs(&[("temperature_c", &[88.0, 75.0]), ("deposition_um_h", &[15.0, 9.0])]);
    specification.build(recipe, &[Data::Runs(table)]).expect("a model")
}

fn calculated(model: &RecipeModel, place: usize, change: f64) -> Vec<f64> {
    let mut at = model.start();
    at[place] += change;
    model.calculated(&at).expect("values")
}

/// Whether it is told what numbers move.
fn is_told(model: &Model, numbers: &[(&str, f64)]) -> bool {
    let along = model.fresh_along(&BathState::new(&model.tank), &[numbers.to_vec()]);
    along.expect("slopes").is_some()
}

/// Asserts that slopes by every path are those of five-point differences of baths solved to rounding.
#[track_caller]
fn assert_slopes(recipe: &Recipe, paths: &[&str]) {
    let (resolved, model) = (recipe.model().expect("a model"), model(recipe, paths));
    let (rows, columns) = (model.rows(), paths.len());
    let (mut residuals, mut jacobian) = (vec![0.0; rows], vec![0.0; rows * columns]);
    model.linearise(&model.start(), &mut residuals, &mut jacobian).expect("slopes");
    let values = model.calculated(&model.start()).expect("values");
    for (place, path) in paths.iter().enumerate() {
        assert!(is_told(resolved, &[(path, 1.0)]), "{path} is not exact");
        let h = 1e-3 * model.start()[place].abs().max(1.0);
        let [low2, low, high, high2] =
            [-2.0, -1.0, 1.0, 2.0].map(|steps| calculated(&model, place, steps * h));
        for row in 0..rows {
            let expected = (low2[row] - 8.0 * low[row] + 8.0 * high[row] - high2[row]) / (12.0 * h);
            // Residuals are observed less calculated or the other way round.
            let found = jacobian[row * columns + place];
            let off = (found.abs() - expected.abs()).abs();
            let tolerance = 1e-6 * expected.abs() + 1e-10 * values[row] / h;
            assert!(off < tolerance, "{path}, row {row}: {found} and not {expected}");
        }
    }
}

/// Producer: differences, as above; 1e-6.
#[test]
fn slopes_through_the_equilibrium_agree_with_differences() {
    let held: Vec<&str> = PATHS.into_iter().chain([PH]).collect();
    for activity in ["sit", "davies"] {
        let recipe = say(&recipe(), &[("solution.activity", activity)]);
        assert_slopes(&recipe, &held);
        assert_slopes(&say(&recipe, &[("operation.ph_reading", "cooled")]), &held);
    }
}

/// Producer: differences, as above; 1e-6.
#[test]
fn slopes_at_the_ph_that_comes_of_itself_agree_with_differences() {
    for activity in ["sit", "davies"] {
        assert_slopes(&say(&recipe(), &[("solution.activity", activity), (PH, "off")]), &PATHS);
    }
}

/// Producer: differences, as above; 1e-6. Partial currents follow the liquid by other ways than laws.
#[test]
fn slopes_at_a_mixed_potential_agree_with_differences() {
    let recipe = set(&support::recipes::built_in("nickel-mixed-potential"), &[(LOG_K, 2.3)]);
    assert_slopes(&recipe, &[LOG_K, "make_up.nickel_sulfate_hexahydrate_g_l", PH]);
}

#[test]
fn what_moves_the_liquid_otherwise_is_left_to_differences() {
    let recipe = recipe();
    let model = recipe.model().expect("a model");
    for path in ["operation.temperature_c", "tank.volume_l", "solution.davies_held_above_mol_l"] {
        let both = [(LOG_K, 1.0), (path, 1.0)];
        assert!(!is_told(model, &both), "{path}");
    }
}

/// Producer: the recipe that the rates were computed with; 1e-6.
#[test]
fn a_fit_finds_the_constant_of_a_complex_and_the_ph_again() {
    let truth = recipe();
    let (celsius, acid) = ([88.0, 88.0, 88.0, 80.0, 75.0], [15.0, 27.0, 40.0, 20.0, 35.0]);
    let rate = |(celsius, acid): (&f64, &f64)| {
        um_h(&set(&truth, &[("operation.temperature_c", *celsius), (LACTIC_ACID, *acid)]))
    };
    let um_h: Vec<f64> = celsius.iter().zip(&acid).map(rate).collect();
    let table = runs(&[("temperature_c", &celsius), (LACTIC_ACID, &acid), ("deposition_um_h", &um_h)]);
    let start = set(&truth, &[(LOG_K, 2.0), (PH, 4.7)]);
    let found = fit_runs(&start, &table, &free(&[LOG_K, PH]), &RecipeFitOptions::default()).expect("a fit");
    close(found.estimates[0].value, 2.3, 1e-6, "log K");
    close(found.estimates[1].value, 4.8, 1e-6, "pH");
}
