//! The dosing plan of a shift.

use bathkin::Error;
use bathkin::recipe::Recipe;
use bathkin::study::{Plan, PlanRequest};

use support::recipes::{
    live, molar_mass, nickel_acid, power_law, pumped, round_the_clock, say, set, without_limits,
};
use support::{assert_relative, assert_within};

#[track_caller]
fn plan(recipe: &Recipe, now: &[(&str, f64)], round_ml: Option<f64>, shift_h: f64) -> Plan {
    let now = now.iter().map(|(name, value)| ((*name).to_owned(), *value)).collect();
    let request = PlanRequest { shift_h, now, round_ml, calendar: None, start_s: None, sure: false };
    recipe.plan(&request).unwrap_or_else(|error| panic!("{error}"))
}

/// Producer: the life of the same bath: a plan of a fresh bath is its first shift, and of one aged to a turnover
/// what follows that turnover.
#[test]
fn a_plan_is_what_the_life_does_in_that_shift() {
    let dosed = round_the_clock(&without_limits(&power_law()));
    let by_ratio = set(
        &say(&dosed, &[("replenishment.reductant", "ratio")]),
        &[("replenishment.reductant_per_metal_mol", 2.9)],
    );
    let free = say(&dosed, &[("tank.level", "free")]);
    let analysed = say(&dosed, &[("replenishment.policy", "analysis")]);
    for recipe in [&dosed, &by_ratio, &free, &analysed] {
        let life = live(&set(recipe, &[("limits.turnovers", 3.0)]));
        let planned = plan(recipe, &[], None, 8.0);
        let lines: Vec<_> = life.ledger.additions.iter().filter(|line| line.clock_h <= 8.0).collect();
        assert!(!lines.is_empty() && lines.len() == planned.additions.len());
        for (line, addition) in lines.iter().zip(&planned.additions) {
            assert_eq!((&line.replenisher, &line.reason), (&addition.replenisher, &addition.reason));
            assert_relative("mL", addition.volume_ml, line.volume_ml, 1e-9);
            assert_within("h", addition.at_h, line.clock_h, 1e-9);
            assert_eq!(addition.exact_ml, addition.volume_ml);
        }
    }
    let life = live(&set(&dosed, &[("limits.turnovers", 3.0)]));
    let aged = plan(&dosed, &[("turnovers", 1.0)], None, 8.0);
    assert_within("turnovers", aged.start.turnovers, 1.0, 1e-6);
    let reached =
        life.ledger.additions.iter().find(|line| line.turnovers >= 1.0 - 1e-6).expect("a turnover").clock_h;
    let after = |hour: f64| hour > reached + 1e-9 && hour <= reached + 8.0;
    let lines: Vec<_> = life.ledger.additions.iter().filter(|line| after(line.clock_h)).collect();
    assert!(!lines.is_empty() && lines.len() == aged.additions.len());
    for (line, addition) in lines.iter().zip(&aged.additions) {
        // The integrator sets out anew; doses are timed to a millisecond.
        assert_relative("mL", addition.volume_ml, line.volume_ml, 1e-4);
        assert_within("h", addition.at_h, line.clock_h - reached, 1e-4);
    }
}

/// Producer: (6.0 - 5.6) g/L in 400 L of a solution with 100 g/L nickel; the analyses themselves.
#[test]
fn analyses_are_where_the_plan_starts() {
    let recipe = nickel_acid();
    let now = [
        ("nickel_g_l", 5.6),
        ("sodium_hypophosphite_monohydrate_g_l", 28.0),
        ("ph", 4.65),
        ("turnovers", 3.0),
    ];
    let planned = plan(&recipe, &now, None, 8.0);
    assert_within("nickel", planned.start.metal_g_l, 5.6, 1e-9);
    assert_within("pH", planned.start.ph, 4.65, 1e-6);
    assert_within("hypophosphite", planned.start.reductant_mol_l, 28.0 / molar_mass("NaH2PO2.H2O"), 1e-9);
    let first = &planned.additions[0];
    let feed_g_l = 450.0 * molar_mass("Ni") / molar_mass("NiSO4.6H2O");
    let set_point = 26.87 * molar_mass("Ni") / molar_mass("NiSO4.6H2O");
    assert_relative("mL", first.volume_ml, (set_point - 5.6) * 400.0 / feed_g_l * 1e3, 1e-9);
    assert_eq!((first.at_h, first.reason.as_str()), (0.0, "metal low"));
    assert_relative("after", first.after.metal_g_l, set_point, 1e-9);
    let caustic =
        planned.additions.iter().find(|a| a.replenisher.starts_with("sodium hydroxide")).expect("caustic");
    assert!(caustic.before.ph < 4.7 && (caustic.after.ph - 4.8).abs() < 1e-6, "{caustic:?}");
    // The by-product ages the bath as turnovers do, and the recipe's own limits are held against it.
    let by_product = plan(&recipe, &[("orthophosphite_mol_l", 0.5)], None, 0.1);
    assert!((1.0..4.0).contains(&by_product.start.turnovers), "{:?}", by_product.start);
    let old = plan(&recipe, &[("turnovers", 11.0)], None, 0.1);
    assert!(
        old.notes.iter().any(|note| note == "the bath is past limits.turnovers of its recipe"),
        "{:?}",
        old.notes
    );
    // Above its set-point a pH is an analysis like any other, and nobody adds caustic.
    let high = plan(&recipe, &[("ph", 5.0)], None, 0.1);
    assert_within("pH", high.start.ph, 5.0, 1e-6);
    assert!(high.additions.is_empty());
}

