//! Where the water of a held level goes, and solutions too lean for a free one.

use bathkin::Recipe;

use support::recipes::{last, live, nickel_acid, power_law, say, set};
use support::{assert_relative, assert_within};

const LEAN: [(&str, f64); 1] = [("replenisher.reductant.sodium_hypophosphite_monohydrate_g_l", 10.0)];

/// What is said about the level of a life.
fn said(recipe: &Recipe) -> Option<String> {
    let flags = recipe.life_flags(&live(recipe)).expect("flags");
    flags.into_iter().find(|flag| flag.r#where == "tank.level").map(|flag| flag.what)
}

/// Producer: 8,826 L out of 400 L in 361 h over 0.54 m² are 45 L/(m² h), an open tank at 88 degC evaporates 10.
#[test]
fn water_that_no_tank_evaporates_is_flagged() {
    let lean = set(&power_law(), &LEAN);
    let life = live(&lean);
    let per_m2_h = -last(&life, "water_l") / life.verdict.clock_h / 0.4_f64.powf(2.0 / 3.0);
    assert_relative("L/(m2 h)", per_m2_h, 45.0, 0.01);
    let what = said(&lean).expect("a flag");
    assert!(what.contains("taking 8826 L of water out") && what.contains("0.54 m2 at 88 degC"), "{what}");
    assert!(what.contains("some 5.4 L/h"), "{what}");
    // A busy shift whose water leaves by night is none.
    assert_eq!(said(&set(&power_law(), &[("work.loading_dm2_l", 1.0)])), None);
    // A surface of ten times that evaporates it, and a declared figure is believed and held against.
    assert_eq!(said(&set(&lean, &[("tank.open_surface_m2", 5.4)])), None);
    let declared = said(&set(&lean, &[("tank.evaporation_l_h", 0.0)])).expect("a flag");
    assert!(declared.contains("beyond the 0 L that evaporate"), "{declared}");
}

/// Producer: measured, L/(m² h) over the life: 0.2 to 2.9, each less than an open tank at its temperature. One is
/// more: at 25 degC it evaporates 0.49, and the copper tartrate bath asks for 2.0.
#[test]
fn built_in_recipes_need_no_more_than_a_tank_evaporates_but_one() {
    for name in Recipe::built_in_names() {
        let recipe = Recipe::built_in(name).expect("built in");
        assert_eq!(said(&recipe).is_some(), name == "copper-tartrate-quiet", "{name}");
    }
}

/// Producer: a litre of it takes as much out over the brim as it brings. Before, a negative dose and an error of the
/// ledger.
#[test]
fn a_solution_leaner_than_the_bath_is_refused_at_a_free_level() {
    let free = say(&nickel_acid(), &[("tank.level", "free")]);
    let metal = "replenisher.metal.nickel_sulfate_hexahydrate_g_l";
    let reductant = "replenisher.reductant.sodium_hypophosphite_monohydrate_g_l";
    for (path, table, name) in
        [(metal, "replenisher.metal", "nickel"), (reductant, "replenisher.reductant", "hypophosphite")]
    {
        let error = set(&free, &[(path, 20.0)]).simulate_life().expect_err("refused");
        let message = error.to_string();
        assert!(error.is_input() && message.contains(table), "{message}");
        assert!(message.contains(&format!("expected more {name} than the bath holds")), "{message}");
        // A held level is flagged, not refused.
        assert!(set(&nickel_acid(), &[(path, 20.0)]).make_up().is_ok());
    }
    // Fed by the metal, the reductant is not restored: it may be leaner, as long as the metal can be held beside what
    // its litres drive over the brim. By hand: 2.8 x 0.1022 x 1.712/(1.712 - 0.1022) = 0.3043 mol/L, 32.3 g/L.
    let by_ratio = say(&free, &[("replenishment.reductant", "ratio")]);
    let with = |g_l| set(&by_ratio, &[("replenishment.reductant_per_metal_mol", 2.8), (reductant, g_l)]);
    assert!(with(33.0).make_up().is_ok());
    let message = with(31.0).make_up().expect_err("the metal cannot be held").to_string();
    assert!(message.contains("expected more than 0.304"), "{message}");
    // A little stronger than the bath is enough, and all volumes are what they say.
    let strong = set(&free, &[(metal, 80.0), ("limits.turnovers", 1.0)]);
    let life = live(&strong);
    assert_within("level", last(&life, "volume_l"), 400.0, 1e-6);
    assert!(last(&life, "overflow_l") > 0.0 && last(&life, "water_l") >= 0.0);
}
