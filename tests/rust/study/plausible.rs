//! What no bath does is said: rates and compositions beyond belief, negative orders below their range, work that dissolves,
//! hydrogen taken up, more salt than water.

use bathkin::Recipe;
use bathkin::flag::Flag;
use bathkin::surface::{Concentration, Conditions, Order};
use num_dual::Dual64;

use support::recipes::{built_in, last, live, nickel_acid, power_law, say, set};
use support::{assert_relative, assert_within};

fn at<'a>(flags: &'a [Flag], place: &str) -> Option<&'a str> {
    flags.iter().find(|flag| flag.r#where == place).map(|flag| flag.what.as_str())
}

fn rate_and_flags(recipe: &Recipe) -> (f64, Vec<Flag>) {
    let bath = recipe.make_up().expect("a bath");
    (bath.rate().expect("a rate").deposition_um_h, bath.flags().expect("flags"))
}

fn refusal(recipe: &Recipe) -> String {
    let error = recipe.make_up().map(|_| ()).expect_err("refused");
    assert!(error.is_input(), "{error}");
    error.to_string()
}

/// Producer: (c_min/c_ref)^n by hand.
#[test]
fn a_negative_order_stays_where_its_range_ends() {
    let order = |valid_from_mol_l| Order::<f64> {
        of: Concentration::Total(0),
        order: -0.41,
        reference_mol_l: 0.08,
        valid_from_mol_l,
    };
    let factor = |order: Order, c: f64| {
        let conditions = Conditions {
            temperature_k: 313.15,
            ph: 12.0,
            ionic_strength_mol_l: 1.0,
            totals_mol_l: &[c],
            dissolved_mol_l: &[],
        };
        order.ln_factor(&conditions).map(f64::exp).expect("a factor")
    };
    for c in [0.0, -1e-12, 1e-9, 0.02] {
        assert_within(format!("at {c}"), factor(order(Some(0.04)), c), 0.5_f64.powf(-0.41), 1e-14);
    }
    assert_within("unstated", factor(order(None), 0.0), 1e-3_f64.powf(-0.41), 1e-12);
    // Within the range nothing is held.
    for c in [0.04, 0.05, 0.3] {
        assert_eq!(factor(order(Some(0.04)), c), factor(order(None), c));
        assert_within(format!("at {c}"), factor(order(None), c), (c / 0.08).powf(-0.41), 1e-14);
    }
    // A positive order still stops the rate.
    let stops = Order { order: 0.41, ..order(Some(0.04)) };
    assert!(stops.ln_factor(&Conditions { totals_mol_l: &[0.0], ..conditions_of(&[]) }).is_none());
}

fn conditions_of(totals_mol_l: &[f64]) -> Conditions<'_> {
    Conditions {
        temperature_k: 313.15,
        ph: 12.0,
        ionic_strength_mol_l: 1.0,
        totals_mol_l,
        dissolved_mol_l: &[],
    }
}

/// Producer: n/c within the range, nothing below it.
#[test]
fn the_slope_of_a_held_order_is_a_number() {
    let slope = |c: f64| {
        let order = Order {
            of: Concentration::Total(0),
            order: Dual64::from(-0.3),
            reference_mol_l: Dual64::from(6.4e-5),
            valid_from_mol_l: Some(1e-5),
        };
        let totals = [Dual64::from(c).derivative()];
        let conditions = Conditions {
            temperature_k: Dual64::from(313.15),
            ph: Dual64::from(12.0),
            ionic_strength_mol_l: Dual64::from(1.0),
            totals_mol_l: &totals,
            dissolved_mol_l: &[],
        };
        order.ln_factor(&conditions).expect("a factor").eps
    };
    assert_relative("within", slope(5e-5), -0.3 / 5e-5, 1e-12);
    assert_eq!((slope(0.0), slope(5e-6)), (0.0, 0.0));
}

/// Producer: the power of the floor over the content of the make-up; before, 9,291 and 204,832 um/h.
#[test]
fn a_bath_without_what_slows_it_is_believable_and_flagged() {
    let recipe = built_in("copper-edta");
    let (usual, flags) = rate_and_flags(&recipe);
    assert!(at(&flags, "deposition.order.stabilizer_dn").is_none(), "{flags:?}");
    let (bare, flags) = rate_and_flags(&set(&recipe, &[("make_up.stabilizer_dn_mol_l", 0.0)]));
    assert_relative("no stabilizer", bare / usual, (1e-5_f64 / 6.4e-5).powf(-0.3), 1e-3);
    let said = at(&flags, "deposition.order.stabilizer_dn").expect("a flag");
    assert!(said.contains("stabilizer dn is 0 mol/L") && said.contains("below 1.00e-5 mol/L"), "{said}");
    let (bare, flags) = rate_and_flags(&set(&recipe, &[("make_up.disodium_edta_dihydrate_g_l", 0.0)]));
    assert!(bare < 2.0 * usual, "{bare} um/h");
    assert!(at(&flags, "deposition.order.edta").is_some(), "{flags:?}");
}

