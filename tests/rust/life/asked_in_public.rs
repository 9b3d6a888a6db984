//! Turnovers, alarms and by-products asked about in public by practitioners, with computed answers (cases.json).

use support::recipes::{
    at_metal_g_l, constant_rate, fixed_selectivity, last, live, molar_mass, power_law, pumped,
    round_the_clock, say, set, without_limits,
};
use support::{assert_relative, assert_within, case, number};

/// Producer: P03 (a definition): the bath after one turnover was fed 6000 g of nickel.
#[test]
fn p03_one_turnover_replaces_the_metal_of_the_make_up() {
    let case = case("P03");
    let recipe = at_metal_g_l(&pumped(&power_law()), number(&case, "/inputs/Ni/0"));
    let turnovers = number(&case, "/expect/MTO");
    let life = live(&set(
        &recipe,
        &[("tank.volume_l", number(&case, "/inputs/volume/0")), ("limits.turnovers", turnovers)],
    ));
    let litres = life.ledger.volume_l("nickel replenisher");
    let metal_g = litres * 450.0 * molar_mass("Ni") / molar_mass("NiSO4.6H2O");
    assert_eq!(life.verdict.limit, "turnovers");
    assert_relative("g Ni added", metal_g, number(&case, "/inputs/added/0"), 1e-6);
}

/// Producer: P06 for the alarm level. For the time it is crossed: at a constant rate r of metal on
/// an area A the metal falls by A r t, so 30 % of it are gone at 0.3 n0/(A r).
#[test]
fn p06_alarm_at_70_per_cent_of_the_set_point_is_dated() {
    let case = case("P06");
    let set_point = number(&case, "/inputs/setpoint/0");
    let percent = number(&case, "/inputs/alarm_pct");
    let alarm = number(&case, "/expect/alarm_g_L");
    let idle = say(
        &constant_rate(&round_the_clock(&without_limits(&power_law()))),
        &[("replenishment.policy", "analysis"), ("ph_control.policy", "off")],
    );
    let recipe = set(
        &at_metal_g_l(&idle, set_point),
        &[("limits.metal_pct_of_set_point", percent), ("replenishment.analysis_interval_h", 1000.0)],
    );
    let model = recipe.model().expect("a model");
    let limit = model.limits.iter().find(|limit| limit.name == "metal_g_l").expect("the limit");
    assert_within("alarm", limit.bound, alarm, 1e-9);

    let life = live(&recipe);
    assert_eq!(life.verdict.limit, "metal_g_l");
    assert_within("metal at the alarm", last(&life, "metal_g_l"), alarm, 1e-6);
    let metal_mol = set_point / molar_mass("Ni") * 400.0;
    let (area_m2, rate_mol_m2_s) = (0.5 * 400.0 / 100.0, 5.7e-4);
    let hours = (1.0 - percent / 100.0) * metal_mol / (area_m2 * rate_mol_m2_s) / 3600.0;
    assert_within("h to the alarm", life.verdict.clock_h, hours, 1e-3 / 3600.0 + hours * 1e-8);
}

/// Producer: P20, rtol of the case; continuous loss, metal held, counted by metal plated.
///
/// With a part b of the bath lost per plated turnover and the metal held, metal is replenished
/// 1 + b times as fast as it is plated: 8 plated turnovers are 8 (1 + b) replenished ones.
#[test]
fn p20_orthophosphite_of_eight_turnovers_with_and_without_loss() {
    let case = case("P20");
    let (plated, tolerance) = (number(&case, "/inputs/MTO"), number(&case, "/rtol"));
    let alloy = number(&case, "/inputs/P_wt") / 100.0;
    let p = (alloy / molar_mass("P")) / ((1.0 - alloy) / molar_mass("Ni"));
    let used = 1.0 / number(&case, "/inputs/Ni_per_hypophosphite");
    let bath = at_metal_g_l(
        &pumped(&fixed_selectivity(&power_law(), p, used - 1.0 - 1.5 * p)),
        number(&case, "/inputs/Ni/0"),
    );
    let one = live(&set(&bath, &[("limits.turnovers", 1.0)]));
    let phosphite = last(&one, "orthophosphite_mol_l");
    let expected = |name: &str| number(&case, &format!("/expect/{name}"));
    let grams = phosphite * molar_mass("H2PO3-");
    assert_relative("per turnover as H2PO3-", grams, expected("per_MTO_H2PO3_g_L"), tolerance);
    let grams = phosphite * molar_mass("Na2HPO3");
    assert_relative("per turnover as Na2HPO3", grams, expected("per_MTO_Na2HPO3_g_L"), tolerance);

    for (index, name) in ["at8_no_loss", "at8_loss_5pct"].into_iter().enumerate() {
        let loss = number(&case, &format!("/inputs/loss_fraction_per_MTO/{index}"));
        let life = live(&set(
            &bath,
            &[("tank.bleed_per_turnover", loss), ("limits.turnovers", plated * (1.0 + loss))],
        ));
        assert_within("turnovers plated", life.verdict.turnovers_plated, plated, 1e-6);
        let grams = last(&life, "orthophosphite_mol_l") * molar_mass("H2PO3-");
        assert_relative(name, grams, expected(name), tolerance);
    }
}
