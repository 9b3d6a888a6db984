//! Physical constants (exact since the 2019 SI, except the vacuum permittivity: CODATA 2022).

/// Molar gas constant, J/(mol K). CODATA 2022, exact.
pub const GAS_CONSTANT_J_MOL_K: f64 = 8.314_462_618_153_24;
/// Faraday constant, C/mol. CODATA 2022, exact.
pub const FARADAY_C_MOL: f64 = 96_485.332_123_310_01;
/// Avogadro constant, 1/mol. CODATA 2022, exact.
pub const AVOGADRO_PER_MOL: f64 = 6.022_140_76e23;
/// Elementary charge, C. CODATA 2022, exact.
pub const ELEMENTARY_CHARGE_C: f64 = 1.602_176_634e-19;
/// Boltzmann constant, J/K. CODATA 2022, exact.
pub const BOLTZMANN_J_K: f64 = 1.380_649e-23;
/// Vacuum electric permittivity, F/m. CODATA 2022.
pub const VACUUM_PERMITTIVITY_F_M: f64 = 8.854_187_818_8e-12;
/// 0 degC in kelvin, by definition of the Celsius scale.
pub const ZERO_CELSIUS_K: f64 = 273.15;
/// Reference temperature of the thermodynamic tables, K (25 degC).
pub const REFERENCE_TEMPERATURE_K: f64 = 298.15;
/// Molar volume of an ideal gas at 25 degC and 1 atm, L/mol: R T / p.
pub const GAS_MOLAR_VOLUME_25C_L_MOL: f64 =
    GAS_CONSTANT_J_MOL_K * REFERENCE_TEMPERATURE_K / 101_325.0 * 1000.0;
/// Molar mass of water, g/mol (IAPWS R6-95).
pub const WATER_MOLAR_MASS_G_MOL: f64 = 18.015_268;
/// Seconds in an hour.
pub const SECONDS_PER_HOUR: f64 = 3600.0;
/// Natural logarithm of ten, to turn pH into ln a(H+).
pub const LN_10: f64 = std::f64::consts::LN_10;
