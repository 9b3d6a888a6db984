//! The tank against closed forms: dilution, volumes, draining, temperature, similarity, the balance.

use bathkin::tank::drag_out::drag_out_from_use_l;
use bathkin::tank::{DragOut, Draining};
use bathkin::{Life, Recipe};
use proptest::prelude::*;

use support::recipes::{
    column, constant_rate, fixed_cases, fixed_selectivity, last, live, power_law, pumped, say, set,
    without_limits,
};
use support::{Csv, assert_relative, assert_within, case, number};

/// Litres of a US gallon and grams of a pound and an ounce, by definition.
const GALLON_L: f64 = 3.785_411_784;
const POUND_G: f64 = 453.592_37;

/// A steady bath whose pumps bring little, of which a spectator tells where the liquid went.
fn steady() -> Recipe {
    constant_rate(&fixed_selectivity(&pumped(&without_limits(&power_law())), 0.2, 1.5))
}

/// Producer: exp(-V_out/V). Nothing brings lactate, so at a held level it falls by what leaves, whichever
/// way that is; 400 L.
#[test]
fn what_nothing_brings_falls_by_what_leaves() {
    for (path, value) in
        [("tank.drag_out_l_m2", 2.0), ("tank.bleed_per_turnover", 0.2), ("tank.bleed_l_h", 3.0)]
    {
        let life = live(&set(&steady(), &[(path, value), ("limits.turnovers", 4.0)]));
        let gone = last(&life, "drag_out_l") + last(&life, "bled_l");
        assert!(gone > 50.0);
        let lactate = column(&life, "lactate_mol_l");
        assert_relative(path, last(&life, "lactate_mol_l") / lactate[0], (-gone / 400.0).exp(), 1e-7);
    }
    // At the brim it is what comes in that drives it out.
    let full = live(&set(&say(&steady(), &[("tank.level", "free")]), &[("limits.turnovers", 4.0)]));
    let gone = last(&full, "overflow_l");
    let lactate = column(&full, "lactate_mol_l");
    assert_relative("overflow", last(&full, "lactate_mol_l") / lactate[0], (-gone / 400.0).exp(), 1e-7);
}

/// Producer: (1 - d/V)^n: racks carry liquid out one by one, and water makes good.
#[test]
fn racks_carry_out_a_part_each() {
    let racks = [
        ("load.lid.area_dm2", 100.0),
        ("load.lid.in_h", 0.0),
        ("load.lid.minutes", 30.0),
        ("load.lid.every_h", 1.0),
        ("load.lid.count", 20.0),
        ("life.longest_clock_h", 30.0),
        ("tank.drag_out_l_m2", 4.0),
        ("tank.drain_s", 40.0),
        ("tank.drag_out_at_drain_s", 10.0),
        ("tank.drag_out_least_l_m2", 0.5),
    ];
    let life = live(&set(&steady(), &racks));
    // 4 L/m2 after 10 s are 2 L/m2 after 40 s, by the square root.
    assert_relative("drag-out", last(&life, "drag_out_l"), 20.0 * 2.0, 1e-12);
    let left = last(&life, "lactate_mol_l") / column(&life, "lactate_mol_l")[0];
    assert_relative("lactate", left, (1.0 - 2.0 / 400.0_f64).powi(20), 1e-9);
}

/// Producer: a volume is what came less what went, in every row.
#[test]
fn volumes_add_up() {
    let bath = set(
        &say(&power_law(), &[("tank.level", "free")]),
        &[
            ("tank.brim_l", 430.0),
            ("tank.evaporation_l_h", 0.5),
            ("tank.drag_out_l_m2", 0.1),
            ("tank.bleed_per_turnover", 0.05),
            ("limits.turnovers", 4.0),
        ],
    );
    let life = live(&bath);
    let at = |name: &str, row: usize| column(&life, name)[row];
    for row in 0..life.table.rows() {
        let fed = (at("metal_replenisher_ml_l", row) + at("reductant_replenisher_ml_l", row)) * 0.4
            + at("ph_corrector_g_l", row) / 200.0 * 400.0;
        assert_within("solutions", at("solutions_l", row), fed, 1e-9);
        let came = 400.0 + fed + at("water_l", row);
        let went: f64 =
            ["drag_out_l", "bled_l", "overflow_l", "evaporated_l"].iter().map(|name| at(name, row)).sum();
        assert_within(format!("row {row}"), at("volume_l", row), came - went, 1e-9);
    }
}

