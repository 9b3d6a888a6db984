//! Why a rate is what it is: its factors, and what changed between two baths in words.

use bathkin::study::sweep;
use bathkin::{Error, Rate, Recipe};

use support::film_copper::{S1, copper};
use support::recipes::{power_law, rate, set};
use support::stabilized::stabilized;
use support::{assert_relative, assert_within};

fn factor(rate: &Rate, name: &str) -> f64 {
    rate.factors.iter().find(|(known, _)| known == name).unwrap_or_else(|| panic!("no factor {name}")).1
}

/// The reason at the last of two values of one path.
#[track_caller]
fn reason(recipe: &Recipe, path: &str, values: [f64; 2]) -> Option<String> {
    let points =
        sweep(recipe, &[(path.to_owned(), values.to_vec())]).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(points[0].reason, None, "nothing changed since the first");
    points[1].reason.clone()
}

#[test]
fn the_factors_make_the_rate() {
    let fresh = rate(&stabilized());
    let names: Vec<&str> = fresh.factors.iter().map(|(name, _)| name.as_str()).collect();
    let wanted = [
        "temperature",
        "ph",
        "order.nickel",
        "order.hypophosphite",
        "inhibition.orthophosphite",
        "stabilizer.thiourea",
    ];
    assert_eq!(names, wanted);
    for (name, factor) in &fresh.factors {
        assert_within(name, *factor, 1.0, 2e-3);
    }
    let other = rate(&set(&power_law(), &[("operation.temperature_c", 80.0), ("operation.ph", 4.5)]));
    assert_within("pH", factor(&other, "ph"), 10f64.powf(-0.35 * 0.3), 1e-9);
    let product: f64 = other.factors.iter().map(|(_, factor)| factor).product();
    let metal = other.half_reactions_mol_m2_s.iter().find(|(name, _)| name == "metal").expect("it").1;
    assert_relative("product", 5.7e-4 * product, metal, 1e-12);
}

#[test]
fn a_reason_says_what_changed_and_by_how_much() {
    let recipe = power_law();
    let said = |path: &str, values: [f64; 2]| reason(&recipe, path, values).expect("a reason");
    assert_eq!(
        said("operation.temperature_c", [80.0, 90.0]),
        "temperature rises from 80.0 degC to 90.0 degC (activation energy): 1.840 times as fast"
    );
    let less = said("make_up.nickel_sulfate_hexahydrate_g_l", [26.87, 13.435]);
    assert_eq!(less, "nickel falls from 0.1022 mol/L to 0.0511 mol/L (order): 0.841 times as fast");
    let aged = said("make_up.phosphorous_acid_g_l", [0.0, 81.9948]);
    assert_eq!(aged, "orthophosphite rises from 0 mol/L to 1.0000 mol/L (inhibition): 0.779 times as fast");
    let law = said("deposition.rate_mol_m2_s", [5.7e-4, 1.14e-3]);
    assert_eq!(law, "the rate at the reference was set 2.000 times");
    // At another temperature the activation energy itself tells.
    let warm = set(&recipe, &[("operation.temperature_c", 80.0)]);
    let energy = reason(&warm, "deposition.activation_energy_kj_mol", [65.0, 40.0]).expect("a reason");
    assert!(energy.starts_with("the activation energy of temperature was changed: 1."), "{energy}");
    assert_eq!(reason(&recipe, "tank.volume_l", [400.0, 500.0]), None);
}

#[test]
fn two_causes_are_told_largest_first() {
    let varied = [
        ("operation.ph".to_owned(), vec![4.8, 5.2]),
        ("operation.temperature_c".to_owned(), vec![88.0, 84.0]),
    ];
    let points = sweep(&power_law(), &varied).expect("points");
    let both = points[3].reason.as_deref().expect("a reason");
    let (ph, heat) =
        (both.find("pH rises").expect("pH"), both.find("temperature falls").expect("temperature"));
    assert!(ph < heat && both.contains("; "), "{both}");
    // Complexing tells when the order is one in the free metal.
    let free = power_law().with(
        "deposition.basis.nickel",
        bathkin::document::Value::Text("free".to_owned()),
        "the test",
    );
    let complexed = reason(&free, "make_up.lactic_acid_g_l", [10.0, 45.0]).expect("a reason");
    assert!(complexed.starts_with("free nickel falls from 0.0"), "{complexed}");
}