/// Producer: what goes in by pump is what the life's pumps feed; a low bath is brought back first.
#[test]
fn a_pumped_bath_is_brought_back_and_then_held() {
    let recipe = pumped(&nickel_acid());
    let planned = plan(&recipe, &[("nickel_g_l", 5.5)], None, 8.0);
    assert_eq!(planned.additions[0].reason, "analysis now");
    assert_within("end", planned.end.metal_g_l, planned.additions[0].after.metal_g_l, 1e-6);
    let held = plan(&recipe, &[], None, 8.0);
    assert!(held.additions.iter().all(|addition| addition.reason == "pumped"), "{:?}", held.additions);
    let life = live(&set(&recipe, &[("life.longest_clock_h", 8.0)]));
    for total in &held.totals {
        assert_relative(
            &total.replenisher,
            total.exact_ml * 1e-3,
            life.ledger.volume_l(&total.replenisher),
            1e-9,
        );
    }
}

/// Producer: the measure: whole marks, and a shift's total off by no more than a mark for each dose that looks at the
/// bath, half a mark for those by a rule.
#[test]
fn rounded_doses_are_whole_marks_and_their_effect_is_shown() {
    let recipe = round_the_clock(&without_limits(&power_law()));
    let by_ratio = set(
        &say(&recipe, &[("replenishment.reductant", "ratio")]),
        &[("replenishment.reductant_per_metal_mol", 2.9)],
    );
    for recipe in [&recipe, &by_ratio] {
        let planned = plan(recipe, &[("turnovers", 2.0)], Some(50.0), 12.0);
        for addition in &planned.additions {
            assert_eq!(addition.volume_ml % 50.0, 0.0, "{addition:?}");
            assert!(addition.volume_ml > 0.0 && (addition.volume_ml - addition.exact_ml).abs() <= 50.0);
        }
        for total in &planned.totals {
            let volumes = planned.additions.iter().filter(|a| a.replenisher == total.replenisher);
            assert_relative(
                &total.replenisher,
                volumes.map(|a| a.volume_ml).sum::<f64>(),
                total.volume_ml,
                1e-12,
            );
            assert!((total.volume_ml - total.exact_ml).abs() <= 0.05 * total.exact_ml + 50.0, "{total:?}");
        }
        // A mark of 50 mL is 0.0125 g/L; the time of a dose moves with it.
        assert_within("metal", planned.end.metal_g_l, planned.end_exact.metal_g_l, 0.05);
        assert!(planned.end != planned.end_exact);
        let plain = plan(recipe, &[("turnovers", 2.0)], None, 12.0);
        assert!(plain.end == plain.end_exact);
    }
}

/// Producer: the promise that an empty plan says why.
#[test]
fn an_empty_plan_says_why() {
    let recipe = nickel_acid();
    let short = plan(&recipe, &[], None, 0.1);
    assert!(short.additions.is_empty() && short.totals.is_empty());
    assert!(short.notes[0].contains("nothing to add: nickel goes from"), "{:?}", short.notes);
    assert!(short.notes[1].contains("is corrected at 4.70"), "{:?}", short.notes);
    let far =
        set(&recipe, &[("load.far.area_dm2", 40.0), ("load.far.in_h", 100.0), ("load.far.minutes", 60.0)]);
    let idle = plan(&far, &[], None, 8.0);
    assert!(idle.notes[0].contains("no work is in the tank"), "{:?}", idle.notes);
}

