//! Solutions beyond metal and reductant, analyses, hours, and the ledger's units.

use bathkin::{Life, Recipe};

use support::recipes::{
    column, constant_rate, last, live, molar_mass, power_law, pumped, round_the_clock, say, set,
    without_limits,
};
use support::stabilized::extended;
use support::{assert_relative, assert_within, case, number};

/// Lines of the ledger of one solution: (clock_h, volume_ml).
fn lines(life: &Life, solution: &str) -> Vec<(f64, f64)> {
    let of_it = life.ledger.additions.iter().filter(|addition| addition.replenisher == solution);
    of_it.map(|addition| (addition.clock_h, addition.volume_ml)).collect()
}

/// The built-in bath with a table at its end, limits out of reach.
fn with_table(table: &str) -> Recipe {
    without_limits(&extended(&[], &[table]))
}

/// Producer: S03, 10 exp(-0.1 x 10) ten hours after the one dose. The clock starts at make-up and the ledger's first line is the
/// dose at 10 h, not one at 0.
#[test]
fn s03_the_first_line_is_the_first_dose() {
    let case = case("S03");
    let (k, dose) = (number(&case, "/inputs/k"), number(&case, "/inputs/dose"));
    let at_h = number(&case, "/inputs/t_dose");
    let lost = format!(
        "[bulk_reaction.loss]\nliquid = {{ thiourea = -1 }}\nsolid = {{ S = 1, C = 1, N = 2, H = 4 }}\n\
         rate_mol_l_s = {:e}\n[bulk_reaction.loss.order]\nthiourea = 1\n\
         [bulk_reaction.loss.reference_mol_l]\nthiourea = 1e-5\n",
        k / 3600.0 * 1e-5
    );
    // 1 mL/L of it brings `dose` umol/L.
    let solution = format!(
        "[replenisher.stabilizer]\nthiourea_mol_l = {}\nevery_h = {at_h}\ndose_ml_l = 1\n",
        dose * 1e-3
    );
    let recipe = extended(&[("deposit", "alloy_element = \"P\"")], &[&lost, &solution]);
    let bath = set(&without_limits(&recipe), &[("life.longest_clock_h", 2.0 * at_h)]);
    let life = live(&bath);
    let doses = lines(&life, "stabilizer");
    assert_eq!(doses.len(), 2, "{doses:?}");
    assert_within("first line", doses[0].0, number(&case, "/inputs/first_row"), 1e-9);
    // The dose at 20 h is in the last row.
    let before_it = last(&life, "thiourea_mol_l") * 1e6 - dose;
    assert_relative("y20", before_it, number(&case, "/expect/y20"), 1e-6);
    assert_relative("column", last(&life, "stabilizer_ml_l"), 2.0, 1e-12);
}

/// Producer: the ratio, dosed and pumped. One line per turnover of what is pumped.
#[test]
fn what_rides_with_the_metal_keeps_its_ratio() {
    let table = "[replenisher.buffer]\nacetic_acid_g_l = 100\nwith_metal_ml_per_ml = 0.25\n";
    let dosed = set(&with_table(table), &[("limits.turnovers", 3.0)]);
    let pumps = set(&pumped(&with_table(table)), &[("limits.turnovers", 3.0)]);
    for recipe in [dosed, pumps.clone()] {
        let life = live(&recipe);
        let metal = last(&life, "metal_replenisher_ml_l");
        assert_relative("buffer", last(&life, "buffer_ml_l"), 0.25 * metal, 1e-9);
        assert_relative("ledger", life.ledger.volume_l("buffer"), 0.25e-3 * metal * 400.0, 1e-9);
    }
    let life = live(&pumps);
    let turnovers: Vec<f64> =
        life.ledger.additions.iter().filter(|a| a.replenisher == "buffer").map(|a| a.turnovers).collect();
    assert_eq!(turnovers.len(), 3);
    for (found, whole) in turnovers.iter().zip([1.0, 2.0, 3.0]) {
        assert_within("turnover of a line", *found, whole, 1e-6);
    }
}

