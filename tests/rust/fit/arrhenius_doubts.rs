//! Which rows and which curvature an Arrhenius table is told about, and when an energy is not determined.
//!
//! Producer of all numbers: statsmodels 0.15.0, `OLS(ln k, [1, x])` with x = -(1/T - 1/353.15)/R in mol/kJ:
//! `outlier_test()` (externally studentised, Bonferroni), t and p of a further column x², `conf_int()`. Invented
//! tables of 60 kJ/mol with scatter.

use bathkin::remark::RemarkValue;
use bathkin_fit::{ArrheniusFit, Reference, fit_arrhenius};

use support::{assert_relative, assert_within};

fn table(celsius: &[f64], k: &[f64]) -> ArrheniusFit {
    let kelvin: Vec<f64> = celsius.iter().map(|celsius| celsius + 273.15).collect();
    fit_arrhenius(&kelvin, k, Reference::HarmonicMean).expect("a fit")
}

fn text<'a>(fit: &'a ArrheniusFit, code: &str) -> Option<&'a str> {
    fit.remarks.iter().find(|remark| remark.code == code).map(|remark| remark.text.as_str())
}

const CELSIUS: [f64; 8] = [60.0, 65.0, 70.0, 75.0, 80.0, 85.0, 90.0, 95.0];

#[test]
fn an_outlying_row_is_named_and_clean_ones_are_not() {
    let mut k = [2.965, 4.007, 5.546, 7.368, 10.09, 13.248, 17.677, 22.764];
    let clean = table(&CELSIUS, &k);
    assert!(clean.outlying_rows.is_empty() && text(&clean, "curved").is_none(), "{:?}", clean.remarks);
    assert_relative("curvature", clean.curvature_t.expect("t"), 0.160_345_8, 1e-6);
    assert_relative("its p", clean.curvature_p.expect("p"), 0.878_885_47, 1e-6);
    k[7] = 28.455;
    let found = table(&CELSIUS, &k);
    let [row] = found.outlying_rows.as_slice() else { panic!("{:?}", found.outlying_rows) };
    assert_eq!(row.row, 8);
    assert_relative("t", row.studentised_residual, 16.434_526_8, 1e-7);
    assert_relative("p", row.p_value, 1.217_677_94e-4, 1e-6);
    // The curvature of the other seven.
    assert_relative("curvature", found.curvature_t.expect("t"), 1.045_273_66, 1e-6);
    let said = text(&found, "outlier").expect("a remark");
    assert!(said.starts_with("row 8 (368.15 K, k = 28.45) lies 16.4 standard deviations above"), "{said}");
    let outlier = found.remarks.iter().find(|remark| remark.code == "outlier").expect("a remark");
    let names: Vec<&str> = outlier.values.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(names, ["row", "temperature_k", "k", "deviations", "side", "p_value"]);
    let values: Vec<&RemarkValue> = outlier.values.iter().map(|(_, value)| value).collect();
    assert_eq!(values[0], &RemarkValue::Count(8));
    assert_eq!(values[3], &RemarkValue::Number(row.studentised_residual));
    assert_eq!(values[4], &RemarkValue::Text("above".to_owned()));
}

/// One row between two ends: t = 13.7 of a quadratic term with it, and no curvature to see without.
#[test]
fn one_row_that_mimics_curvature_is_an_outlier() {
    let celsius = [60.0, 60.0, 60.0, 60.0, 78.0, 95.0, 95.0, 95.0, 95.0];
    let k = [2.965, 2.909, 2.95, 2.906, 10.236, 23.2, 22.901, 23.154, 22.764];
    let found = table(&celsius, &k);
    assert_eq!(found.outlying_rows.iter().map(|row| row.row).collect::<Vec<_>>(), [5]);
    assert_relative("p", found.outlying_rows[0].p_value, 8.287_413_70e-5, 1e-6);
    assert!(text(&found, "curved").is_none() && text(&found, "may-be-curved").is_none());
    // The bent table itself: no row is an outlier there.
    let bent = [2.615, 3.742, 5.385, 7.315, 10.09, 13.159, 17.217, 21.486];
    let found = table(&CELSIUS, &bent);
    assert!(found.outlying_rows.is_empty());
    assert_relative("p", found.curvature_p.expect("p"), 3.449_889_9e-4, 1e-6);
    assert!(text(&found, "curved").expect("a remark").contains("p = 3e-4: not Arrhenius over this range"));
}

