//! Limits of each kind end a life at their bound, and the outlook past the first.

use bathkin::document::Value;

use support::recipes::{column, last, live, nickel_acid, pumped, say, set};
use support::{assert_relative, assert_within};

/// Producer: the limit itself: each new kind stops the life at its bound, by the column it watches.
#[test]
fn limits_of_each_kind_end_the_life_at_their_bound() {
    let bath = || set(&pumped(&nickel_acid()), &[("limits.turnovers", 30.0)]);
    for (path, name, reading, bound) in [
        ("limits.sulfate_mol_l_max", "sulfate_mol_l_max", "sulfate_mol_l", 0.4),
        ("limits.ionic_strength_mol_l", "ionic_strength_mol_l", "ionic_strength_mol_l", 3.0),
        ("limits.clock_h", "clock_h", "clock_h", 30.0),
        ("limits.area_m2", "area_m2", "area_m2", 20.0),
        ("limits.specific_gravity", "specific_gravity", "specific_gravity", 1.15),
    ] {
        let life = live(&set(&bath(), &[(path, bound)]));
        assert_eq!(life.verdict.limit, name);
        assert_relative(name, last(&life, reading), bound, 1e-6);
    }
    let life = live(&set(&bath(), &[("limits.ionic_strength_pct_of_fresh", 300.0)]));
    let strength = column(&life, "ionic_strength_mol_l");
    assert_relative("300 %", last(&life, "ionic_strength_mol_l"), 3.0 * strength[0], 1e-6);
    // Fed too little, the reductant falls to its floor; lactate is bled away.
    let starved = set(
        &say(&bath(), &[("replenishment.reductant", "ratio")]),
        &[("replenishment.reductant_per_metal_mol", 2.6), ("limits.reductant_pct_of_set_point", 80.0)],
    );
    let life = live(&starved);
    assert_eq!(life.verdict.limit, "reductant_mol_l");
    let reductant = column(&life, "reductant_mol_l");
    assert_relative("80 %", last(&life, "reductant_mol_l"), 0.8 * reductant[0], 1e-6);
    let bled = set(&bath(), &[("tank.bleed_per_turnover", 0.3), ("limits.lactate_mol_l_min", 0.2)]);
    assert_eq!(live(&bled).verdict.limit, "lactate_mol_l_min");
}

/// Producer: the calendar: a limit on the clock ends the life also at night, to the second.
#[test]
fn a_limit_on_the_clock_holds_at_night() {
    let life = live(&set(&nickel_acid(), &[("limits.clock_h", 36.5)]));
    assert_eq!(life.verdict.limit, "clock_h");
    assert_within("h", life.verdict.clock_h, 36.5, 1e-6);
}

/// Producer: the same bath with the cap as a plain limit.
#[test]
fn a_cap_of_a_substrate_ends_its_work_only() {
    let capped = set(&nickel_acid(), &[("limits.substrate.aluminium.turnovers", 3.0)]);
    let life = live(&capped);
    assert_eq!(life.verdict.limit, "orthophosphite_mol_l");
    let outlook = capped.outlook(&life.verdict, &life.table, &life.margins(), None).expect("an outlook");
    let cap = outlook.iter().find(|one| !one.applies).expect("the cap");
    assert_eq!((cap.name.as_str(), cap.substrate.as_deref()), ("aluminium.turnovers", Some("aluminium")));
    let plain = live(&set(&nickel_acid(), &[("limits.turnovers", 3.0)]));
    assert_relative("clock", cap.reached.expect("reached").clock_h, plain.verdict.clock_h, 1e-3);

    let activation = nickel_acid()
        .model()
        .expect("a model")
        .substrates
        .iter()
        .find(|it| it.name == "aluminium")
        .and_then(|it| it.starts.first())
        .expect("a start")
        .activation
        .name();
    let plated = say(
        &set(&nickel_acid(), &[("limits.substrate.aluminium.turnovers", 3.0)]),
        &[("work.substrate", "aluminium"), ("work.activation", activation)],
    );
    assert_eq!(live(&plated).verdict.limit, "aluminium.turnovers");
    let error = set(&nickel_acid(), &[("limits.substrate.cheese.turnovers", 3.0)]).make_up();
    assert!(error.expect_err("refused").to_string().contains("no substrate is called 'cheese'"));
}