/// Producer: balance of lactate at a held level: what the drag-out takes, c per litre, the solution brings, c_s per litre.
#[test]
fn a_complexant_lost_with_drag_out_is_held() {
    let table = "[replenisher.complexant]\nlactic_acid_g_l = 400\nholds = \"lactate\"\ndose_unit = \"pct_of_make_up\"\n";
    let losing = [("tank.drag_out_l_m2", 0.5), ("limits.turnovers", 3.0)];
    let pumps = live(&set(&pumped(&with_table(table)), &losing));
    let by_hand = last(&pumps, "drag_out_l") * 27.0 / 400.0;
    assert_relative("litres", pumps.ledger.volume_l("complexant"), by_hand, 1e-7);
    let dosed = live(&set(&round_the_clock(&with_table(table)), &losing));
    for life in [&pumps, &dosed] {
        let lactate = column(life, "lactate_mol_l");
        for value in lactate {
            assert_relative("lactate", *value, lactate[0], 1e-7);
        }
    }
    // 100 % of the make-up is 27 g/L: so many L of 400 g/L.
    let line = dosed.ledger.additions.iter().find(|a| a.replenisher == "complexant").expect("a line");
    assert_eq!(line.dose_unit, "pct_of_make_up");
    assert_relative("dose", line.dose, line.volume_ml * 1e-3 * 400.0 / (27.0 * 400.0) * 100.0, 1e-9);
    // Without it the bath loses its complexant.
    let alone = live(&set(&round_the_clock(&without_limits(&power_law())), &losing));
    assert!(last(&alone, "lactate_mol_l") < 0.97 * column(&alone, "lactate_mol_l")[0]);
}

/// Producer: counting. A dose by weight every tenth of a turnover plated, and every so many m² finished.
#[test]
fn doses_by_plating_are_counted() {
    for (key, every, of) in [("every_turnovers", 0.1, "turnovers_plated"), ("every_m2", 0.7, "area_m2")] {
        let table = format!(
            "[replenisher.wetter]\nacetic_acid_g_l = 10\ndensity_g_ml = 1.2\ndose_unit = \"g_l\"\n\
             dose_g_l = 0.6\n{key} = {every}\n"
        );
        let life = live(&set(&with_table(&table), &[("limits.turnovers", 2.0)]));
        let doses = life.ledger.additions.iter().filter(|a| a.replenisher == "wetter");
        let expected = (last(&life, of) / every + 1e-6).floor();
        assert_eq!(doses.clone().count() as f64, expected, "{key}");
        for dose in doses {
            assert_relative("mL", dose.volume_ml, 0.6 / 1.2 * 400.0, 1e-12);
            assert_relative("g/L", dose.dose, 0.6, 1e-12);
            assert_eq!((dose.dose_unit, dose.reason.as_str()), ("g_l", "by plating"));
        }
    }
}

/// Producer: the definition: the metal doses of so many turnovers are so many times 100 % of the make-up.
#[test]
fn a_turnover_is_a_hundred_per_cent_of_make_up() {
    let percent = say(&without_limits(&power_law()), &[("replenisher.metal.dose_unit", "pct_of_make_up")]);
    let life = live(&set(&percent, &[("limits.turnovers", 2.0)]));
    let metal: Vec<_> =
        life.ledger.additions.iter().filter(|a| a.replenisher == "nickel replenisher").collect();
    let sum: f64 = metal.iter().map(|addition| addition.dose).sum();
    assert_relative("% of make-up", sum, 100.0 * life.verdict.turnovers, 1e-9);
    assert_relative("turnovers", metal[metal.len() - 1].turnovers, life.verdict.turnovers, 1e-12);
}

