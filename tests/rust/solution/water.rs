//! Properties of water along the 1 atm line.

use bathkin::constants::ZERO_CELSIUS_K;
use bathkin::solution::water;

use support::{Csv, assert_relative, assert_within};

/// Every row of water.csv: (temperature in K, the row).
fn each_row(mut look: impl FnMut(f64, support::Row)) {
    let reference = Csv::reference("water.csv");
    for row in reference.rows() {
        look(row.number("temperature_c") + ZERO_CELSIUS_K, row);
    }
}

/// Producer: IAPWS-95 through water.csv.
#[test]
fn density_is_within_two_hundredths_of_a_per_cent() {
    each_row(|kelvin, row| {
        let expected = row.number("density_kg_m3");
        assert_relative(format!("density at {kelvin} K"), water::density_kg_m3(kelvin), expected, 2e-4);
    });
}

/// Producer: IAPWS R12-08 through water.csv; the short form was fitted to it.
#[test]
fn viscosity_is_within_a_hundredth_of_a_per_cent() {
    each_row(|kelvin, row| {
        let expected = row.number("viscosity_mpa_s") * 1e-3;
        assert_relative(format!("viscosity at {kelvin} K"), water::viscosity_pa_s(kelvin), expected, 1e-4);
    });
}

/// Producer: IAPWS R8-97 through water.csv.
#[test]
fn dielectric_constant_is_within_a_tenth_of_a_per_cent() {
    each_row(|kelvin, row| {
        let expected = row.number("dielectric_constant");
        assert_relative(format!("epsilon at {kelvin} K"), water::dielectric_constant(kelvin), expected, 1e-3);
    });
}

/// Producer: computed from density, dielectric constant and CODATA 2022 constants in water.csv.
#[test]
fn debye_hueckel_slope_is_within_three_tenths_of_a_per_cent() {
    each_row(|kelvin, row| {
        let expected = row.number("debye_huckel_a");
        assert_relative(format!("A at {kelvin} K"), water::debye_hueckel_a(kelvin), expected, 3e-3);
    });
}

/// Producer: IAPWS R11-07 through water.csv.
#[test]
fn pkw_is_within_five_thousandths() {
    each_row(|kelvin, row| {
        let expected = row.number("pkw_r11_07");
        assert_within(format!("pKw at {kelvin} K"), water::pkw(kelvin), expected, 0.005);
    });
}

/// Producer: the saturation line of handbook tables that quote R11-07 (14.946, 13.995, 13.264,
/// 12.696, 12.252 at 0, 25, 50, 75, 100 degC; from memory). The numerical check values of R11-07
/// and R8-97 lie at stated densities off the 1 atm line and cannot be asked of these functions.
#[test]
fn pkw_agrees_with_handbook_tables() {
    for (celsius, expected) in
        [(0.0, 14.946), (25.0, 13.995), (50.0, 13.264), (75.0, 12.696), (100.0, 12.252)]
    {
        assert_within(
            format!("pKw at {celsius} degC"),
            water::pkw(celsius + ZERO_CELSIUS_K),
            expected,
            0.002,
        );
    }
}
