//! The life of the built-in acid nickel bath, against common practice and an independent script.

use bathkin::Recipe;

use support::recipes::{
    column, last, live, molar_mass, nickel_acid, power_law, pumped, say, set, without_limits,
};
use support::{Csv, assert_relative, assert_within};

/// Producer: common practice, 15-20 um/h at 88 degC and pH 4.8, 8-11 wt% P.
#[test]
fn fresh_bath_plates_as_a_shop_expects() {
    let rate = nickel_acid().make_up().expect("a bath").rate().expect("a rate");
    assert!((15.0..=20.0).contains(&rate.deposition_um_h), "{} um/h", rate.deposition_um_h);
    assert!((8.0..=11.0).contains(&rate.alloy_wt_pct), "{} wt% P", rate.alloy_wt_pct);
}

/// Producer: common practice, about a third of the hypophosphite is used for nickel: 0.30-0.40.
#[test]
fn a_third_of_the_hypophosphite_goes_into_nickel() {
    let efficiency = nickel_acid().make_up().expect("a bath").rate().expect("a rate").reductant_efficiency;
    assert!((0.30..=0.40).contains(&efficiency), "{efficiency}");
}

/// Producer: common practice, 3-7 % of the fresh rate lost per turnover, up to the 60 % floor.
#[test]
fn every_turnover_costs_three_to_seven_per_cent_of_the_fresh_rate() {
    let recipe = set(&without_limits(&nickel_acid()), &[("limits.deposition_pct_of_fresh", 60.0)]);
    let life = live(&recipe);
    assert_eq!(life.verdict.limit, "deposition_um_h");
    let losses = losses_pct(column(&life, "turnovers"), column(&life, "deposition_um_h"));
    assert!(losses.len() >= 6, "a life of several turnovers: {losses:?}");
    for loss in &losses {
        assert!((3.0..=7.0).contains(loss), "losses per turnover, %: {losses:?}");
    }
}

/// Loss of each whole turnover in per cent of the first row.
fn losses_pct(turnovers: &[f64], um_h: &[f64]) -> Vec<f64> {
    turnovers
        .windows(2)
        .zip(um_h.windows(2))
        .filter(|(at, _)| (at[1] - at[0] - 1.0).abs() < 0.06)
        .map(|(_, rate)| 100.0 * (rate[0] - rate[1]) / um_h[0])
        .collect()
}

/// Producer: common practice, 6-10 turnovers without drag-out; 8-11 wt% P over the whole life.
#[test]
fn the_bath_lives_six_to_ten_turnovers_and_ends_at_a_limit() {
    let life = live(&nickel_acid());
    assert_ne!(life.verdict.limit, "none");
    assert!((6.0..=10.0).contains(&life.verdict.turnovers), "{:?}", life.verdict);
    let reached: Vec<_> = life.limits.iter().filter(|limit| limit.margin <= 1e-6).collect();
    assert!(reached.iter().any(|limit| limit.name == life.verdict.limit), "{:?}", life.limits);
    for alloy in column(&life, "phosphorus_wt_pct") {
        assert!((8.0..=11.0).contains(alloy), "{alloy} wt% P");
    }
}

/// Producer: conservation. The mass balances of every element and of the charge close to 1e-9.
#[test]
fn the_books_close() {
    for recipe in [nickel_acid(), pumped(&set(&nickel_acid(), &[]))] {
        let life = live(&set(&recipe, &[("tank.drag_out_l_m2", 0.1), ("limits.turnovers", 8.0)]));
        assert!(life.balance.max_relative_residual < 1e-9, "{:?}", life.balance);
    }
}

/// The bath of nickel_life.csv with an inhibition law.
fn bath_of_the_script(form: &str, constant_mol_l: f64) -> Recipe {
    let words = [
        ("solution.activity", "davies"),
        ("deposition.inhibition.orthophosphite.form", form),
        ("phosphorus.inhibition.orthophosphite.form", form),
    ];
    set(
        &say(&pumped(&power_law()), &words),
        &[
            ("deposition.rate_mol_m2_s", 6.1e-4),
            ("deposition.inhibition.orthophosphite.constant_mol_l", constant_mol_l),
            ("phosphorus.inhibition.orthophosphite.constant_mol_l", constant_mol_l),
        ],
    )
}

/// Producer: nickel_life.csv, an independent script; the printed digits, and its round inputs.
#[test]
fn a_life_of_nine_turnovers_agrees_with_an_independent_script() {
    let life = live(&set(&bath_of_the_script("hyperbolic", 3.6), &[("limits.turnovers", 9.0)]));
    let fresh = column(&life, "deposition_um_h")[0];
    let table = Csv::reference("nickel_life.csv");
    for (row, expected) in table.rows().enumerate() {
        let at = |name: &str| column(&life, name)[row];
        let check = |column: &str, found: f64, tolerance: f64| {
            assert_within(format!("{column} in row {row}"), found, expected.number(column), tolerance);
        };
        check("turnovers", at("turnovers"), 1e-6);
        check("deposition_relative", at("deposition_um_h") / fresh, 1.5e-3);
        check("deposition_um_h", at("deposition_um_h"), 0.02);
        check("clock_h", at("clock_h"), 0.05 + 2e-3 * expected.number("clock_h"));
        check("phosphorus_wt_pct", at("phosphorus_wt_pct"), 0.02);
        check("N", at("reductant_per_metal_mol"), 2e-3);
        check("h2po3_g_l", at("orthophosphite_mol_l") * molar_mass("H2PO3-"), 0.6);
        check("sulfate_mol_l", at("sulfate_mol_l"), 6e-3);
        check("sodium_mol_l", at("sodium_mol_l"), 0.06);
    }
}

/// Producer: nickel_life_inhibition.csv, the same script; 0.1 turnovers and 0.1 % of the rate.
#[test]
fn other_inhibition_laws_give_the_lives_of_the_independent_script() {
    let table = Csv::reference("nickel_life_inhibition.csv");
    for row in table.rows() {
        let (form, constant) = (row.text("form"), row.number("constant_mol_l"));
        let what = |column: &str| format!("{column}, {form} {constant}");
        let bath = bath_of_the_script(form, constant);
        let life = live(&set(&bath, &[("limits.deposition_pct_of_fresh", 60.0)]));
        assert_eq!(life.verdict.limit, "deposition_um_h");
        assert_within(what("life"), life.verdict.turnovers, row.number("life_turnovers"), 0.1);
        let fresh = column(&life, "deposition_um_h")[0];
        assert_relative(what("rate at the end"), last(&life, "deposition_um_h"), 0.6 * fresh, 1e-6);

        let life = live(&set(&bath, &[("limits.turnovers", 8.0)]));
        let losses = losses_pct(column(&life, "turnovers"), column(&life, "deposition_um_h"));
        assert_within(what("first loss"), losses[0], row.number("first_loss_pct"), 0.1);
        if !row.text("eighth_loss_pct").is_empty() {
            assert_within(what("eighth loss"), losses[7], row.number("eighth_loss_pct"), 0.1);
        }
    }
}
