//! The teaching recipe of acid nickel by its mixed potential: targets, electrons, a life, refusals.

use bathkin::constants::FARADAY_C_MOL;
use bathkin::document::Value;
use bathkin::recipe::Recipe;

use support::recipes::{live, set};
use support::{assert_relative, assert_within};

fn teaching() -> Recipe {
    Recipe::built_in("nickel-mixed-potential").expect("built in")
}

/// Producer: the targets it was fitted to, by nickel_mixed_potential_fit.py, within its rounding.
#[test]
fn the_teaching_recipe_shows_its_targets() {
    let rate = teaching().make_up().expect("a bath").rate().expect("a rate");
    let she = rate.potential_v_she.expect("a potential");
    assert_within("V SCE", she - 0.2412, -0.64, 1e-3);
    assert_within("um/h", rate.deposition_um_h, 16.5, 0.05);
    assert_within("wt% P", rate.alloy_wt_pct, 9.5, 0.05);
    assert_within("hypophosphite per nickel", rate.reductant_per_metal_mol, 2.9, 0.01);
}

/// Producer: electrons. What is given is taken; rates are currents over electrons and Faraday's constant.
#[test]
fn the_currents_of_a_bath_conserve_electrons() {
    let recipe = teaching();
    let rate = recipe.make_up().expect("a bath").rate().expect("a rate");
    let kinetics = &recipe.model().expect("a model").tank.bath.kinetics;
    let sum: f64 = rate.partial_currents_ma_cm2.iter().map(|(_, current)| current).sum();
    assert!(sum.abs() < 1e-12 * rate.partial_currents_ma_cm2[0].1.abs(), "{sum} mA/cm2 left over");
    for ((reaction, (_, current)), (_, of)) in
        kinetics.half_reactions().iter().zip(&rate.partial_currents_ma_cm2).zip(&rate.half_reactions_mol_m2_s)
    {
        assert_relative(&reaction.name, of * reaction.electrons * FARADAY_C_MOL * 0.1, *current, 1e-12);
    }
    // One electron per hypophosphite oxidised: at least 2 + 2 p of it per nickel.
    let p = rate.half_reactions_mol_m2_s[1].1 / rate.half_reactions_mol_m2_s[0].1;
    assert!(rate.reductant_per_metal_mol > 2.0 + 2.0 * p);
}

/// Producer: common practice, 6-10 turnovers without drag-out, 3-7 % of the fresh rate lost per turnover,
/// 8-11 wt% P; and conservation.
#[test]
fn the_teaching_recipe_lives_a_life() {
    let life = live(&teaching());
    assert_eq!(life.verdict.limit, "orthophosphite_mol_l");
    assert!((6.0..=10.0).contains(&life.verdict.turnovers), "{:?}", life.verdict);
    assert!(life.balance.max_relative_residual < 1e-9, "{:?}", life.balance);
    let column = |name: &str| life.table.column(name).expect("a column");
    let um_h = column("deposition_um_h");
    for pair in um_h[..um_h.len() - 1].windows(2) {
        let loss = 100.0 * (pair[0] - pair[1]) / um_h[0];
        assert!((3.0..=7.0).contains(&loss), "{loss} % lost");
    }
    assert!(column("phosphorus_wt_pct").iter().all(|alloy| (8.0..=11.0).contains(alloy)));
}

/// Producer: the rules of the document.
#[test]
fn what_a_recipe_says_about_branches_must_make_sense() {
    let text = |path: &str, value: &str| teaching().with(path, Value::Text(value.to_owned()), "the test");
    let refused = |recipe: &Recipe| recipe.model().map(|_| ()).expect_err("refused").to_string();
    for (recipe, words) in [
        (text("half_reaction.metal.law", "nickel_discharge"), "laws and partial currents do not mix"),
        (text("half_reaction.metal.partial_current", "nothing"), "either exchange_current_ma_cm2"),
        (set(&teaching(), &[("nickel_discharge.current_ma_cm2", 1.0)]), "either exchange_current_ma_cm2"),
        (
            set(&teaching(), &[("nickel_discharge.tafel_slope_mv_decade", 106.0)]),
            "either transfer_coefficient or tafel_slope_mv_decade",
        ),
        (
            set(&teaching(), &[("nickel_discharge.transfer_coefficient", 2.5)]),
            "nothing for the back reaction",
        ),
        (
            set(&teaching(), &[("nickel_discharge.transport.hypophosphite.coefficient_m_s", 1e-5)]),
            "one component that this half-reaction uses",
        ),
        (
            set(&teaching(), &[("nickel_discharge.standard_potential_v_she", -1.0)]),
            "the fresh bath dissolves",
        ),
    ] {
        assert!(refused(&recipe).contains(words), "{} for {words}", refused(&recipe));
    }
    let laws = Recipe::built_in("nickel-acid").expect("built in").make_up().expect("a bath");
    let message = laws.polarisation(&[-0.5], "SHE").expect_err("refused").to_string();
    assert!(message.contains("nickel-mixed-potential"), "{message}");
    let bath = teaching().make_up().expect("a bath");
    assert!(bath.polarisation(&[-640.0], "SCE").expect_err("refused").to_string().contains("not millivolts"));
    assert!(bath.polarisation(&[-0.6], "SSE").expect_err("refused").to_string().contains("SCE"));
}

/// Producer: Nernst's diffusion layer. A film slows the nickel and shifts the potential down.
#[test]
fn a_diffusion_layer_slows_the_teaching_bath() {
    let stirred = teaching().make_up().expect("a bath").rate().expect("a rate");
    let layer = [
        ("nickel_discharge.transport.nickel.coefficient_m_s", 1e-5),
        ("nickel_discharge.transport.nickel.coefficient_temperature_c", 88.0),
    ];
    let quiet = set(&teaching(), &layer);
    let quiet = quiet.make_up().expect("a bath").rate().expect("a rate");
    assert!(quiet.deposition_um_h < stirred.deposition_um_h);
    assert!(quiet.potential_v_she < stirred.potential_v_she);
    // 2 F 1e-5 m/s 0.1022 mol/L.
    assert!(-quiet.partial_currents_ma_cm2[0].1 < 19.73);
}