/// Producer: S03 of cases.json: a dose of 10 at 10 h that decays with 0.1/h is 10/e at 20 h. The clock starts
/// at zero, not at the dose. Here citrate in a bath bled by a tenth of its volume an hour.
#[test]
fn s03_a_dose_decays_from_the_hour_it_was_given() {
    let case = case("S03");
    let k = number(&case, "/inputs/k");
    let event = [
        ("event.dose.solution.citric_acid_monohydrate_g_l", 210.14),
        ("event.dose.dose_ml_l", number(&case, "/inputs/dose")),
        ("event.dose.at_h", number(&case, "/inputs/t_dose")),
        ("tank.bleed_l_h", k * 400.0),
        ("life.longest_clock_h", 20.0),
    ];
    let listed =
        set(&steady(), &event).with("event.dose.listed", bathkin::document::Value::Flag(true), "the test");
    let life = live(&listed);
    assert_eq!(life.verdict.clock_h, 20.0);
    // 1 mol/L of solution: so many mmol/L.
    let found = last(&life, "citrate_mol_l") * 1e3;
    assert_relative("at 20 h", found, number(&case, "/expect/y20"), 1e-5);
    assert!(!life.events[0].doubtful_after);
}

/// Producer: P23 of cases.json: V = Vs exp(-k t) + Ve. However long it drains, Ve stays; a film of the square
/// root ends there too.
#[test]
fn p23_draining_ends_at_what_stays() {
    let (start, stays, rate) = (0.2, 0.03, 0.08);
    let drops = |drain_s| {
        let law = DragOut {
            reference_l_m2: start + stays,
            reference_drain_s: 0.0,
            draining: Draining::Drops { rate_1_s: rate },
            least_l_m2: stays,
            drain_s,
        };
        law.l_m2(None)
    };
    for seconds in [1.0, 10.0, 40.0] {
        assert_relative(seconds, drops(seconds), start * (-rate * seconds).exp() + stays, 1e-14);
    }
    assert_relative("the limit", drops(1e6), stays, 1e-15);
    let recipe = set(
        &power_law(),
        &[
            ("tank.drag_out_l_m2", 0.23),
            ("tank.drag_out_at_drain_s", 5.0),
            ("tank.drain_s", 15.0),
            ("tank.drain_rate_1_s", rate),
            ("tank.drag_out_least_l_m2", stays),
        ],
    );
    let read = recipe.model().expect("a model").tank.operation.drag_out.l_m2(None);
    assert_relative("read", read, stays + 0.2 * (-rate * 10.0_f64).exp(), 1e-14);
}

/// Producer: P08 of cases.json; an ounce is a sixteenth of a pound.
#[test]
fn p08_drag_out_from_the_use_of_a_salt() {
    let case = case("P08");
    let added_g = number(&case, "/inputs/added/0") * POUND_G;
    let held_g_l = number(&case, "/inputs/conc/0") * POUND_G / 16.0 / GALLON_L;
    let litres = drag_out_from_use_l(added_g, held_g_l, false).expect("a volume");
    assert_relative("gallons", litres / GALLON_L, number(&case, "/expect/dragout_gal"), 1e-12);
    let refused = drag_out_from_use_l(added_g, held_g_l, true).expect_err("refused").to_string();
    assert!(refused.contains("consumed_by_reaction = true"), "{refused}");
    assert!(drag_out_from_use_l(1.0, 0.0, false).is_err());
}

