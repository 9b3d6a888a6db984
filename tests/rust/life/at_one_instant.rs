//! What happens at one instant: events, then doses, then limits; what a pump holds is held.

use bathkin::Life;
use bathkin::life::{LogReplay, LoggedPh, LoggedSegment, Plates, replay, replayed};
use bathkin::recipe::Recipe;
use bathkin::tank::{AlsoRead, METAL, REDUCTANT, Ramp};

use support::assert_within;
use support::recipes::{column, live, nickel_acid, round_the_clock, say, set, without_limits};

/// The policies of metal and pH, every one with every other.
fn every_policy(bath: &Recipe) -> Vec<(String, Recipe)> {
    let mut found = Vec::new();
    for metal in ["threshold", "continuous", "analysis"] {
        for ph in ["dead-band", "continuous", "interval", "off"] {
            let words = [("replenishment.policy", metal), ("ph_control.policy", ph)];
            found.push((format!("metal {metal}, pH {ph}"), say(bath, &words)));
        }
    }
    found
}

/// Adds a declared addition of 1 mL/L of a little sodium sulfate.
fn adding(bath: &Recipe, name: &str, when: (&str, f64)) -> Recipe {
    let path = |key: &str| format!("event.{name}.{key}");
    set(
        bath,
        &[
            (&path("solution.sodium_sulfate_anhydrous_g_l"), 10.0),
            (&path("dose_ml_l"), 1.0),
            (&path(when.0), when.1),
        ],
    )
}

/// Clock times at which an event was done, by the log of events and by the ledger, which must agree.
#[track_caller]
fn done_at_h(life: &Life, name: &str) -> Vec<f64> {
    let logged: Vec<f64> =
        life.events.iter().filter(|event| event.event == name).map(|event| event.clock_h).collect();
    let booked: Vec<f64> =
        life.ledger.additions.iter().filter(|line| line.reason == name).map(|line| line.clock_h).collect();
    assert_eq!(logged, booked, "{name}");
    logged
}

/// Producer: the declared times. An addition at make-up, one soon after, one in a night, one that repeats and one
/// at the very end are each done then, under every policy, however the end is set.
#[test]
fn declared_additions_are_done_at_their_hour_whatever_the_policies() {
    let (night_h, end_h) = (20.5, 30.0);
    let mut bath = without_limits(&nickel_acid());
    for (name, at_h) in [("first", 0.0), ("soon", 0.1), ("night", night_h), ("last", end_h)] {
        bath = adding(&bath, name, ("at_h", at_h));
    }
    // A third of an hour ninety times is thirty hours.
    bath = adding(&bath, "often", ("every_h", 1.0 / 3.0));
    for end in ["limits.clock_h", "life.longest_clock_h"] {
        for (what, recipe) in every_policy(&set(&bath, &[(end, end_h)])) {
            let life = live(&recipe);
            assert_within(&what, life.verdict.clock_h, end_h, 1e-9);
            for (name, at_h) in [("first", 0.0), ("soon", 0.1), ("night", night_h), ("last", end_h)] {
                let done = done_at_h(&life, name);
                assert_eq!(done.len(), 1, "{what}: {name} done at {done:?}");
                assert_within(format!("{what}: {name}"), done[0], at_h, 1e-9);
            }
            assert_eq!(done_at_h(&life, "often").len(), 90, "{what}");
        }
    }
}

/// Producer: the declared time, with the only rack long after it.
#[test]
fn an_event_does_not_wait_for_the_rack() {
    let rack = [
        ("load.only.area_dm2", 40.0),
        ("load.only.in_h", 100.0),
        ("load.only.minutes", 60.0),
        ("limits.clock_h", 101.0),
    ];
    let bath = adding(&set(&without_limits(&nickel_acid()), &rack), "first", ("at_h", 0.0));
    let bath = adding(&bath, "second", ("at_h", 50.0));
    for (what, recipe) in every_policy(&bath) {
        let life = live(&recipe);
        assert_eq!(done_at_h(&life, "first"), [0.0], "{what}");
        assert_eq!(done_at_h(&life, "second"), [50.0], "{what}");
        // The rack comes out at the end, before the verdict.
        assert_eq!(life.loads.len(), 1, "{what}");
        assert_within("out", life.loads[0].out_h, 101.0, 1e-12);
    }
}

