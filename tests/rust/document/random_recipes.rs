//! Whatever numbers are written into a recipe, the answer is a bath, a life or a message, never a
//! panic.

use bathkin::Error;
use bathkin::document::Value;
use bathkin::recipe::Recipe;
use proptest::prelude::*;

use support::recipes::{fixed_cases, say, set};

/// Paths of the numbers of a built-in recipe, with their values.
fn numbers(recipe: &Recipe) -> Vec<(String, f64)> {
    let of = |value: &Value| if let Value::Number(number) = value { Some(*number) } else { None };
    recipe
        .document()
        .entries()
        .iter()
        .filter_map(|entry| of(&entry.value).map(|number| (entry.path.clone(), number)))
        .collect()
}

proptest! {
    #![proptest_config(fixed_cases(256))]

    /// Half of the numbers are anything within a thousand of zero, the other half the built-in
    /// value times up to three, so that many recipes come through and are computed.
    #[test]
    fn random_numbers_give_a_bath_or_a_message(
        which in prop::sample::select(Recipe::built_in_names().collect::<Vec<_>>()),
        changes in prop::collection::vec(
            (any::<prop::sample::Index>(), any::<bool>(), -1e3..1e3_f64, 0.0..3.0_f64), 1..5,
        ),
    ) {
        let built_in = Recipe::built_in(which).expect("built in");
        let numbers = numbers(&built_in);
        let recipe = changes.iter().fold(built_in, |recipe, (index, near, anything, times)| {
            let (path, value) = index.get(&numbers);
            recipe.with(path, Value::Number(if *near { value * times } else { *anything }), "the test")
        });
        let found = recipe.model().map(|_| ()).and_then(|()| recipe.make_up()).and_then(|bath| {
            let rate = bath.rate()?;
            bath.flags()?;
            Ok((bath.ph(), rate))
        });
        match found {
            Ok((ph, rate)) => {
                prop_assert!(ph.is_finite(), "pH {ph} with {:?}", recipe.overrides());
                prop_assert!(
                    rate.deposition_um_h.is_finite() && rate.deposition_um_h >= 0.0,
                    "{rate:?} with {:?}", recipe.overrides()
                );
            }
            Err(error) => {
                prop_assert!(error.to_string().len() > 10, "{error} with {:?}", recipe.overrides());
                prop_assert!(error.is_input(), "{error} with {:?}", recipe.overrides());
            }
        }
    }

    /// Numbers up to three times the built-in ones, under every policy. A life ends at a limit, at
    /// the end of its time, or with an error that tells the user what to change; a computation that
    /// gives up is a failure of this test.
    #[test]
    fn a_random_life_ends_or_says_what_to_change(
        which in prop::sample::select(Recipe::built_in_names().collect::<Vec<_>>()),
        changes in prop::collection::vec((any::<prop::sample::Index>(), 0.0..3.0_f64), 1..5),
        metal in prop::sample::select(vec!["threshold", "continuous", "analysis"]),
        ph in prop::sample::select(vec!["dead-band", "continuous", "off"]),
        reading in prop::sample::select(vec!["hot", "cooled"]),
        reductant in prop::sample::select(vec!["restore", "ratio"]),
    ) {
        let built_in = Recipe::built_in(which).expect("built in");
        let numbers = numbers(&built_in);
        let recipe = changes.iter().fold(built_in, |recipe, (index, times)| {
            let (path, value) = index.get(&numbers);
            recipe.with(path, Value::Number(value * times), "the test")
        });
        let policies = [
            ("replenishment.policy", metal),
            ("replenishment.reductant", reductant),
            ("ph_control.policy", ph),
            ("operation.ph_reading", reading),
        ];
        let recipe = set(&say(&recipe, &policies), &[("replenishment.reductant_per_metal_mol", 2.8)]);
        match recipe.simulate_life() {
            Ok(life) => {
                prop_assert!(life.balance.max_relative_residual < 1e-9, "{:?}", life.balance);
                for (name, values) in life.table.columns() {
                    // What is not plated yet costs without end, and where nothing plates no thickness is reached.
                    let from = usize::from(name == "cost_per_um_dm2");
                    let endless = |value: f64| name == "minutes_to_thickness" && value == f64::INFINITY;
                    prop_assert!(
                        values[from..].iter().all(|value| value.is_finite() || endless(*value)),
                        "{name}: {values:?} with {which} and {:?}", recipe.overrides()
                    );
                }
            }
            Err(error) => {
                prop_assert!(error.is_input(), "{error} with {which} and {:?}", recipe.overrides());
            }
        }
    }
}