/// Producer: by hand: 58 / 6.0 is 967 %, 12 / 6.0 twice, and so on; a slip is one that lands within a quarter.
#[test]
fn analyses_far_off_their_set_points_are_refused() {
    let refused = |name: &str, value: f64| {
        let now = vec![(name.to_owned(), value)];
        nickel_acid().plan(&PlanRequest { now, ..PlanRequest::default() }).expect_err("refused").to_string()
    };
    for (name, value, words) in [
        ("nickel_g_l", 58.0, "now: nickel_g_l = 58: expected a reading nearer to the set-point: it is 967 %"),
        ("nickel_g_l", 58.0, "perhaps a slip of the decimal point, 5.8 (97 %)"),
        ("nickel_g_l", 12.0, "200 % of the set-point, 6 g/L"),
        ("nickel_g_l", 0.57, "a slip of the decimal point, 5.7 (95 %)"),
        ("nickel_g_l", 95.0, "per cent of the set-point, nickel_pct_of_set_point (95 %)"),
        ("nickel_g_l", 26.9, "g/L, nickel_sulfate_hexahydrate_g_l (100 %)"),
        ("nickel_g_l", 0.8, "oz/gal"),
        ("nickel_pct_of_set_point", 5.9, "g/L, nickel_g_l (98 %)"),
        ("nickel_mol_l", 5.9, "g/L, nickel_g_l (98 %)"),
        ("sodium_hypophosphite_monohydrate_g_l", 3.0, "a slip of the decimal point, 30 (100 %)"),
        ("hypophosphite_mol_l", 0.05, "now: hypophosphite_mol_l = 0.05"),
        (
            "ph",
            9.0,
            "now: ph = 9: expected a reading nearer to the set-point: it is +4.20 pH off the set-point, 4.80",
        ),
        ("ph", 0.48, "a slip of the decimal point, 4.8"),
        ("ph", 6.3, "+1.50 pH off"),
        ("ph_25c", 9.0, "now: ph_25c = 9"),
    ] {
        let text = refused(name, value);
        assert!(text.contains(words), "{name} = {value}: {text} lacks {words}");
        assert!(text.contains("--sure") && !text.contains("sodium hydroxide"), "{text}");
    }
}

