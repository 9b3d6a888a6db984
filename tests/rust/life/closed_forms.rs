//! Integration against closed forms.

use support::recipes::{
    atomic_weight, column, constant_rate, fixed_selectivity, live, power_law, pumped, set,
};
use support::{assert_relative, assert_within};

const RATE_MOL_M2_S: f64 = 5.7e-4;
const VOLUME_L: f64 = 400.0;

/// Producer: thickness = r t (M(Ni) + p M(P))/rho, with rho of the alloy's weight per cent.
#[test]
fn a_constant_rate_grows_a_layer_in_proportion_to_time() {
    let p = 0.2;
    let bath = constant_rate(&fixed_selectivity(&power_law(), p, 1.5)).make_up().expect("a bath");
    let (metal, phosphorus) = (atomic_weight("Ni"), p * atomic_weight("P"));
    let alloy_wt_pct = 100.0 * phosphorus / (metal + phosphorus);
    let density = 8.9 - 0.1 * alloy_wt_pct;
    for minutes in [1.0, 7.0, 60.0, 240.0] {
        let load = bath.plate(0.5, minutes).expect("plated").load;
        let expected = RATE_MOL_M2_S * minutes * 60.0 * (metal + phosphorus) / density;
        assert_relative(format!("um after {minutes} min"), load.thickness_um, expected, 1e-8);
        assert_within("wt% P", load.alloy_wt_pct, alloy_wt_pct, 1e-8);
    }
}

/// Producer: dc/dt = -k c with k = A r_ref/(V c_ref), so c = c0 exp(-k t).
#[test]
fn a_first_order_rate_uses_up_metal_exponentially() {
    let first_order = set(
        &constant_rate(&fixed_selectivity(&power_law(), 0.2, 0.5)),
        &[("deposition.order.nickel", 1.0), ("deposition.reference_mol_l.nickel", 0.1)],
    );
    let bath = first_order.make_up().expect("a bath");
    let start_g_l = 26.87 * atomic_weight("Ni") / support::recipes::molar_mass("NiSO4.6H2O");
    let area_m2 = 4.0;
    let k_per_s = area_m2 * RATE_MOL_M2_S / (VOLUME_L * 0.1);
    for minutes in [10.0, 100.0, 300.0] {
        let load = bath.plate(area_m2, minutes).expect("plated").load;
        let expected = start_g_l * (-k_per_s * minutes * 60.0).exp();
        assert_relative(format!("g/L after {minutes} min"), load.metal_end_g_l, expected, 1e-7);
    }
}

/// Producer: by-product made at m per plated turnover and lost with a part b of the bath:
/// dc/dn = m - b c, so c = m (1 - exp(-b n))/b.
#[test]
fn a_by_product_approaches_its_ceiling_exponentially_under_bleed() {
    let (p, h, bleed) = (0.2, 1.5, 0.3);
    let recipe = set(
        &pumped(&constant_rate(&fixed_selectivity(&power_law(), p, h))),
        &[("tank.bleed_per_turnover", bleed), ("limits.turnovers", 12.0)],
    );
    let life = live(&recipe);
    let metal_mol_l = recipe.model().expect("a model").tank.operation.set_points.metal_mol_l;
    let made = (1.0 + 0.5 * p + h) * metal_mol_l;
    let rows = column(&life, "turnovers_plated").iter().zip(column(&life, "orthophosphite_mol_l"));
    assert!(life.table.rows() >= 12);
    for (plated, found) in rows.skip(1) {
        let expected = made * (1.0 - (-bleed * plated).exp()) / bleed;
        assert_relative(format!("mol/L after {plated} plated turnovers"), *found, expected, 1e-6);
    }
}

/// Producer: the same with nothing lost: c = m n, and clock time n n0/(A r).
#[test]
fn a_constant_rate_turns_the_bath_over_on_time() {
    let (p, h) = (0.2, 1.5);
    let recipe =
        set(&pumped(&constant_rate(&fixed_selectivity(&power_law(), p, h))), &[("limits.turnovers", 5.0)]);
    let life = live(&recipe);
    let metal_mol_l = recipe.model().expect("a model").tank.operation.set_points.metal_mol_l;
    let area_m2 = 0.5 * VOLUME_L / 100.0;
    let turnover_h = metal_mol_l * VOLUME_L / (area_m2 * RATE_MOL_M2_S) / 3600.0;
    assert_relative("h", life.verdict.clock_h, 5.0 * turnover_h, 1e-7);
    let phosphite = column(&life, "orthophosphite_mol_l").last().expect("a row");
    assert_relative("mol/L", *phosphite, 5.0 * (1.0 + 0.5 * p + h) * metal_mol_l, 1e-7);
}