/// Producer: the other limit alone. Past the first limit the table tells when the second is reached.
#[test]
fn the_outlook_past_the_first_limit_is_the_life_without_it() {
    let recipe = nickel_acid();
    let life = live(&recipe);
    let past = recipe.life_past_limits(&life.verdict).expect("a longer life");
    let outlook =
        recipe.outlook(&life.verdict, &life.table, &life.margins(), Some(&past)).expect("an outlook");
    let at = |name: &str| outlook.iter().find(|one| one.name == name).expect("the limit").clone();
    let second = at("deposition_um_h");
    assert!(second.past_first_limit);
    let off = Value::Text("off".to_owned());
    let without = recipe.with("limits.orthophosphite_g_l_as_hpo3", off, "the test");
    let verdict = live(&without).verdict;
    assert_eq!(verdict.limit, "deposition_um_h");
    assert_relative("turnovers", second.reached.expect("reached").turnovers, verdict.turnovers, 1e-2);
    assert!(!at("orthophosphite_mol_l").past_first_limit);
    // What is not reached says how far it was looked for: twice the turnovers and one more.
    let never = at("phosphorus_wt_pct_min");
    assert!(never.reached.is_none());
    assert_relative("looked to", never.looked_to_turnovers, 2.0 * life.verdict.turnovers + 1.0, 1e-2);
    assert_relative("looked to", never.looked_to_h, past.verdict.clock_h, 1e-12);
    let plain = recipe.outlook(&life.verdict, &life.table, &life.margins(), None).expect("an outlook");
    assert!(plain.iter().all(|one| one.looked_to_turnovers == life.verdict.turnovers));
}

/// Producer: the recipes' own words: a limit is told in the substance and the unit it was set in, and its bound there
/// is the number that was written. 1.875 mol/L HPO3 at 79.98 g/mol (IUPAC 2021 atomic weights) are 150 g/L.
#[test]
fn a_limit_is_told_in_the_unit_it_was_set_in() {
    let bath = set(
        &nickel_acid(),
        &[
            ("limits.orthophosphite_g_l_as_na2hpo3_max", 300.0),
            ("limits.sodium_hypophosphite_monohydrate_g_l_min", 5.0),
            ("limits.metal_pct_of_set_point", 50.0),
            ("limits.nickel_mol_l", 0.02),
            ("limits.substrate.aluminium.orthophosphite_g_l_as_hpo3", 90.0),
        ],
    );
    let model = bath.model().expect("a model");
    let all = model.limits.iter().chain(&model.limits_of_other_work);
    let given: Vec<_> = all.map(|limit| (limit.path.as_str(), limit.as_given(Some(limit.bound)))).collect();
    for (path, words, unit, bound) in [
        ("limits.orthophosphite_g_l_as_hpo3", "orthophosphite as HPO3", "g/L", 150.0),
        ("limits.orthophosphite_g_l_as_na2hpo3_max", "orthophosphite as Na2HPO3 (highest)", "g/L", 300.0),
        (
            "limits.sodium_hypophosphite_monohydrate_g_l_min",
            "sodium hypophosphite monohydrate (lowest)",
            "g/L",
            5.0,
        ),
        ("limits.metal_pct_of_set_point", "nickel", "% of set-point", 50.0),
        ("limits.nickel_mol_l", "nickel", "mol/L", 0.02),
        ("limits.deposition_pct_of_fresh", "deposition rate", "% of fresh", 60.0),
        ("limits.turnovers", "metal turnovers", "turnovers", 10.0),
        (
            "limits.substrate.aluminium.orthophosphite_g_l_as_hpo3",
            "orthophosphite as HPO3 on aluminium",
            "g/L",
            90.0,
        ),
    ] {
        let (_, one) = given.iter().find(|(of, _)| *of == path).expect(path);
        assert_eq!((one.words.as_str(), one.unit.as_str()), (words, unit), "{path}");
        assert_relative(path, one.bound, bound, 1e-12);
        assert_eq!(one.value, Some(one.bound));
    }
    let hpo3 = model.limits.iter().find(|limit| limit.path.ends_with("as_hpo3")).expect("the limit");
    assert_relative("mol/L", hpo3.bound, 150.0 / 79.98, 1e-4);
}