/// Producer: the bounds of a warning, a quarter and half a pH, from both sides.
#[test]
fn analyses_a_quarter_off_are_flagged() {
    let flags = |name: &str, value: f64, sure: bool| -> Vec<String> {
        let now = vec![(name.to_owned(), value)];
        let request = PlanRequest { shift_h: 0.1, now, sure, ..PlanRequest::default() };
        let planned = nickel_acid().plan(&request).unwrap_or_else(|error| panic!("{error}"));
        planned
            .flags
            .iter()
            .filter(|flag| flag.r#where == format!("now.{name}"))
            .map(|flag| flag.what.clone())
            .collect()
    };
    for (name, near, off) in [
        ("nickel_g_l", 4.6, 4.5),
        ("nickel_g_l", 7.4, 7.6),
        ("nickel_pct_of_set_point", 76.0, 75.0),
        ("sodium_hypophosphite_monohydrate_g_l", 23.0, 22.0),
        ("ph", 5.2, 5.3),
        ("ph", 4.4, 4.3),
    ] {
        assert!(flags(name, near, false).is_empty(), "{name} = {near}");
        let found = flags(name, off, false);
        assert_eq!(found.len(), 1, "{name} = {off}: {found:?}");
        assert!(found[0].contains("set-point"), "{found:?}");
    }
    // What its author is sure of is taken, and flagged all the same.
    assert!(flags("nickel_g_l", 12.0, true)[0].contains("200 %"));
    assert!(flags("ph", 9.0, true)[0].contains("+4.20 pH"));
    // Only readings with a set-point: nothing holds lactate or orthophosphite.
    for (name, value) in [("lactate_mol_l", 0.05), ("orthophosphite_mol_l", 1.0)] {
        assert!(flags(name, value, false).is_empty(), "{name}");
    }
}

/// Producer: the promise that the culprit is the odd reading, whatever could not follow it.
#[test]
fn the_culprit_is_the_odd_reading() {
    let now = vec![("turnovers".to_owned(), 1.0), ("ph".to_owned(), 4.7), ("nickel_g_l".to_owned(), 58.0)];
    let request = PlanRequest { now, sure: true, ..PlanRequest::default() };
    let text = nickel_acid().plan(&request).expect_err("no such bath").to_string();
    assert!(
        text.starts_with("now: nickel_g_l = 58: expected contents with which this bath can have pH 4.70"),
        "{text}"
    );
    assert!(text.contains("967 % of the set-point") && !text.contains("hydroxide"), "{text}");
    let twice = vec![("nickel_g_l".to_owned(), 5.6), ("nickel_mM".to_owned(), 95.0)];
    let text = nickel_acid()
        .plan(&PlanRequest { now: twice, ..PlanRequest::default() })
        .expect_err("twice")
        .to_string();
    assert!(text.contains("one analysis of it: nickel_g_l = 5.6 is given too"), "{text}");
}

/// Producer: the alkaline bath's own pH hot and at 25 degC; a cold pH taken for a hot one is far off, and is named.
#[test]
fn a_cold_ph_is_named_and_may_be_given_as_such() {
    let cooled = Recipe::built_in("nickel-alkaline").expect("built in");
    let bath = cooled.make_up().expect("a bath");
    let (hot, cold) = (bath.ph(), bath.ph_at(25.0).expect("a pH"));
    let recipe = set(&say(&cooled, &[("operation.ph_reading", "hot")]), &[("operation.ph", hot)]);
    assert!(cold - hot > 0.5, "{hot} and {cold}");
    let asked = |name: &str| {
        let request = PlanRequest {
            shift_h: 0.1,
            now: vec![(name.to_owned(), cold)],
            sure: true,
            ..PlanRequest::default()
        };
        recipe.plan(&request).unwrap_or_else(|error| panic!("{error}"))
    };
    let flagged = asked("ph");
    let said = flagged.flags.iter().find(|flag| flag.r#where == "now.ph").expect("a flag");
    assert!(said.what.contains("that of a cooled sample, ph_25c"), "{said:?}");
    let cooled = asked("ph_25c");
    assert!(cooled.flags.iter().all(|flag| !flag.r#where.starts_with("now.")), "{:?}", cooled.flags);
    assert_within("pH", cooled.start.ph, hot, 1e-6);
}

/// Producer: the same amounts in other words.
#[test]
fn analyses_take_every_spelling() {
    let metal = 26.87 * molar_mass("Ni") / molar_mass("NiSO4.6H2O");
    let recipe = nickel_acid();
    let start = |name: &str, value: f64| plan(&recipe, &[(name, value)], None, 0.1).start;
    for (name, value) in [
        ("nickel_pct_of_set_point", 95.0),
        ("metal_pct_of_set_point", 95.0),
        ("nickel_sulfate_hexahydrate_g_l", 0.95 * 26.87),
        ("nickel_mM", 950.0 * metal / molar_mass("Ni")),
    ] {
        assert_relative(name, start(name, value).metal_g_l, 0.95 * metal, 1e-9);
    }
    let aged = plan(&recipe, &[("orthophosphite_g_l_as_na2hpo3", 0.5 * molar_mass("Na2HPO3"))], None, 0.1);
    let by_moles = plan(&recipe, &[("orthophosphite_mol_l", 0.5)], None, 0.1);
    assert_relative("turnovers", aged.start.turnovers, by_moles.start.turnovers, 1e-9);
}

/// Producer: the errors' own promise.
#[test]
fn what_a_bath_cannot_be_is_refused() {
    let asked = |now: (&str, f64), shift_h: f64, round_ml: Option<f64>| {
        let now = vec![(now.0.to_owned(), now.1)];
        nickel_acid()
            .plan(&PlanRequest { shift_h, now, round_ml, calendar: None, start_s: None, sure: false })
            .expect_err("refused")
    };
    let Error::UnknownName { nearest, .. } = asked(("nickle_g_l", 5.0), 8.0, None) else { panic!("a name") };
    assert_eq!(nearest[0], "nickel_g_l");
    for (now, shift_h, round_ml, key) in [
        (("ph", 15.0), 8.0, None, "ph"),
        (("nickel_g_l", -1.0), 8.0, None, "nickel_g_l"),
        (("ph", 4.7), 0.0, None, "shift_h"),
        (("ph", 4.7), 8.0, Some(0.0), "round_ml"),
    ] {
        let Error::Recipe { key: found, .. } = asked(now, shift_h, round_ml) else { panic!("{key}") };
        assert_eq!(found, key);
    }
}
