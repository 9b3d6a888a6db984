//! Baths the tests share: the built-in acid nickel, and acid nickel by a plain power law, with stated changes.

use crate::{bench_data, read};
use bathkin::document::Value;
use bathkin::recipe::Recipe;
use bathkin::solution::{Element, Formula};
use bathkin::{Error, Life, Rate};
use proptest::test_runner::{Config as ProptestConfig, RngSeed};

const BY: &str = "the test";

/// The built-in acid nickel bath.
pub fn nickel_acid() -> Recipe {
    built_in("nickel-acid")
}

/// A recipe by its name.
pub fn built_in(name: &str) -> Recipe {
    Recipe::built_in(name).unwrap_or_else(|error| panic!("{error}"))
}

/// The acid nickel bath by a plain power law in total nickel, with exponential inhibition by orthophosphite: what the
/// built-in bath may not be, whose law is free to change.
pub fn power_law() -> Recipe {
    let text = read(&bench_data("power-law.toml"));
    Recipe::from_toml("power-law", &text).unwrap_or_else(|error| panic!("{error}"))
}

/// A recipe with numbers changed.
pub fn set(recipe: &Recipe, numbers: &[(&str, f64)]) -> Recipe {
    numbers
        .iter()
        .fold(recipe.clone(), |recipe, (path, number)| recipe.with(path, Value::Number(*number), BY))
}

/// A recipe with words changed.
pub fn say(recipe: &Recipe, words: &[(&str, &str)]) -> Recipe {
    words
        .iter()
        .fold(recipe.clone(), |recipe, (path, word)| recipe.with(path, Value::Text((*word).to_owned()), BY))
}

/// Every built-in limit moved out of reach.
pub fn without_limits(recipe: &Recipe) -> Recipe {
    set(
        recipe,
        &[
            ("limits.turnovers", 1e6),
            ("limits.orthophosphite_g_l_as_hpo3", 1e6),
            ("limits.deposition_pct_of_fresh", 0.0),
            ("limits.phosphorus_wt_pct_min", 0.0),
            ("limits.phosphorus_wt_pct_max", 100.0),
        ],
    )
}

/// Worked day and night.
pub fn round_the_clock(recipe: &Recipe) -> Recipe {
    set(recipe, &[("work.hours_per_day", 24.0), ("work.days_per_week", 7.0)])
}

/// Metal, reductant and pH held by pumps, day and night, until a stated limit.
pub fn pumped(recipe: &Recipe) -> Recipe {
    let words = [("replenishment.policy", "continuous"), ("ph_control.policy", "continuous")];
    round_the_clock(&say(&without_limits(recipe), &words))
}

/// Exactly p mol P and h mol H2 per mol metal, whatever the bath.
pub fn fixed_selectivity(recipe: &Recipe, p: f64, h: f64) -> Recipe {
    set(
        recipe,
        &[
            ("phosphorus.per_metal_mol", p),
            ("phosphorus.ph_order", 0.0),
            ("phosphorus.order.nickel", 0.0),
            ("phosphorus.order.hypophosphite", 0.0),
            ("phosphorus.inhibition.orthophosphite.exponent", 0.0),
            ("hydrogen.per_metal_mol", h),
            ("hydrogen.ph_order", 0.0),
        ],
    )
}

/// A rate that no concentration and no pH changes.
pub fn constant_rate(recipe: &Recipe) -> Recipe {
    set(
        recipe,
        &[
            ("deposition.ph_order", 0.0),
            ("deposition.order.nickel", 0.0),
            ("deposition.order.hypophosphite", 0.0),
            ("deposition.inhibition.orthophosphite.exponent", 0.0),
        ],
    )
}

/// The set-point of the metal in g/L, by the salt that is weighed out.
pub fn at_metal_g_l(recipe: &Recipe, metal_g_l: f64) -> Recipe {
    let salt_per_metal = molar_mass("NiSO4.6H2O") / molar_mass("Ni");
    set(recipe, &[("make_up.nickel_sulfate_hexahydrate_g_l", metal_g_l * salt_per_metal)])
}

/// Molar mass of a formula, g/mol, with the built-in atomic weights.
pub fn molar_mass(formula: &str) -> f64 {
    let (_, chemistry) = bathkin::model::database::built_in().expect("built in");
    let formula = Formula::parse(formula).expect("a formula");
    formula.molar_mass_g_mol(&chemistry.atomic_weights).expect("known elements")
}

/// Atomic weight of an element, g/mol.
pub fn atomic_weight(symbol: &str) -> f64 {
    let (_, chemistry) = bathkin::model::database::built_in().expect("built in");
    chemistry.atomic_weights[&Element::new(symbol).expect("a symbol")]
}

/// Runs a life, with the message when it fails.
#[track_caller]
pub fn live(recipe: &Recipe) -> Life {
    recipe.simulate_life().unwrap_or_else(|error: Error| panic!("{error}"))
}

/// A column of a life's table.
#[track_caller]
pub fn column<'a>(life: &'a Life, name: &str) -> &'a [f64] {
    life.table.column(name).unwrap_or_else(|| panic!("the table has no column {name}"))
}

/// The last value of a column.
#[track_caller]
pub fn last(life: &Life, name: &str) -> f64 {
    *column(life, name).last().expect("a row")
}

/// What a column gained from the first row to the last.
#[track_caller]
pub fn gain(life: &Life, name: &str) -> f64 {
    last(life, name) - column(life, name)[0]
}

/// Settings of a property test: so many cases, the same every time unless `PROPTEST_RNG_SEED` says
/// otherwise.
pub fn fixed_cases(cases: u32) -> ProptestConfig {
    const SEED: u64 = 20_240_229;
    let environment = ProptestConfig::default();
    let rng_seed = match environment.rng_seed {
        RngSeed::Random => RngSeed::Fixed(SEED),
        chosen => chosen,
    };
    ProptestConfig { cases, rng_seed, failure_persistence: None, ..environment }
}

/// The rate of the fresh bath.
#[track_caller]
pub fn rate(recipe: &Recipe) -> Rate {
    recipe.make_up().and_then(|bath| bath.rate()).unwrap_or_else(|error| panic!("{error}"))
}

/// um/h of the fresh bath.
pub fn um_h(recipe: &Recipe) -> f64 {
    rate(recipe).deposition_um_h
}

/// Pumped, with 0.37 mol nickel per mol hypophosphite and 8 wt% P, whatever its age.
pub fn bath_of_p20() -> Recipe {
    let p = 8.0 / 92.0 * molar_mass("Ni") / molar_mass("P");
    let h = 1.0 / 0.37 - 1.0 - 1.5 * p;
    at_metal_g_l(&pumped(&constant_rate(&fixed_selectivity(&power_law(), p, h))), 6.0)
}
