//! A bath of a published study, ten times too lean (cases.json).

use support::recipes::{at_metal_g_l, power_law, set};
use support::{case, number};

/// Producer: P18 (a published study of baths this lean): accepted, with a warning for each doubt.
#[test]
fn p18_a_bath_ten_times_too_lean_is_warned_of_and_not_refused() {
    let case = case("P18");
    let recipe = set(
        &at_metal_g_l(&power_law(), number(&case, "/inputs/Ni/0")),
        &[("operation.temperature_c", number(&case, "/inputs/T/0"))],
    );
    let flags = |recipe: &bathkin::Recipe| -> Vec<String> {
        let bath = recipe.make_up().expect("a bath");
        bath.flags()
            .expect("flags")
            .into_iter()
            .map(|flag| format!("{}: {}", flag.r#where, flag.what))
            .collect()
    };
    let said = flags(&recipe);
    for place in ["low_nickel: ", "make_up.nickel_sulfate_hexahydrate_g_l: ", "stability: "] {
        assert_eq!(said.iter().filter(|flag| flag.starts_with(place)).count(), 1, "{place} in {said:?}");
    }
    let wanted = case["expect"]["warning"].as_array().expect("a list");
    for words in wanted.iter().map(|words| words.as_str().expect("words")) {
        assert!(said.iter().any(|flag| flag.contains(words)), "{words} in {said:?}");
    }
    // The study saw it above 80 degC only, and only in baths this lean.
    let cooler = flags(&set(&recipe, &[("operation.temperature_c", 79.0)]));
    let richer = flags(&set(&power_law(), &[("operation.temperature_c", 85.0)]));
    for other in [&cooler, &richer] {
        assert!(!other.iter().any(|flag| flag.starts_with("stability: ")), "{other:?}");
    }
    assert!(cooler.iter().any(|flag| flag.starts_with("low_nickel: ")), "{cooler:?}");
}