/// Producer: at a constant rate the dose for a sample finds the bath lower by what was plated meanwhile, and so it stays.
#[test]
fn a_result_that_comes_late_leaves_the_bath_low() {
    let bath = constant_rate(&round_the_clock(&without_limits(&power_law())));
    let bath = set(
        &say(&bath, &[("replenishment.policy", "analysis")]),
        &[("replenishment.analysis_interval_h", 2.0), ("limits.turnovers", 3.0)],
    );
    for delay_h in [0.0, 0.5, 1.5] {
        let life = live(&set(&bath, &[("replenishment.analysis_delay_h", delay_h)]));
        let metal = column(&life, "metal_g_l");
        let used_g_l_h = last(&life, "turnovers_plated") * metal[0] / life.verdict.clock_h;
        for after_dose in &metal[1..] {
            assert_within("metal", *after_dose, metal[0] - delay_h * used_g_l_h, 1e-5 * metal[0]);
        }
        let (first_h, _) = lines(&life, "nickel replenisher")[0];
        assert_within("first dose", first_h, 2.0 + delay_h, 1e-6);
    }
}

/// Producer: of the errors e of two results in a row, one dose carries c(e1 - e2): a standard deviation of sqrt(2) x 1 % of the
/// metal analysed, to 25 % with a hundred doses. The same seed gives the same life.
#[test]
fn an_analysis_errs_repeatably() {
    let bath = constant_rate(&round_the_clock(&without_limits(&power_law())));
    let bath = set(
        &say(&bath, &[("replenishment.policy", "analysis")]),
        &[("replenishment.analysis_interval_h", 1.0), ("limits.turnovers", 10.0)],
    );
    let erring = set(&bath, &[("replenishment.analysis_error_pct", 1.0)]);
    let once = live(&erring);
    assert!(once == live(&set(&erring, &[("replenishment.seed", 0.0)])));
    assert!(once != live(&set(&erring, &[("replenishment.seed", 1.0)])));
    let doses: Vec<f64> = lines(&once, "nickel replenisher").iter().map(|(_, ml)| *ml).collect();
    assert!(doses.len() > 60, "{}", doses.len());
    let mean = doses.iter().sum::<f64>() / doses.len() as f64;
    let variance = doses.iter().map(|dose| (dose - mean).powi(2)).sum::<f64>() / doses.len() as f64;
    let per_g_l = molar_mass("NiSO4.6H2O") / molar_mass("Ni") / 450.0 * 1e3 * 400.0;
    let analysed = column(&once, "metal_g_l")[0] - mean / per_g_l;
    let expected = 2_f64.sqrt() * 0.01 * analysed * per_g_l;
    assert_relative("spread, mL", variance.sqrt(), expected, 0.25);
    // Without an error every dose is what was plated in an hour.
    let exact = lines(&live(&bath), "nickel replenisher");
    for (_, ml) in &exact {
        assert_relative("dose", *ml, exact[0].1, 1e-5);
    }
}

/// Producer: the clock.
#[test]
fn ph_is_corrected_at_fixed_times() {
    let bath = say(
        &round_the_clock(&without_limits(&power_law())).with(
            "ph_control.with_additions",
            bathkin::document::Value::Flag(false),
            "the test",
        ),
        &[("ph_control.policy", "interval")],
    );
    let life = live(&set(&bath, &[("ph_control.interval_h", 3.0), ("limits.turnovers", 1.0)]));
    let caustic: Vec<_> =
        life.ledger.additions.iter().filter(|a| a.replenisher.starts_with("sodium hydroxide")).collect();
    assert!(caustic.len() > 2);
    for (number, addition) in caustic.iter().enumerate() {
        assert_within("h", addition.clock_h, 3.0 * (number + 1) as f64, 1e-6);
        assert_eq!(addition.reason, "by the clock");
    }
}