/// Producer: the integral of exp(-E/R (1/T - 1/T0)) over the ramp by SciPy's `quad`, in tank_ramp.csv with its
/// command. Held rates elsewhere: deposit over the deposit of the same hours at the working temperature.
#[test]
fn a_ramp_plates_the_integral_of_its_rate() {
    for row in Csv::reference("tank_ramp.csv").rows() {
        let hours = row.number("over_h");
        let ramp = [
            ("temperature.step.at_h", 0.0),
            ("temperature.step.over_h", hours),
            ("temperature.step.temperature_c", row.number("to_c")),
        ];
        let hold = set(
            &say(&steady(), &[("replenishment.policy", "continuous")]),
            &[
                ("operation.temperature_c", row.number("from_c")),
                ("deposition.activation_energy_kj_mol", row.number("activation_energy_kj_mol")),
                ("life.longest_clock_h", hours),
            ],
        );
        let (moved, held) = (live(&set(&hold, &ramp)), live(&hold));
        let ratio = last(&moved, "turnovers_plated") / last(&held, "turnovers_plated");
        assert_relative(hours, ratio, row.number("mean_rate_ratio"), 1e-7);
        assert_within("at the end", last(&moved, "temperature_c"), row.number("to_c"), 1e-9);
    }
}

/// Producer: Arrhenius. A copper bath that cools to 25 degC over the weekend loses formaldehyde to Cannizzaro's
/// reaction some 5 times more slowly than one kept at 40 degC (87 kJ/mol), but for the hours of cooling.
#[test]
fn a_cool_weekend_spares_the_formaldehyde() {
    let copper = Recipe::built_in("copper-edta").expect("built in");
    let weekend = set(
        &copper,
        &[
            ("work.hours_per_day", 1.0),
            ("work.days_per_week", 1.0),
            ("life.longest_clock_h", 60.0),
            ("replenishment.metal_trigger_pct", 5.0),
        ],
    );
    let weekend = say(&weekend, &[("ph_control.policy", "off")]);
    let hot = live(&weekend);
    let cool = live(&set(&weekend, &[("operation.idle_temperature_c", 25.0)]));
    let lost = |life: &Life| {
        let made = last(life, "methanol_mol_l") - column(life, "methanol_mol_l")[0];
        assert!(made > 0.0);
        made
    };
    let slower = lost(&hot) / lost(&cool);
    assert!((2.0..6.0).contains(&slower), "{slower}");
    assert_within("cool at the end", last(&cool, "temperature_c"), 25.0, 1e-9);
}

/// Producer: similarity, with events, racks, evaporation and a free level: everything per litre stays.
#[test]
fn twice_the_tank_with_twice_the_racks_is_the_same_bath() {
    let bath = |times: f64| {
        let numbers = [
            ("tank.volume_l", 400.0 * times),
            ("tank.brim_l", 415.0 * times),
            ("tank.evaporation_l_h", 2.0 * times),
            ("tank.bleed_l_h", 0.5 * times),
            ("tank.drag_out_l_m2", 0.2),
            ("tank.drag_in_l_m2", 0.1),
            ("drag_in.sulfuric_acid_g_l", 1.0),
            ("load.lid.area_dm2", 300.0 * times),
            ("load.lid.in_h", 1.0),
            ("load.lid.minutes", 90.0),
            ("load.lid.every_h", 2.0),
            ("load.lid.count", 30.0),
            ("event.partial.dump_pct", 20.0),
            ("event.partial.at_turnovers", 1.0),
            ("event.acid.solution.sulfuric_acid_g_l", 50.0),
            ("event.acid.dose_ml_l", 1.0),
            ("event.acid.at_h", 12.0),
            ("operation.idle_temperature_c", 70.0),
            ("operation.heat_up_h", 0.1),
            ("operation.cool_down_h", 0.2),
            ("life.longest_clock_h", 62.0),
        ];
        live(&set(&say(&without_limits(&power_law()), &[("tank.level", "free")]), &numbers))
    };
    let (one, two) = (bath(1.0), bath(2.0));
    assert_eq!(one.events.len(), two.events.len());
    for (a, b) in one.events.iter().zip(&two.events) {
        assert_eq!(a.event, b.event);
        assert_within("h", b.clock_h, a.clock_h, 1e-9);
    }
    assert_eq!(one.loads.len(), 30);
    for (a, b) in one.loads.iter().zip(&two.loads) {
        assert_relative("thickness", b.thickness_um, a.thickness_um, 1e-9);
    }
    for (name, values) in one.table.columns() {
        // Labour and line time of a dump do not grow with the tank.
        if name.starts_with("cost") {
            continue;
        }
        let litres = name.ends_with("_l")
            && !name.contains("_mol_")
            && !name.contains("_g_")
            && !name.contains("_ml_");
        let extensive =
            litres || ["area_m2", "deposit_g", "deposit_um_dm2", "metal_gone_g"].contains(&name.as_str());
        let times = if extensive { 2.0 } else { 1.0 };
        for (a, b) in values.iter().zip(column(&two, name)) {
            assert_within(name, b / times, *a, 1e-8 * a.abs().max(1e-3));
        }
    }
}

