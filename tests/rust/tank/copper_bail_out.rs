//! Copper bailed out by its own replenishers, to a steady state.

use bathkin::{Life, Recipe};

use support::copper::third_order_only;
use support::recipes::{column, last, live, say, set};
use support::{Csv, assert_relative, assert_within};

/// Turnovers of the table.
const AT: [f64; 4] = [1.0, 5.0, 10.0, 20.0];

/// The bath of copper_bail_out.csv: full to the brim, pumps, rate without the terms the script left out. Activities are ideal,
/// so that the hydroxide stays what it is while the salts grow.
///
/// Bleeding a full tank only makes room for the replenishers; a bleed beyond them is one that water makes good: here rinse water on
/// the work, 22.5 m2 of which pass per turnover (500 g of copper, 2.5 um, 8.9 g/cm3).
fn full_tank(extra_bleed: f64, evaporation_l_h: f64) -> Recipe {
    let copper = third_order_only(&Recipe::built_in("copper-edta").expect("built in"));
    let words = [
        ("tank.level", "free"),
        ("replenishment.policy", "continuous"),
        ("ph_control.policy", "continuous"),
        ("operation.ph_reading", "hot"),
        ("solution.activity", "ideal"),
    ];
    let numbers = [
        // 0.043 mol/L of hydroxide at 40 degC.
        ("operation.ph", 13.535 + 0.043_f64.log10()),
        ("deposition.order.tartrate", 0.0),
        ("deposition.order.edta", 0.0),
        ("deposition.order.stabilizer_dn", 0.0),
        // Factors of the script: tartrate dropped, 0.1 mol/L EDTA, the reference being 0.05 and 0.08.
        ("deposition.rate_mol_m2_s", 9.381_142e-5 * 0.05_f64.powf(0.06) * (0.1 / 0.08_f64).powf(-0.41)),
        ("replenisher.reductant.formaldehyde_g_l", 12.4 * 30.026),
        ("replenisher.reductant.methanol_g_l", 12.4 * 30.026 * 12.0 / 37.0),
        // What the bail-out takes; it brings no sulfate and no formate.
        ("replenisher.reductant.tetrasodium_edta_tetrahydrate_g_l", 380.0),
        ("replenisher.metal.copper_sulfate_pentahydrate_g_l", 60.0 / 63.546 * 249.685),
        ("gas_exchange.carbon_dioxide.open_surface_m2", 0.0),
        ("tank.bleed_per_turnover", 0.0),
        ("tank.drag_in_l_m2", extra_bleed * 200.0 / (500.0 / (2.5 * 8.9))),
        ("tank.evaporation_l_h", evaporation_l_h),
        ("limits.turnovers", 26.0),
        ("limits.formate_g_l_as_hcoo", 1e4),
        ("limits.specific_gravity", 3.0),
        ("limits.ph_min", 0.0),
        ("limits.deposition_pct_of_fresh", 0.0),
    ];
    set(&say(&copper, &words), &numbers)
}

/// Hours in which the bath plates its copper once.
fn hours_per_turnover() -> f64 {
    let life = live(&set(&full_tank(0.0, 0.0), &[("limits.turnovers", 5.0)]));
    let hours = life.verdict.clock_h / life.verdict.turnovers_plated;
    assert_relative("hours per turnover", hours, 16.9, 0.1);
    hours
}

/// A column at so many plated turnovers, between its rows.
fn at_plated(life: &Life, name: &str, turnovers: f64) -> f64 {
    let (along, values) = (column(life, "turnovers_plated"), column(life, name));
    let after = along.iter().position(|at| *at >= turnovers).expect("as many turnovers");
    let part = (turnovers - along[after - 1]) / (along[after] - along[after - 1]);
    values[after - 1] + part * (values[after] - values[after - 1])
}

/// Part of the volume that left per plated turnover.
fn leaving(life: &Life) -> f64 {
    let left = last(life, "overflow_l") + last(life, "bled_l");
    left / 200.0 / life.verdict.turnovers_plated
}

/// Producer: conc(m) = made (1 - e^(-b m))/b with the b of the table: half a unit of its last digit, and 1 % for b.
#[test]
fn the_table_is_its_closed_form() {
    let copper = 2.5 / 63.546;
    for row in Csv::reference("copper_bail_out.csv").rows() {
        let b = row.number("b");
        for m in AT {
            let gained = (1.0 - (-b * m).exp()) / b;
            let sulfate = copper * ((-b * m).exp() + (1.0 + b) * gained);
            let formate = copper * 2.30 * gained;
            for (name, value) in [("sulfate", sulfate), ("formate", formate)] {
                let printed = format!("{name}_{m}");
                let tolerance = 0.5 * row.last_digit(&printed) + 0.01 * value;
                assert_within(
                    format!("{}, {printed}", row.text("case")),
                    value,
                    row.number(&printed),
                    tolerance,
                );
            }
        }
    }
}

/// Producer: the table. 3 % and half a unit of the last digit: how much formaldehyde the liquid takes moves with the age of the bath.
#[test]
fn a_life_comes_to_the_steady_state_of_the_table() {
    for row in Csv::reference("copper_bail_out.csv").rows() {
        let evaporation_l_h = row.number("evaporation") * 200.0 / hours_per_turnover();
        let life = live(&full_tank(row.number("extra_bleed"), evaporation_l_h));
        assert!(life.balance.max_relative_residual < 1e-10);
        assert_within(row.text("case"), leaving(&life), row.number("b"), 0.003);
        for m in AT {
            for name in ["sulfate", "formate"] {
                let printed = row.number(&format!("{name}_{m}"));
                let tolerance = 0.03 * printed + 0.5 * row.last_digit(&format!("{name}_{m}"));
                let found = at_plated(&life, &format!("{name}_mol_l"), m);
                assert_within(format!("{}, {name} at {m}", row.text("case")), found, printed, tolerance);
            }
        }
    }
}

/// Producer: the volume balance. What evaporates is room for the replenishers: at 5 % of the volume per turnover three quarters of
/// the bail-out are gone, at 10 % all of it, and the sulfate grows in a straight line.
#[test]
fn evaporation_kills_the_bail_out() {
    let (dry, damp) = (
        leaving(&live(&full_tank(0.0, 0.0))),
        leaving(&live(&full_tank(0.0, 0.05 * 200.0 / hours_per_turnover()))),
    );
    assert!(damp < 0.3 * dry, "{damp} {dry}");
    let shut = live(&full_tank(0.0, 0.1 * 200.0 / hours_per_turnover()));
    assert_eq!(last(&shut, "overflow_l"), 0.0);
    assert!(last(&shut, "water_l") > 0.0);
    let copper = 2.5 / 63.546;
    let plated = shut.verdict.turnovers_plated;
    assert_relative("sulfate", last(&shut, "sulfate_mol_l"), copper * (1.0 + plated), 2e-3);
}