/// Producer: the declared turnovers. A dose that completes them has the event at once after it, one that completes
/// several has it as often, and the dose that ends the life does not lose it.
#[test]
fn an_event_of_a_turnover_comes_with_the_dose_that_completes_it() {
    let bath = round_the_clock(&without_limits(&nickel_acid()));
    let dosed = set(&bath, &[("replenishment.metal_trigger_pct", 90.0), ("limits.turnovers", 1.0)]);
    for (what, recipe) in every_policy(&dosed) {
        let recipe = adding(&recipe, "end", ("at_turnovers", 1.0));
        let recipe = adding(&recipe, "often", ("every_turnovers", 0.04));
        let life = live(&recipe);
        assert_eq!(life.verdict.limit, "turnovers", "{what}");
        assert_eq!(done_at_h(&life, "end"), [life.verdict.clock_h], "{what}");
        let times = (life.verdict.turnovers / 0.04 + 1e-6).floor();
        assert!(times >= 25.0);
        assert_eq!(done_at_h(&life, "often").len(), times as usize, "{what}");
        let metal: Vec<f64> = life
            .ledger
            .additions
            .iter()
            .filter(|line| line.replenisher == "nickel replenisher")
            .map(|line| line.clock_h)
            .collect();
        if !what.contains("continuous,") {
            assert!(done_at_h(&life, "often").iter().all(|hour| metal.contains(hour)), "{what}");
        }
    }
}

/// Producer: the order of one instant. A limit that an event of that instant would undo does not end the life; one
/// that the event crosses ends it, at make-up too.
#[test]
fn limits_are_judged_after_the_events_of_the_instant() {
    let bath = without_limits(&nickel_acid());
    let over = set(
        &bath,
        &[
            ("limits.sodium_mol_l_max", 0.8),
            ("limits.clock_h", 10.0),
            ("event.salt.solution.sodium_sulfate_anhydrous_g_l", 200.0),
            ("event.salt.dose_ml_l", 200.0),
            ("event.salt.at_h", 0.0),
        ],
    );
    let life = live(&over);
    assert_eq!((life.verdict.limit.as_str(), life.verdict.clock_h), ("sodium_mol_l_max", 0.0));
    assert_eq!(life.events.len(), 1);
}

/// Producer: the pump. What it holds is held whatever else is dosed, by hand, by the clock or by an event, and
/// whatever racks carry out: pH beside dosed metal, metal beside dosed pH, at a held level and a free one.
#[test]
fn what_a_pump_holds_is_held_beside_doses() {
    let bath = set(&round_the_clock(&without_limits(&nickel_acid())), &[("limits.turnovers", 3.0)]);
    let racks = set(
        &bath,
        &[
            ("load.rack.area_dm2", 200.0),
            ("load.rack.in_h", 0.0),
            ("load.rack.minutes", 60.0),
            ("load.rack.every_h", 1.0),
            ("load.rack.count", 1000.0),
            ("tank.drag_out_l_m2", 0.3),
            ("tank.drag_in_l_m2", 0.1),
        ],
    );
    for work in [&bath, &racks] {
        for level in ["held", "free"] {
            let work = say(work, &[("tank.level", level)]);
            for metal in ["threshold", "analysis", "continuous"] {
                let words = [("replenishment.policy", metal), ("ph_control.policy", "continuous")];
                let life = live(&say(&work, &words));
                for ph in column(&life, "ph") {
                    // Water in the place of what the racks take raises it a little; no pump holds acid.
                    assert!((-1e-5..1e-3).contains(&(ph - 4.8)), "{level}, {metal}: pH {ph}");
                }
            }
            for ph in ["dead-band", "interval"] {
                let words = [("replenishment.policy", "continuous"), ("ph_control.policy", ph)];
                let life = live(&say(&work, &words));
                let set_point = column(&life, "metal_g_l")[0];
                for metal in column(&life, "metal_g_l") {
                    assert_within(format!("{level}, {ph}: metal"), *metal, set_point, 1e-4 * set_point);
                }
            }
        }
    }
}

/// Producer: the pump, in the replay of a log. Nickel that is poured in frees protons; a pH the recipe has pumped, and
/// of which the log says nothing, stays where the pump holds it.
#[test]
fn a_pumped_ph_is_held_in_the_replay_of_a_log() {
    let recipe = say(&nickel_acid(), &[("ph_control.policy", "continuous")]);
    let model = recipe.model().expect("a model");
    let tank = replayed(&model.tank, LoggedPh::Untold);
    let stretch = |hour: u32| LoggedSegment {
        until_s: 3600.0 * f64::from(hour),
        plates: Plates::Area(2.0),
        temperature: Ramp::held(tank.operation.temperature_k),
        ph: None,
        row: Some(hour as usize),
        additions: vec![(METAL, 4.0), (REDUCTANT, 1.0)],
        water_l: 0.0,
        removed_l: 0.0,
    };
    let course: Vec<LoggedSegment> = (1..=8).map(stretch).collect();
    let bath = [LogReplay { tank: &tank, totals_mol_l: &model.fresh_totals_mol_l }];
    let mut seen = Vec::new();
    replay(&bath, &course, AlsoRead::default(), 1e-8, &mut |_, _, reading| seen.push(reading.bath.ph))
        .expect("a replay");
    assert_eq!(seen.len(), 8);
    for ph in seen {
        assert_within("pH", ph, 4.8, 1e-4);
    }
}