/// A pH that sinks so slowly past its dead band that two readings of one state, a rounding apart,
/// fall on either side of it: found among random lives.
#[test]
fn a_ph_that_sinks_slowly_is_still_corrected() {
    for (which, metal, numbers) in [
        (
            "nickel-textbook",
            "threshold",
            vec![
                ("deposition.order.hypophosphite", 0.820_878_802_106_133_3),
                ("phosphorus.ph_order", -0.076_555_769_031_915_5),
            ],
        ),
        (
            "nickel-acid",
            "continuous",
            vec![
                ("deposition.reference_ph", 12.281_190_117_527_839),
                ("solution.davies_held_above_mol_l", 0.004_650_745_029_017_645),
                ("ph_control.corrector_g_l", 199.431_037_696_063_33),
            ],
        ),
    ] {
        let recipe = Recipe::built_in(which).expect("built in");
        let recipe = set(&say(&recipe, &[("replenishment.policy", metal)]), &numbers);
        let life = recipe.simulate_life().map_err(|error: Error| error.to_string());
        assert!(life.is_ok(), "{which}: {life:?}");
    }
}

/// Found among random lives: where the reductant is used up both rates are zero, and their ratio
/// must still be a number.
#[test]
fn a_bath_run_dry_still_reads_numbers() {
    let recipe = Recipe::built_in("nickel-textbook").expect("built in");
    let recipe = set(
        &say(&recipe, &[("replenishment.policy", "analysis")]),
        &[("deposition.order.hypophosphite", 0.005_532_079_060_581_521)],
    );
    let life = recipe.simulate_life().expect("a life");
    for (name, values) in life.table.columns() {
        // Where nothing plates no thickness is reached.
        let endless = |value: f64| name == "minutes_to_thickness" && value == f64::INFINITY;
        assert!(values.iter().all(|value| value.is_finite() || endless(*value)), "{name}: {values:?}");
    }
}

/// No law, not even one of order zero, plates metal that is not there.
#[test]
fn nothing_is_used_beyond_what_there_is() {
    let recipe = Recipe::built_in("nickel-acid").expect("built in");
    for order in [1.0, 0.3, 0.0] {
        let orders = [("deposition.order.nickel", order), ("deposition.order.hypophosphite", order)];
        let bath = set(&recipe, &orders).make_up().expect("a bath");
        let load = bath.plate(8.0, 24.0 * 60.0).expect("plated").load;
        // The integrator may pass zero by its tolerance.
        assert!(load.metal_end_g_l > -1e-6, "order {order}: {load:?}");
        assert!(load.reductant_end_mol_l > -1e-6, "order {order}: {load:?}");
    }
}

/// Found among random baths: a density scale that falls with the alloy must not reach zero. More
/// phosphorus than it can carry is refused, or plated with a density above zero.
#[test]
fn no_selectivity_gives_a_negative_density() {
    for per_metal_mol in [1.0, 10.0, 100.0, 1000.0] {
        let recipe = Recipe::built_in("nickel-acid").expect("built in");
        match set(&recipe, &[("phosphorus.per_metal_mol", per_metal_mol)]).make_up() {
            Err(error) => assert!(error.is_input(), "{error}"),
            Ok(bath) => {
                let rate = bath.rate().expect("a rate");
                assert!(rate.density_g_cm3 > 0.0 && rate.deposition_um_h > 0.0, "{per_metal_mol}: {rate:?}");
            }
        }
    }
}
