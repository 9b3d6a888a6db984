//! Water: density, viscosity, dielectric constant, ionic product and the Debye-Hückel slope, 0-100 degC.

use crate::constants::{
    AVOGADRO_PER_MOL, BOLTZMANN_J_K, ELEMENTARY_CHARGE_C, LN_10, VACUUM_PERMITTIVITY_F_M,
    WATER_MOLAR_MASS_G_MOL, ZERO_CELSIUS_K,
};
use crate::scalar::Scalar;

/// Density of water at 1 atm, kg/m³.
///
/// rho = (sum_k a_k t^k) / (1 + b t), t in degC.
///
/// Source: Kell, J. Chem. Eng. Data 20 (1975) 97, 0-150 degC (coefficients from memory, held to
/// the IAPWS-95 table within 0.02 % by a test).
pub fn density_kg_m3<D: Scalar>(temperature_k: D) -> D {
    const A: [f64; 6] =
        [999.839_52, 16.945_176, -7.987_040_1e-3, -46.170_461e-6, 105.563_02e-9, -280.542_53e-12];
    let t = temperature_k - ZERO_CELSIUS_K;
    let top = A.iter().rev().fold(D::from(0.0), |sum, a| sum * t + *a);
    top / (t * 16.879_850e-3 + 1.0)
}

/// Viscosity of water at 0.1 MPa, Pa s.
///
/// eta = 1e-6 sum_i a_i (T/300 K)^b_i, T in K.
///
/// Source: Pátek, Hrubý, Klomfar, Součková & Harvey, J. Phys. Chem. Ref. Data 38 (2009) 21, 253-383 K, the short form of
/// IAPWS R12-08 at that pressure (coefficients from memory, held to a table of R12-08 within 0.02 % by a test).
pub fn viscosity_pa_s<D: Scalar>(temperature_k: D) -> D {
    const TERMS: [(f64, f64); 4] = [(280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.459_03, -40.0)];
    let reduced = temperature_k / 300.0;
    TERMS.iter().fold(D::from(0.0), |sum, (a, b)| sum + reduced.powf(*b) * *a) * 1e-6
}

/// Static dielectric constant of water along the 1 atm line.
///
/// The Harris-Alder form with the g-factor polynomial in reduced density and temperature.
///
/// Source: IAPWS R8-97 (coefficients from memory, held to the release's check value and to the
/// reference table within 0.1 % by a test).
pub fn dielectric_constant<D: Scalar>(temperature_k: D) -> D {
    // (coefficient, exponent of reduced density, exponent of inverse reduced temperature)
    const TERMS: [(f64, i32, f64); 11] = [
        (0.978_224_486_826, 1, 0.25),
        (-0.957_771_379_375, 1, 1.0),
        (0.237_511_794_148, 1, 2.5),
        (0.714_692_244_396, 2, 1.5),
        (-0.298_217_036_956, 3, 1.5),
        (-0.108_863_472_196, 3, 2.5),
        (0.949_327_488_264e-1, 4, 2.0),
        (-0.980_469_816_509e-2, 5, 2.0),
        (0.165_167_634_970e-4, 6, 5.0),
        (0.937_359_795_772e-4, 7, 0.5),
        (-0.123_179_218_720e-9, 10, 10.0),
    ];
    const LAST: f64 = 0.196_096_504_426e-2;
    const CRITICAL_DENSITY_KG_M3: f64 = 322.0;
    const CRITICAL_TEMPERATURE_K: f64 = 647.096;
    const POLARIZABILITY_C2_M2_J: f64 = 1.636e-40;
    const DIPOLE_C_M: f64 = 6.138e-30;

    let density = density_kg_m3(temperature_k);
    let delta = density / CRITICAL_DENSITY_KG_M3;
    let tau = temperature_k.recip() * CRITICAL_TEMPERATURE_K;
    let mut g = D::from(1.0);
    for (coefficient, i, j) in TERMS {
        g += delta.powi(i) * tau.powf(j) * coefficient;
    }
    g += delta * (temperature_k / 228.0 - 1.0).powf(-1.2) * LAST;

    let number_density = density * (AVOGADRO_PER_MOL / (WATER_MOLAR_MASS_G_MOL * 1e-3));
    let a = number_density * g * (DIPOLE_C_M * DIPOLE_C_M)
        / (temperature_k * (VACUUM_PERMITTIVITY_F_M * BOLTZMANN_J_K));
    let b = number_density * (POLARIZABILITY_C2_M2_J / (3.0 * VACUUM_PERMITTIVITY_F_M));
    let root = (a * 2.0 + 9.0 + a * a + b * 18.0 + a * b * 10.0 + b * b * 9.0).sqrt();
    (a + 1.0 + b * 5.0 + root) / (b * -4.0 + 4.0)
}

/// pKw on the molal scale along the 1 atm line.
///
/// pKw = -2 n (log10(1+Q) - Q/(Q+1) rho (b0 + b1/T + b2 rho)) + pKw_gas + 2 log10(M/1000),
/// Q = rho exp(a0 + a1/T + a2/T² rho^(2/3)), rho in g/cm³.
///
/// Source: IAPWS R11-07 (Bandura and Lvov, J. Phys. Chem. Ref. Data 35 (2006) 15).
pub fn pkw<D: Scalar>(temperature_k: D) -> D {
    let rho = density_kg_m3(temperature_k) * 1e-3;
    let t = temperature_k;
    let inverse = t.recip();
    let q = rho * (inverse * 8_659.19 - inverse * inverse * rho.powf(2.0 / 3.0) * 22_786.2 - 0.864_671).exp();
    let association =
        (q + 1.0).log10() - q / (q + 1.0) * rho * (inverse * -56.8534 + 0.642_044 - rho * 0.375_754);
    let gas = ((inverse * 1.010_210e7 - 6.770_793e4) * inverse + 4.825_133e4) * inverse + 0.614_15;
    association * -12.0 + gas + 2.0 * (WATER_MOLAR_MASS_G_MOL * 1e-3).log10()
}

/// Debye-Hückel slope A of log10 gamma, (kg/mol)^½.
///
/// A = (2 pi N_A rho)^½ (e²/(4 pi eps0 eps k T))^(3/2) / ln 10.
///
/// Source: textbook form, from [`density_kg_m3`] and [`dielectric_constant`].
pub fn debye_hueckel_a<D: Scalar>(temperature_k: D) -> D {
    use std::f64::consts::PI;
    let bjerrum = (dielectric_constant(temperature_k) * temperature_k).recip()
        * (ELEMENTARY_CHARGE_C * ELEMENTARY_CHARGE_C / (4.0 * PI * VACUUM_PERMITTIVITY_F_M * BOLTZMANN_J_K));
    (density_kg_m3(temperature_k) * (2.0 * PI * AVOGADRO_PER_MOL)).sqrt() * bjerrum.powf(1.5) / LN_10
}
