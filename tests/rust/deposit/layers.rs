//! Area, mass and density of layers, as asked in public by practitioners, with computed answers (cases.json).

use bathkin::constants::FARADAY_C_MOL;
use bathkin::deposit::layer::area_per_turnover_m2;
use bathkin::deposit::{DensityScale, Layer};

use support::recipes::atomic_weight;
use support::{assert_relative, assert_within, case, number};

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
    assert!(magazine.warning(13.0).is_some_and(|warning| warning.contains(&magazine.name())));
    assert!(magazine.warning(11.0).is_none());
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

/// Producer: Faraday's law. 1 um/h of 8.0 g/cm³ and 90 % nickel takes 0.658 mA/cm² for the nickel.
#[test]
fn a_micrometre_an_hour_is_two_thirds_of_a_milliampere() {
    let layer = Layer::of_thickness(1.0, 1e-4, 10.0, 8.0);
    let milliamperes = layer.metal_g / atomic_weight("Ni") * 2.0 * FARADAY_C_MOL / 3600.0 * 1e3;
    assert_within("mA/cm2", milliamperes, 0.658, 5e-4);
}
