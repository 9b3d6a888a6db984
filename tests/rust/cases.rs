//! Small questions asked in public by practitioners, with computed answers (cases.json).

use acceptance::{assert_relative, assert_within, case, number};
use bathkin::deposit::layer::area_per_turnover_m2;
use bathkin::deposit::{DensityScale, Layer};

use crate::recipes::{
    at_metal_g_l, constant_rate, fixed_selectivity, last, live, molar_mass, power_law, pumped,
    round_the_clock, say, set, without_limits,
};

/// US gallon, L, and square foot, m²: exact by definition.
const GALLON_L: f64 = 3.785_411_784;
const SQUARE_FOOT_M2: f64 = 0.092_903_04;
const INCH_UM: f64 = 25_400.0;

/// Producer: P01, rtol of the case.
#[test]
fn p01_area_that_one_turnover_plates() {
    let case = case("P01");
    let volume_l = number(&case, "/inputs/volume/0") * GALLON_L;
    let thickness_um = number(&case, "/inputs/thickness/0") * INCH_UM;
    let metal_g_l = number(&case, "/inputs/Ni/0");
    let (alloy, density) = (number(&case, "/inputs/P_wt"), number(&case, "/inputs/density/0"));
    let tolerance = number(&case, "/rtol");
    assert_relative("g Ni", volume_l * metal_g_l, number(&case, "/expect/Ni_g_per_MTO"), tolerance);
    let layer = Layer::of_thickness(thickness_um, SQUARE_FOOT_M2, alloy, density);
    assert_relative("g Ni/ft2", layer.metal_g, number(&case, "/expect/Ni_g_per_ft2"), tolerance);
    let area = area_per_turnover_m2(volume_l, metal_g_l, thickness_um, alloy, density) / SQUARE_FOOT_M2;
    assert_relative("ft2", area, number(&case, "/expect/ft2_per_MTO"), tolerance);
}

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

/// Producer: P09: the same 7.8 g/cm3 reads as 10 wt% P on one public scale and as 11 on another.
#[test]
fn p09_density_scales_are_named_and_one_per_cent_apart() {
    let case = case("P09");
    let density = number(&case, "/inputs/density/0");
    let (forum, magazine) = (DensityScale::TwoPoint, DensityScale::AreaTable);
    for (scale, alloy) in
        [(forum, number(&case, "/expect/P_wt_model_A")), (magazine, number(&case, "/expect/P_wt_model_B"))]
    {
        assert_within(scale.name(), scale.density_g_cm3(alloy), density, 1e-9);
    }
    // The other printed points of the two scales, from the note of the case.
    assert_within("4 wt% P", forum.density_g_cm3(4.0), 8.4, 1e-9);
    for per_cent in 0..=9 {
        let alloy = f64::from(per_cent);
        assert_within(per_cent, magazine.density_g_cm3(alloy), 8.9 - 0.1 * alloy, 1e-9);
    }
    assert!(magazine.doubt(13.0).is_some_and(|doubt| doubt.contains(&magazine.name())));
    assert!(magazine.doubt(11.0).is_none());
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

/// Producer: P26, to the printed digits (rtol 1e-5).
#[test]
fn p26_metal_of_a_mil_square_foot() {
    let case = case("P26");
    let (alloy, density) = (number(&case, "/inputs/P_wt"), number(&case, "/inputs/density"));
    let layer = Layer::of_thickness(0.001 * INCH_UM, SQUARE_FOOT_M2, alloy, density);
    assert_relative("deposit, g", layer.mass_g, number(&case, "/expect/deposit_g_per_mil_ft2"), 1e-5);
    assert_relative("metal, g", layer.metal_g, number(&case, "/expect/Ni_g_per_mil_ft2"), 1e-5);
}

/// Producer: P18 (a published study of baths this lean): accepted, with a warning for each doubt.
#[test]
fn p18_a_bath_ten_times_too_lean_is_warned_of_and_not_refused() {
    let case = case("P18");
    let recipe = set(
        &at_metal_g_l(&power_law(), number(&case, "/inputs/Ni/0")),
        &[("operation.temperature_c", number(&case, "/inputs/T/0"))],
    );
    let flags = |recipe: &bathkin::Recipe| -> Vec<String> {
        let bath = recipe.make_up().expect("a bath");
        bath.flags()
            .expect("flags")
            .into_iter()
            .map(|flag| format!("{}: {}", flag.r#where, flag.what))
            .collect()
    };
    let said = flags(&recipe);
    for place in ["low_nickel: ", "make_up.nickel_sulfate_hexahydrate_g_l: ", "stability: "] {
        assert_eq!(said.iter().filter(|flag| flag.starts_with(place)).count(), 1, "{place} in {said:?}");
    }
    let wanted = case["expect"]["warning"].as_array().expect("a list");
    for words in wanted.iter().map(|words| words.as_str().expect("words")) {
        assert!(said.iter().any(|flag| flag.contains(words)), "{words} in {said:?}");
    }
    // The study saw it above 80 degC only, and only in baths this lean.
    let cooler = flags(&set(&recipe, &[("operation.temperature_c", 79.0)]));
    let richer = flags(&set(&power_law(), &[("operation.temperature_c", 85.0)]));
    for other in [&cooler, &richer] {
        assert!(!other.iter().any(|flag| flag.starts_with("stability: ")), "{other:?}");
    }
    assert!(cooler.iter().any(|flag| flag.starts_with("low_nickel: ")), "{cooler:?}");
}
