//! The dosing plan of a shift.

use acceptance::{assert_relative, assert_within};
use bathkin::Error;
use bathkin::recipe::{Plan, PlanRequest, Recipe};

use crate::recipes::{live, molar_mass, nickel_acid, pumped, round_the_clock, say, set, without_limits};

#[track_caller]
fn plan(recipe: &Recipe, now: &[(&str, f64)], round_ml: Option<f64>, shift_h: f64) -> Plan {
    let now = now.iter().map(|(name, value)| ((*name).to_owned(), *value)).collect();
    let request = PlanRequest { shift_h, now, round_ml, calendar: None };
    recipe.plan(&request).unwrap_or_else(|error| panic!("{error}"))
}

/// Producer: the life of the same bath: a plan of a fresh bath is its first shift, and of one aged to a turnover
/// what follows that turnover.
#[test]
fn a_plan_is_what_the_life_does_in_that_shift() {
    let dosed = round_the_clock(&without_limits(&nickel_acid()));
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
    let recipe = round_the_clock(&without_limits(&nickel_acid()));
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

/// Producer: the errors' own promise.
#[test]
fn what_a_bath_cannot_be_is_refused() {
    let asked = |now: (&str, f64), shift_h: f64, round_ml: Option<f64>| {
        let now = vec![(now.0.to_owned(), now.1)];
        nickel_acid().plan(&PlanRequest { shift_h, now, round_ml, calendar: None }).expect_err("refused")
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
