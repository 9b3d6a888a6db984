//! What a life depends on, and what it must not depend on: policies, volume, calendar, threads.

use bathkin::Error;
use bathkin::document::Value;
use bathkin::study::sweep;

use support::recipes::{
    column, last, live, nickel_acid, power_law, pumped, round_the_clock, say, set, without_limits,
};
use support::{assert_relative, assert_within};

/// Producer: a dose at every 0.1 % fall is nearly a pump; rate and orthophosphite at turnover 5
/// agree within 0.2 %.
#[test]
fn small_doses_tend_to_a_pump() {
    let to_five = [("limits.turnovers", 5.0)];
    let pump = live(&set(&pumped(&nickel_acid()), &to_five));
    let dosed = round_the_clock(&without_limits(&nickel_acid()));
    let doses = live(&set(&dosed, &[("limits.turnovers", 5.0), ("replenishment.metal_trigger_pct", 99.9)]));
    assert_relative("turnovers", doses.verdict.turnovers, pump.verdict.turnovers, 2e-3);
    for name in ["deposition_um_h", "deposition_now_um_h", "orthophosphite_mol_l", "clock_h", "sodium_mol_l"]
    {
        assert_relative(name, last(&doses, name), last(&pump, name), 2e-3);
    }
    let coarse = live(&set(&dosed, &[("limits.turnovers", 5.0), ("replenishment.metal_trigger_pct", 90.0)]));
    assert!(coarse.ledger.additions.len() < doses.ledger.additions.len() / 20, "coarse doses are few");
}

/// Producer: similarity. The same loading in twice (and three times) the volume is the same bath:
/// extensive columns scale, everything else stays to 1e-9.
#[test]
fn volume_changes_nothing_intensive() {
    const EXTENSIVE: [&str; 13] = [
        "area_m2",
        "deposit_g",
        "deposit_um_dm2",
        "hydrogen_l",
        "volume_gone_l",
        "metal_gone_g",
        "volume_l",
        "drag_out_l",
        "bled_l",
        "overflow_l",
        "evaporated_l",
        "water_l",
        "solutions_l",
    ];
    for policy in ["threshold", "continuous"] {
        let bath = set(
            &say(&without_limits(&nickel_acid()), &[("replenishment.policy", policy)]),
            &[("limits.turnovers", 3.0), ("tank.drag_out_l_m2", 0.1)],
        );
        let one = live(&bath);
        for times in [2.0, 3.0] {
            let other = live(&set(&bath, &[("tank.volume_l", 400.0 * times)]));
            assert_eq!(one.table.rows(), other.table.rows());
            for (name, values) in one.table.columns() {
                if name.starts_with("cost") {
                    // Labour and line time of a dump do not grow with the tank.
                    continue;
                }
                let scale = if EXTENSIVE.contains(&name.as_str()) { times } else { 1.0 };
                for (a, b) in values.iter().zip(column(&other, name)) {
                    assert_within(
                        format!("{name}, {policy}, {times} x"),
                        b / scale,
                        *a,
                        1e-9 * a.abs().max(1e-3),
                    );
                }
            }
        }
    }
}