#[test]
fn a_bath_that_stops_says_why() {
    let recipe = set(&stabilized(), &[("deposition.stabilizer.thiourea.stop_mg_l", 9.0)]);
    let stopped = reason(&recipe, "make_up.thiourea_mg_l", [1.0, 10.0]).expect("a reason");
    assert_eq!(
        stopped,
        "thiourea rises from 1.31e-5 mol/L to 1.31e-4 mol/L (stabilizer): nothing plates any more"
    );
}

#[test]
fn phosphorus_has_its_own_reason() {
    let points = sweep(&power_law(), &[("operation.ph".to_owned(), vec![4.4, 5.2])]).expect("points");
    assert_eq!(points[0].alloy_reason, None);
    let said = points[1].alloy_reason.as_deref().expect("a reason");
    // 10^(-0.12 x 0.8).
    let wanted = "pH rises from 4.40 to 5.20 (hydrogen ion order): 0.802 times as much phosphorus per nickel";
    assert_eq!(said, wanted);
    let free = points[1].free_metal_reason.as_deref().expect("a reason");
    assert!(free.starts_with("the free part of the nickel falls from "), "{free}");
    assert!(free.contains("nickel lactate 2 rises from "), "{free}");
    // A pure metal has no alloying element to explain.
    let copper = Recipe::built_in("copper-tartrate").expect("built in");
    let points = sweep(&copper, &[("operation.ph".to_owned(), vec![12.0, 12.5])]).expect("points");
    assert_eq!(points[1].alloy_reason, None);
}

#[test]
fn a_mixed_potential_is_moved_by_a_branch() {
    let mixed = Recipe::built_in("nickel-mixed-potential").expect("built in");
    let points = sweep(&mixed, &[("operation.ph".to_owned(), vec![4.4, 5.2])]).expect("points");
    assert_eq!(points[0].reason, None);
    let said = points[1].reason.as_deref().expect("a reason");
    assert!(said.starts_with("the oxidation partial current gives "), "{said}");
    assert!(said.contains("(pH rises from 4.40 to 5.20 (hydrogen ion order))"), "{said}");
    assert!(said.contains("; the potential falls from -0."), "{said}");
    let alloy = points[1].alloy_reason.as_deref().expect("a reason");
    assert!(alloy.contains("times as much phosphorus per nickel"), "{alloy}");
}

#[test]
fn behind_a_film_the_surface_explains_the_rate() {
    let recipe = copper(&S1, 12.5);
    let points = sweep(&recipe, &[("operation.ph".to_owned(), vec![11.5, 12.5])]).expect("points");
    let said = points[1].reason.as_deref().expect("a reason");
    assert!(said.contains(" at the surface "), "{said}");
    assert!(said.contains("surface pH 0.") && said.contains(" below the bath's"), "{said}");
    // The factors are those of the liquid the law sees: their product is the rate.
    let fresh = rate(&recipe);
    let product: f64 = fresh.factors.iter().map(|(_, factor)| factor).product();
    let metal = fresh.half_reactions_mol_m2_s.iter().find(|(name, _)| name == "metal").expect("it").1;
    assert_relative("product", S1.rate * product, metal, 1e-6);
}

/// Producer: the reagent's own limit, which stands in the message; the other points are those of a sweep
/// without it.
#[test]
fn a_point_that_cannot_be_computed_keeps_its_place() {
    let ph = |values: &[f64]| sweep(&power_law(), &[("operation.ph".to_owned(), values.to_vec())]);
    let points = ph(&[1.0, 4.4, 5.2]).expect("two points can be computed");
    assert_eq!(points[0].settings, [("operation.ph".to_owned(), 1.0)]);
    assert_eq!((&points[0].rate, &points[0].reason), (&None, &None));
    let Some(failure @ Error::PhNotReachable { target, .. }) = &points[0].failure else {
        panic!("not reached");
    };
    assert_eq!((*target, failure.remark().code), (1.0, "ph-not-reachable"));
    assert!(failure.to_string().contains("cannot reach pH 1.00"));
    assert!(ph(&[4.4, 5.2]).expect("both") == points[1..]);
    assert!(ph(&[1.0, 1.2]).is_err_and(|error| error.to_string().contains("cannot reach pH 1.00")));
    // A pH that no bath can have is a wrong question, wherever it stands.
    assert!(ph(&[4.4, 19.0]).is_err_and(|error| error.to_string().contains("operation.ph = 19")));
}