proptest! {
    #![proptest_config(fixed_cases(24))]

    /// Producer: conservation, over ten turnovers with anything going on.
    #[test]
    fn the_books_close_whatever_goes_on(
        free in any::<bool>(),
        by_hand in any::<bool>(),
        pumps in any::<bool>(),
        room_l in 0.0..40.0,
        evaporation in 0.0..6.0,
        drag_out in 0.0..0.5,
        drag_in in 0.001..0.2,
        bleed in 0.0..0.15,
        dump_pct in 1.0..50.0,
        fresh in any::<bool>(),
        removed_pct in 1.0..90.0,
        with_sodium in any::<bool>(),
        acid_ml_l in 0.1..2.0,
        idle_c in 40.0..88.0,
    ) {
        let word = |yes: bool, a: &'static str, b: &'static str| if yes { a } else { b };
        let bath = if pumps { pumped(&power_law()) } else { without_limits(&power_law()) };
        let bath = say(&bath, &[
            ("tank.level", word(free, "free", "held")),
            ("tank.water", word(by_hand, "by-hand", "float")),
            ("event.partial.fill_with", word(fresh, "make-up", "water")),
            ("event.treatment.removed_with", word(with_sodium, "sodium", "proton")),
        ]);
        let bath = set(&bath, &[
            ("tank.brim_l", 400.0 + room_l),
            ("tank.water_interval_h", 10.0),
            ("tank.evaporation_l_h", evaporation),
            ("tank.drag_out_l_m2", drag_out),
            ("tank.drag_in_l_m2", drag_in),
            ("drag_in.sulfuric_acid_g_l", 1.0),
            ("tank.bleed_per_turnover", bleed),
            ("event.partial.dump_pct", dump_pct),
            ("event.partial.every_turnovers", 2.5),
            ("event.treatment.removed_pct.orthophosphite", removed_pct),
            ("event.treatment.at_h", 50.0),
            ("event.treatment.every_h", 70.0),
            ("event.acid.solution.sulfuric_acid_g_l", 50.0),
            ("event.acid.dose_ml_l", acid_ml_l),
            ("event.acid.at_h", 20.0),
            ("operation.idle_temperature_c", idle_c),
            ("limits.turnovers", 10.0),
        ]);
        let life = live(&bath);
        prop_assert!(life.balance.max_relative_residual < 1e-10, "{:?}", life.balance);
        prop_assert!(life.verdict.limit == "turnovers", "{}", life.verdict.limit);
        let volumes = column(&life, "volume_l");
        prop_assert!(volumes.iter().all(|litres| *litres <= 400.0 + room_l + 1e-6), "{volumes:?}");
    }
}