/// Producer: the bound that entered rates are held to, 100 um/h; at pH 14 the law gives 22,859.
#[test]
fn a_rate_beyond_belief_is_flagged_in_a_bath_and_in_a_life() {
    let (usual, flags) = rate_and_flags(&power_law());
    assert!(usual < 20.0 && at(&flags, "deposition_um_h").is_none());
    let (fast, flags) = rate_and_flags(&set(&power_law(), &[("operation.ph", 14.0)]));
    let said = at(&flags, "deposition_um_h").expect("a flag");
    assert!(fast > 1e4 && said.contains("22859 um/h is implausible"), "{said}");
    // Ten times the law, within its own range.
    let recipe = set(&power_law(), &[("deposition.rate_mol_m2_s", 5.7e-3), ("limits.turnovers", 1.0)]);
    let flags = recipe.life_flags(&live(&recipe)).expect("flags");
    assert!(at(&flags, "deposition_um_h").is_some_and(|said| said.contains("fastest at 0.0 h")), "{flags:?}");
}

/// Producer: next to no nickel gave 6.2 um/h of nearly pure phosphorus.
#[test]
fn next_to_no_metal_plates_next_to_nothing_and_is_flagged() {
    let recipe = set(&power_law(), &[("make_up.nickel_sulfate_hexahydrate_g_l", 1e-9)]);
    let (rate, flags) = rate_and_flags(&recipe);
    assert!(rate < 0.1, "{rate} um/h");
    assert!(at(&flags, "phosphorus_wt_pct").is_some_and(|said| said.contains("implausible")), "{flags:?}");
    assert!(at(&flags, "phosphorus.order.nickel").is_some(), "{flags:?}");
}

/// Producer: 1500 g of the hexahydrate are 883 g of salt (molar masses 262.85 and 154.75 g/mol), more than the water that is
/// left beside them.
#[test]
fn more_salt_than_water_is_refused() {
    let salt = "make_up.nickel_sulfate_hexahydrate_g_l";
    let said = refusal(&set(&nickel_acid(), &[(salt, 1500.0)]));
    assert!(
        said.contains("not more salt than water") && said.contains("most of it is nickel_sulfate"),
        "{said}"
    );
    assert!(set(&nickel_acid(), &[(salt, 300.0)]).make_up().is_ok(), "a strong bath is none");
    for path in [salt, "replenisher.metal.nickel_sulfate_hexahydrate_g_l", "ph_control.corrector_g_l"] {
        let said = refusal(&set(&nickel_acid(), &[(path, 1e6)]));
        assert!(said.contains("at most 2000 g in a litre"), "{path}: {said}");
    }
    // Solutions as they are sold: half caustic, 37 % formalin.
    assert!(set(&nickel_acid(), &[("ph_control.corrector_g_l", 763.0)]).make_up().is_ok());
    assert!(
        set(&built_in("copper-edta"), &[("replenisher.reductant.formaldehyde_g_l", 400.0)]).make_up().is_ok()
    );
}

/// Producer: the refusal of a fresh bath that dissolves. Left to itself the pH falls until the nickel does.
#[test]
fn a_life_ends_where_the_work_dissolves() {
    let recipe = say(&built_in("nickel-mixed-potential"), &[("ph_control.policy", "off")]);
    let life = live(&recipe);
    assert_eq!(life.verdict.limit, "nickel dissolves");
    // Phosphorus still comes down where the metal stands still.
    assert_within("rate at the end", last(&life, "deposition_now_um_h"), 0.2, 0.05);
    let plated = life.table.column("turnovers_plated").expect("a column");
    assert!(plated.windows(2).all(|pair| pair[1] >= pair[0]), "nothing is dissolved again: {plated:?}");
    let flags = recipe.life_flags(&life).expect("flags");
    let said = at(&flags, "half_reaction").expect("a flag");
    assert!(
        said.starts_with("at its mixed potential, -0.3") && said.contains("the life ends there"),
        "{said}"
    );
    // Held at its pH it plates to the end.
    let held = live(&built_in("nickel-mixed-potential"));
    assert_eq!(
        (held.verdict.limit.as_str(), held.surface.hydrogen_taken_up_from_h),
        ("orthophosphite_mol_l", None)
    );
}

/// Producer: a hydrogen couple moved 0.6 V below the mixed potential can only run backwards.
#[test]
fn hydrogen_taken_up_is_flagged_in_a_bath_and_in_a_life() {
    let numbers = [
        ("proton_reduction.standard_potential_v_she", -0.6),
        ("proton_reduction.exchange_current_ma_cm2", 1e-3),
        ("limits.turnovers", 0.2),
    ];
    let recipe = set(&built_in("nickel-mixed-potential"), &numbers);
    let bath = recipe.make_up().expect("a bath");
    assert!(bath.rate().expect("a rate").hydrogen_l_m2_h < 0.0);
    let flags = bath.flags().expect("flags");
    assert!(at(&flags, "half_reaction").is_some_and(|said| said.contains("takes hydrogen up")), "{flags:?}");
    let life = live(&recipe);
    assert_eq!(life.surface.hydrogen_taken_up_from_h, Some(0.0));
    let flags = recipe.life_flags(&life).expect("flags");
    assert!(at(&flags, "half_reaction").is_some_and(|said| said.contains("first at 0.0 h")), "{flags:?}");
}
