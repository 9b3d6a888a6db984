//! What comes to an end by itself says so: a tank that runs dry, racks that run out, additions without end.

use bathkin::study::{Horizon, Strategy};
use bathkin::{Error, Recipe};

use support::recipes::{live, nickel_acid, round_the_clock, say, set, without_limits};

/// A free level that nobody fills up.
fn unattended() -> Recipe {
    say(&without_limits(&nickel_acid()), &[("tank.level", "free"), ("tank.water", "by-hand")])
}

/// Producer: the volume balance. However the bath leaves, the life ends with it, its table is numbers, and the flag
/// says what is left and where it went.
#[test]
fn a_tank_that_runs_dry_says_so() {
    let rack = [
        ("load.rack.area_dm2", 40.0),
        ("load.rack.in_h", 1.0),
        ("load.rack.minutes", 30.0),
        ("load.rack.every_h", 1.0),
        ("load.rack.count", 500.0),
    ];
    let racks = set(&unattended(), &rack);
    for (how, recipe) in [
        ("evaporated", set(&unattended(), &[("tank.evaporation_l_h", 20.0)])),
        ("evaporated", set(&unattended(), &[("tank.evaporation_l_h", 400.0)])),
        ("evaporated", set(&racks, &[("tank.evaporation_l_h", 2.0)])),
        ("went out with the work", set(&racks, &[("tank.drag_out_l_m2", 300.0)])),
        ("went out with the work", set(&racks, &[("tank.drag_out_l_m2", 3000.0)])),
        ("bled or dumped", set(&unattended(), &[("tank.bleed_l_h", 20.0)])),
        ("bled or dumped", {
            let dump = say(&unattended(), &[("event.dump.fill_with", "water")]);
            set(&dump, &[("event.dump.at_h", 3.0), ("event.dump.dump_pct", 100.0)])
        }),
    ] {
        let life = live(&recipe);
        assert!(
            ["bath used up", "water used up"].contains(&life.verdict.limit.as_str()),
            "{how}: {}",
            life.verdict.limit
        );
        for (name, values) in life.table.columns() {
            // Nothing plates on no work: the cost of it is infinite.
            let counts = !name.starts_with("cost");
            assert!(values.iter().all(|value| value.is_finite() || !counts), "{how}: {name} {values:?}");
        }
        let flags = recipe.life_flags(&life).expect("flags");
        let flag =
            flags.iter().find(|flag| flag.r#where == "tank.level").unwrap_or_else(|| panic!("{flags:?}"));
        assert!(flag.what.starts_with("the tank ran dry: ") && flag.what.contains(how), "{}", flag.what);
    }
}

/// Producer: the calendar. Racks that are over before the comparison is, or before a bleed has settled, are said to
/// run out, with their number and hour.
#[test]
fn racks_that_run_out_are_named() {
    let racks = set(
        &nickel_acid(),
        &[
            ("load.rack.area_dm2", 40.0),
            ("load.rack.in_h", 1.0),
            ("load.rack.minutes", 60.0),
            ("load.rack.every_h", 2.0),
            ("load.rack.count", 50.0),
        ],
    );
    let strategies = [Strategy::bleed_and_feed(0.2)];
    let said = |error: Error| {
        assert!(error.is_input());
        let said = error.to_string();
        assert!(
            said.contains("racks until 100.0 h") && said.contains("after 50 racks, 20.0000 m2"),
            "{said}"
        );
        assert!(said.contains("work.calendar_repeat_h"), "{said}");
    };
    said(racks.compare(&strategies, Some(Horizon::Area(100.0))).expect_err("refused"));
    said(racks.compare(&strategies, None).expect_err("refused"));
    said(racks.steady_bleed(0.2).expect_err("refused"));
    said(racks.bleed_for_limit("orthophosphite_mol_l").expect_err("refused"));
    said(racks.usual_strategies(&Strategy::USUAL, None).expect_err("refused"));
    // So many hours are over whether there is work or not.
    racks.compare(&strategies, Some(Horizon::Hours(200.0))).expect("runs");
}

/// Producer: the recipe. An event that thins the metal calls for a dose, whose turnovers call for the event: no hour
/// passes, and both are named.
#[test]
fn additions_that_call_for_each_other_are_named() {
    let bath = say(&round_the_clock(&without_limits(&nickel_acid())), &[("event.thin.fill_with", "water")]);
    let bath = set(&bath, &[("event.thin.dump_pct", 50.0), ("event.thin.every_turnovers", 0.05)]);
    let error = bath.simulate_life().expect_err("refused");
    let said = error.to_string();
    for words in
        ["no progress: replenishment policies and events trigger each other", "event 'thin'", "metal low"]
    {
        assert!(said.contains(words), "{said}");
    }
}