/// Producer: the calendar, 8 h on five days of the week. What falls due at night comes once in the morning.
#[test]
fn nobody_adds_at_night_when_only_the_shift_is_worked() {
    let table = "[replenisher.stabilizer]\nthiourea_mg_l = 10\nevery_h = 5\ndose_ml_l = 0.01\n";
    let recipe = without_limits(&extended(&[("deposit", "alloy_element = \"P\"")], &[table]));
    let bath = say(&recipe, &[("replenishment.policy", "analysis"), ("replenishment.hours", "any")]);
    let bath = set(&bath, &[("life.longest_clock_h", 168.0), ("replenishment.analysis_interval_h", 3.0)]);
    let by_day = |hour: f64| hour % 24.0 <= 8.0 + 1e-6 && (hour / 24.0).floor() % 7.0 < 5.0;
    let always = lines(&live(&bath), "stabilizer");
    assert_eq!(always.len(), 33);
    assert!(always.iter().any(|(hour, _)| !by_day(*hour)));
    let life = live(&say(&bath, &[("replenishment.hours", "worked")]));
    assert!(life.ledger.additions.iter().all(|addition| by_day(addition.clock_h)), "{:?}", life.ledger);
    let worked = lines(&life, "stabilizer");
    // 5 h on the first day, then each morning and when the clock next strikes 5, 10, 15 ... in the shift.
    let expected = [5.0, 24.0, 25.0, 30.0, 48.0, 50.0, 55.0, 72.0, 75.0, 80.0, 96.0, 100.0, 168.0];
    assert_eq!(worked.len(), expected.len(), "{worked:?}");
    for ((hour, _), expected) in worked.iter().zip(expected) {
        assert_within("h", *hour, expected, 1e-6);
    }
}

/// Producer: the method: a saw-tooth of height d about a line is off by d/2 on average, so halving the dose halves the
/// difference to a pump. At a held and at a free level.
#[test]
fn ever_finer_dosing_tends_to_a_pump_in_first_order() {
    for level in ["held", "free"] {
        let to_three =
            [("limits.turnovers", 3.0), ("ph_control.dead_band_ph", 5.0), ("tank.drag_out_l_m2", 0.1)];
        // A float would make good the drag-out before each dose, and the whole dose would overflow, however small.
        let words = [("tank.level", level), ("tank.water", "by-hand")];
        let bath = set(&say(&without_limits(&power_law()), &words), &to_three);
        let pump =
            live(&pumped(&bath).with("limits.turnovers", bathkin::document::Value::Number(3.0), "the test"));
        let off: Vec<f64> = [96.0, 98.0, 99.0, 99.5]
            .into_iter()
            .map(|trigger_pct| {
                let dosed = set(&round_the_clock(&bath), &[("replenishment.metal_trigger_pct", trigger_pct)]);
                // The same work, whatever the turnovers at the last dose.
                let life = live(&dosed);
                let pace = |life: &Life| life.verdict.turnovers / life.verdict.clock_h;
                pace(&pump) / pace(&life) - 1.0
            })
            .collect();
        for pair in off.windows(2) {
            let order = (pair[0] / pair[1]).log2();
            assert!((0.8..1.2).contains(&order), "{level}: order {order} of {off:?}");
        }
        assert!(off[3].abs() < 5e-3, "{level}: {off:?}");
    }
}

/// Producer: the errors' own promise.
#[test]
fn a_solution_nobody_calls_for_is_refused() {
    let refused = |table: &str| with_table(table).make_up().expect_err("refused").to_string();
    let idle = refused("[replenisher.buffer]\nacetic_acid_g_l = 100\n");
    assert!(idle.contains("what calls for it"), "{idle}");
    let dose = refused("[replenisher.buffer]\nacetic_acid_g_l = 100\nevery_h = 4\n");
    assert!(dose.contains("replenisher.buffer.dose_ml_l"), "{dose}");
    let percent =
        refused("[replenisher.buffer]\nacetic_acid_g_l = 100\nevery_h = 4\ndose_unit = \"pct_of_make_up\"\n");
    assert!(percent.contains("say what it holds"), "{percent}");
    let weight = refused("[replenisher.buffer]\nacetic_acid_g_l = 100\nevery_h = 4\ndose_unit = \"g_l\"\n");
    assert!(weight.contains("density_g_ml"), "{weight}");
    let thin = refused("[replenisher.buffer]\nacetic_acid_g_l = 1\nholds = \"acetate\"\n");
    assert!(thin.contains("holds more of than the bath"), "{thin}");
    let water =
        refused("[replenisher.buffer]\nname = \"water\"\nacetic_acid_g_l = 1\nwith_metal_ml_per_ml = 1\n");
    assert!(water.contains("the ledger keeps water by it"), "{water}");
}
