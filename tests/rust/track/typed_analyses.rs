//! Analyses typed at the start of a shift against the bath as its log tells of it. Producer: arithmetic on what is believed.

use bathkin_fit::track::held_against;
use support::shop::{Truth, shop};

use crate::where_it_stands::followed;

fn now(name: &str, value: f64) -> Vec<(String, f64)> {
    vec![(name.to_owned(), value)]
}

/// Ten times the content, and two digits of a pH the wrong way round, are refused with what was meant; the content itself,
/// in whatever unit, is not.
#[test]
fn a_slip_is_refused_with_what_was_meant() {
    let of = shop(Truth::default(), 0.02, 3);
    let found = followed(&of, 30, 60);
    let believed = |name: &str| {
        let one = found.standing.iter().find(|one| one.name == name).expect("a standing");
        (one.value, one.set_point)
    };
    let (nickel_g_l, set_point) = believed("metal_g_l");
    let pct = 100.0 * nickel_g_l / set_point.expect("a set-point");
    for (name, value) in
        [("nickel_g_l", nickel_g_l), ("nickel_pct_of_set_point", pct), ("ph", believed("ph").0)]
    {
        let doubts = held_against(&of.recipe, &found, &now(name, value), false).expect("plausible");
        assert!(doubts.is_empty(), "{name}: {doubts:?}");
        let error = held_against(&of.recipe, &found, &now(name, 10.0 * value), false).expect_err("ten times");
        assert!(error.to_string().contains("with the point moved it would be"), "{error}");
        let doubts = held_against(&of.recipe, &found, &now(name, 10.0 * value), true).expect("as it stands");
        assert_eq!(doubts.len(), 1);
    }
    // 4.8 read as 8.4.
    let tenths = (10.0 * believed("ph").0).round();
    let swapped = (10.0 * (tenths % 10.0) + (tenths / 10.0).floor()) / 10.0;
    let error = held_against(&of.recipe, &found, &now("ph", swapped), false).expect_err("swapped");
    assert!(error.to_string().contains("with two digits swapped it would be"), "{error}");
}

/// What nobody can slip into is refused only beyond eight standard deviations, and doubted from 3.3 on.
#[test]
fn what_is_far_off_without_a_slip_is_doubted() {
    let of = shop(Truth::default(), 0.02, 3);
    let found = followed(&of, 30, 60);
    let one = found.standing.iter().find(|one| one.name == "metal_g_l").expect("a standing");
    let sd = ((one.p90 - one.p10) / 2.563).hypot(0.01 * found.titration_noise_pct * one.value);
    let off =
        |times: f64| held_against(&of.recipe, &found, &now("nickel_g_l", one.value - times * sd), false);
    assert!(off(3.0).expect("plausible").is_empty());
    assert_eq!(off(5.0).expect("doubtful").len(), 1);
    assert!(off(9.0).is_err());
}