/// p = 0.00100052 and 0.0110: both sides of the bounds.
#[test]
fn a_table_may_be_curved_from_one_in_a_hundred_on() {
    for (k, p, said) in [
        ([2.682, 3.794, 5.417, 7.326, 10.09, 13.176, 17.308, 21.736], 1.000_524_57e-3, true),
        ([2.75, 3.846, 5.449, 7.336, 10.09, 13.194, 17.4, 21.988], 3.780_365_55e-3, true),
        ([2.796, 3.881, 5.47, 7.343, 10.09, 13.206, 17.461, 22.158], 1.096_576_25e-2, false),
    ] {
        let found = table(&CELSIUS, &k);
        assert_relative("p", found.curvature_p.expect("p"), p, 1e-6);
        assert_eq!(text(&found, "may-be-curved").is_some(), said, "{:?}", found.remarks);
        assert!(text(&found, "curved").is_none(), "{:?}", found.remarks);
    }
}

#[test]
fn an_energy_whose_interval_holds_zero_is_not_determined() {
    let celsius = [80.0, 84.0, 88.0, 92.0];
    let found = table(&celsius, &[10.2, 11.9, 10.1, 11.8]);
    let energy = &found.activation_energy_kj_mol;
    let [low, high] = energy.interval95.expect("an interval");
    assert_within("low", low, -44.684_622_61, 1e-6);
    assert_within("high", high, 59.326_646_03, 1e-6);
    assert_eq!(energy.status, "not determined: the interval holds zero");
    assert!(text(&found, "not-determined").expect("a remark").contains("-44.7 to 59.3, holds zero"));
    // k itself is known, and its logarithm may be zero: that is a matter of units.
    assert_eq!(found.ln_k_ref.status, "ok");
    let certain = table(&celsius, &[10.2, 11.9, 14.1, 16.2]);
    assert!(certain.activation_energy_kj_mol.status == "ok" && text(&certain, "not-determined").is_none());
}

/// 351 kJ/mol from -127 to 828: no slip of units, but four rows that say nothing.
#[test]
fn units_are_doubted_where_the_whole_interval_is_implausible() {
    let celsius = [80.0, 84.0, 88.0, 92.0];
    let uncertain = table(&celsius, &[10.0, 90.0, 60.0, 900.0]);
    assert_relative("value", uncertain.activation_energy_kj_mol.value, 350.655_020_59, 1e-8);
    assert!(text(&uncertain, "implausible").is_none() && text(&uncertain, "not-determined").is_some());
    let sure = table(&celsius, &[10.0, 50.0, 180.0, 700.0]);
    assert!(text(&sure, "implausible").expect("a remark").contains("check the units"));
}

#[test]
fn copied_rows_are_named() {
    let found = table(&[60.0, 70.0, 80.0, 90.0, 70.0], &[2.965, 5.546, 10.09, 17.677, 5.546]);
    assert!(text(&found, "rows-copied").expect("a remark").contains("5 (2). Copies count twice"));
    assert!(text(&table(&[60.0, 70.0, 80.0, 70.0], &[2.965, 5.546, 10.09, 5.61]), "rows-copied").is_none());
}

/// Rows that were computed have no errors: what is left of them is rounding, and nothing is said of it.
#[test]
fn computed_rows_are_not_judged() {
    let k = CELSIUS.map(|celsius| (60e3 / 8.314_462_618 * (1.0 / 353.15 - 1.0 / (celsius + 273.15))).exp());
    let found = table(&CELSIUS, &k);
    assert!(found.outlying_rows.is_empty() && found.curvature_t.is_none());
}

/// ln A = ln k_ref + Ea/(R T_ref). By hand from Σ(x - mean)² and n: corr = -mean(x)/√mean(x²) of x = -1/(R T).
#[test]
fn the_correlation_of_ln_a_and_the_energy_is_that_of_the_line_in_one_over_t() {
    let k = [2.965, 4.007, 5.546, 7.368, 10.09, 13.248, 17.677, 22.764];
    let x = CELSIUS.map(|celsius| -1e3 / (8.314_462_618_153_24 * (celsius + 273.15)));
    let mean = |of: &dyn Fn(f64) -> f64| x.iter().map(|x| of(*x)).sum::<f64>() / 8.0;
    let by_hand = -mean(&|x| x) / mean(&|x| x * x).sqrt();
    for reference in [Reference::HarmonicMean, Reference::Kelvin(298.15)] {
        let kelvin = CELSIUS.map(|celsius| celsius + 273.15);
        let found = fit_arrhenius(&kelvin, &k, reference).expect("a fit");
        // Next to one: what is told is how far from it.
        assert_relative("1 - correlation", 1.0 - found.correlation_ln_a_ea, 1.0 - by_hand, 1e-6);
    }
}