/// Producer: the bath uses 2.88-2.91 mol hypophosphite per mol nickel. Fed less, it starves and
/// its life to the 60 % floor is shorter; fed more, it is longer. Starved by 3 %, it must say so.
#[test]
fn a_fixed_feed_ratio_rules_the_life_and_is_flagged() {
    let bath = set(&pumped(&power_law()), &[("limits.deposition_pct_of_fresh", 60.0)]);
    let at = |ratio: f64| {
        let recipe = set(
            &say(&bath, &[("replenishment.reductant", "ratio")]),
            &[("replenishment.reductant_per_metal_mol", ratio)],
        );
        let life = live(&recipe);
        assert_eq!(life.verdict.limit, "deposition_um_h");
        assert_relative("fed ratio", life.reductant_feed.fed_per_metal_mol, ratio, 1e-9);
        let flagged = recipe
            .life_flags(&life)
            .expect("flags")
            .iter()
            .any(|flag| flag.r#where == "replenishment.reductant_per_metal_mol");
        (life.verdict.turnovers, flagged, life.reductant_feed)
    };
    let (starved, even, rich) = (at(2.80), at(2.88), at(2.95));
    assert!(starved.0 + 0.3 < even.0 && even.0 + 0.3 < rich.0, "{starved:?} {even:?} {rich:?}");
    assert!(starved.1, "a feed 3 % short is flagged: {:?}", starved.2);
    assert!(starved.2.end_mol_l < 0.95 * starved.2.set_point_mol_l);
    assert!(rich.2.end_mol_l > starved.2.end_mol_l);
    let restored = live(&bath);
    assert_relative(
        "restored",
        restored.reductant_feed.end_mol_l,
        restored.reductant_feed.set_point_mol_l,
        1e-6,
    );
}

/// Producer: the ledger and the table are two accounts of the same pumps and doses.
#[test]
fn ledger_sums_are_the_volumes_fed() {
    for recipe in [nickel_acid(), set(&pumped(&nickel_acid()), &[("limits.turnovers", 4.0)])] {
        let life = live(&recipe);
        let volume_l = recipe.model().expect("a model").tank.plant.volume_l;
        for (name, column) in [
            ("nickel replenisher", "metal_replenisher_ml_l"),
            ("hypophosphite replenisher", "reductant_replenisher_ml_l"),
        ] {
            let ledger: f64 = life
                .ledger
                .additions
                .iter()
                .filter(|addition| addition.replenisher == name)
                .map(|addition| addition.volume_ml)
                .sum();
            assert_relative(name, ledger, last(&life, column) * volume_l, 1e-9);
        }
        let corrector_ml: f64 = life
            .ledger
            .additions
            .iter()
            .filter(|addition| addition.replenisher.starts_with("sodium hydroxide"))
            .map(|addition| addition.volume_ml)
            .sum();
        assert_relative("caustic", corrector_ml * 0.2, last(&life, "ph_corrector_g_l") * volume_l, 1e-9);
        assert!(life.ledger.additions.windows(2).all(|pair| pair[0].clock_h <= pair[1].clock_h));
    }
}

/// Producer: the limit. A pump stops at it; doses of 10, 5, 1 % reach a whole turnover at the
/// 10th, 20th, 100th, past it by no more than plates in the millisecond to which a dose is timed.
#[test]
fn a_limit_on_turnovers_stops_there() {
    for turnovers in [1.0, 2.0, 3.0] {
        let to_it = [("limits.turnovers", turnovers)];
        let life = live(&set(&pumped(&nickel_acid()), &to_it));
        assert_eq!(life.verdict.limit, "turnovers");
        assert_within("pumped", life.verdict.turnovers, turnovers, 1e-7);
        for trigger_pct in [90.0, 95.0, 99.0] {
            let dosed = set(&round_the_clock(&without_limits(&nickel_acid())), &to_it);
            let life = live(&set(&dosed, &[("replenishment.metal_trigger_pct", trigger_pct)]));
            assert_eq!(life.verdict.limit, "turnovers");
            let what = format!("dosed at {trigger_pct} %");
            let millisecond_per_dose = 1e-3 / life.verdict.clock_h / 3600.0 * turnovers;
            let doses = turnovers * 100.0 / (100.0 - trigger_pct);
            assert_within(what, life.verdict.turnovers, turnovers, 2.0 * doses * millisecond_per_dose);
        }
    }
}

/// Producer: the error's own promise: path, value and bound in it.
#[test]
fn a_limit_the_fresh_bath_exceeds_is_refused() {
    for (path, bound) in
        [("limits.metal_g_l", 7.0), ("limits.phosphorus_wt_pct_min", 10.5), ("limits.deposition_um_h", 25.0)]
    {
        let error = set(&nickel_acid(), &[(path, bound)]).simulate_life().expect_err("refused");
        let Error::LimitAtMakeUp { place, key, value, bound: said } = &error else { panic!("{error}") };
        assert_eq!((place.file.as_str(), key.as_str(), *said), ("the test", path, bound));
        assert!(*value < bound && error.to_string().ends_with(&format!("the limit is {bound}")), "{error}");
        assert!(error.is_input());
    }
}

/// Producer: the calendar of the recipe, 8 h on the first 5 days of each week.
#[test]
fn plating_hours_are_the_shifts_of_the_calendar() {
    let life = live(&nickel_acid());
    let (clock, plating) = (life.verdict.clock_h, life.verdict.plating_h);
    assert!(plating < clock);
    let days = (clock / 24.0).floor();
    let of_day = |day: f64, hours: f64| if day % 7.0 < 5.0 { hours.min(8.0) } else { 0.0 };
    let whole: f64 = (0..days as u32).map(|day| of_day(f64::from(day), 24.0)).sum();
    assert_within("plating h", plating, whole + of_day(days, clock - days * 24.0), 1e-6);
    for (clock, plating) in column(&life, "clock_h").iter().zip(column(&life, "plating_h")) {
        assert!(plating <= clock);
    }
}

/// Producer: a bath worked day and night plates all the time.
#[test]
fn day_and_night_plating_is_clock_time() {
    let steady = set(&round_the_clock(&without_limits(&nickel_acid())), &[("limits.turnovers", 2.0)]);
    let life = live(&steady);
    assert_within("plating h", life.verdict.plating_h, life.verdict.clock_h, 1e-9 * life.verdict.clock_h);
    // The same work in shifts needs the same hours with work in the tank.
    let shifts = live(&set(&without_limits(&nickel_acid()), &[("limits.turnovers", 2.0)]));
    assert_relative("plating h in shifts", shifts.verdict.plating_h, life.verdict.plating_h, 1e-6);
}

/// Producer: the same computation. Results must not depend on who computes them.
#[test]
fn a_sweep_is_the_same_for_any_number_of_threads() {
    let varied = [
        ("operation.ph".to_owned(), vec![4.4, 4.6, 4.8, 5.0, 5.2]),
        ("operation.temperature_c".to_owned(), vec![80.0, 84.0, 88.0, 92.0]),
    ];
    let recipe = nickel_acid();
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
        pool.install(|| sweep(&recipe, &varied)).expect("a sweep")
    };
    let (one, two, five) = (with(1), with(2), with(5));
    assert_eq!(one.len(), 20);
    assert!(one == two && one == five);
    assert_eq!(
        one[1].settings,
        [("operation.ph".to_owned(), 4.4), ("operation.temperature_c".to_owned(), 84.0)]
    );
}

/// Producer: as above, for a life run in several threads at once.
#[test]
fn a_life_is_the_same_in_every_thread() {
    let recipe = set(&nickel_acid(), &[("limits.turnovers", 2.0)]);
    let alone = live(&recipe);
    let together: Vec<_> = std::thread::scope(|scope| {
        let runs: Vec<_> = (0..3).map(|_| scope.spawn(|| live(&recipe))).collect();
        runs.into_iter().map(|run| run.join().expect("a run")).collect()
    });
    assert!(together.iter().all(|life| *life == alone));
}

/// A dose of nickel frees protons and can push the pH past its trigger by itself; the correction must
/// still come. Producer: the dead band, 0.1, with what one dose of nickel may add to it, 0.1.
#[test]
fn a_dose_that_trips_the_ph_is_followed_by_a_correction() {
    let recipe = nickel_acid().with("ph_control.with_additions", Value::Flag(false), "the test");
    let life = live(&recipe);
    for ph in life.table.column("ph").expect("a pH") {
        assert!((4.6..=4.8 + 1e-9).contains(ph), "pH {ph}");
    }
    assert!(life.ledger.additions.iter().any(|addition| addition.reason == "pH low"));
}
