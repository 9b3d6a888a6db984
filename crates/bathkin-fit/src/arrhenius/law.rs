//! The law from a table, with its uncertainty.

use bathkin::constants::GAS_CONSTANT_J_MOL_K;
use bathkin_numerics::least_squares::linear_fit;
use schemars::JsonSchema;
use serde::Serialize;

use crate::arrhenius::direct::{DirectFit, fit_direct};
use crate::arrhenius::estimate::{Estimate, HOLDS_ZERO, OutlyingRow};
use crate::arrhenius::remarks::{compensation, copied, errors_matter, influential, outlying, remarks};
use crate::report::sentences::misfit::Misfit;
use crate::report::thresholds::{MAY_MISS, OUTLYING};
use bathkin::Remark;
use bathkin_statistics::error::FitError;
use bathkin_statistics::fit::interval;
use bathkin_statistics::influence::cooks_distance;
use bathkin_statistics::linear_model::{Examined, LinearModel, Term, Test};
use bathkin_statistics::quantiles::two_sided;

/// Temperature a rate is stated at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reference {
    /// Harmonic mean of the data's temperatures.
    HarmonicMean,
    /// A temperature in kelvin.
    Kelvin(f64),
}

/// What a table says about an Arrhenius law.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct ArrheniusFit {
    /// Ea, kJ/mol.
    pub activation_energy_kj_mol: Estimate,
    /// ln k at the reference temperature, k in the unit of the data.
    pub ln_k_ref: Estimate,
    /// k at the reference temperature, in the unit of the data; the interval is that of ln k.
    pub k_ref: Estimate,
    /// Reference temperature, K.
    pub reference_temperature_k: f64,
    /// ln A, the intercept at infinite temperature.
    pub ln_a: Estimate,
    /// Correlation of ln A and Ea: next to one, so state k_ref, not A.
    pub correlation_ln_a_ea: f64,
    /// Covariance of (ln k_ref, Ea in kJ/mol), row by row; `None` without a degree of freedom.
    pub covariance: Option<[[f64; 2]; 2]>,
    /// Rows less parameters.
    pub degrees_of_freedom: usize,
    /// Root mean square of the residuals of ln k over the degrees of freedom.
    pub residual_sd_ln_k: Option<f64>,
    /// t value of a quadratic term in 1/T, without outlying rows; `None` with too few rows, or computed ones.
    pub curvature_t: Option<f64>,
    /// Its two-sided probability were the law a line: below 0.001 it is not, over this range.
    pub curvature_p: Option<f64>,
    /// Rows that lie off what the others say.
    pub outlying_rows: Vec<OutlyingRow>,
    /// The fit in k itself, with errors of one size in its unit.
    pub direct: Option<DirectFit>,
    /// What limits its use.
    pub remarks: Vec<Remark>,
}

/// Ea in kJ/mol from the slope of ln k against 1/T, in kelvin: -R slope.
///
/// ```
/// assert!((bathkin_fit::activation_energy_kj_mol(-8270.0) - 68.7606).abs() < 1e-4);
/// ```
pub fn activation_energy_kj_mol(slope_k: f64) -> f64 {
    -GAS_CONSTANT_J_MOL_K * slope_k / 1e3
}

/// Fits ln k against 1/T.
///
/// `temperature_k` in kelvin and `k` in any unit, one row each, in any order.
///
/// # Errors
/// [`FitError`] naming the row: unequal lengths, temperatures that are no kelvin of a bath, rates
/// that are not positive, fewer than two temperatures.
pub fn fit_arrhenius(
    temperature_k: &[f64],
    k: &[f64],
    reference: Reference,
) -> Result<ArrheniusFit, FitError> {
    check(temperature_k, k)?;
    let rows = k.len();
    let inverse: Vec<f64> = temperature_k.iter().map(|t| 1.0 / t).collect();
    let ln_k: Vec<f64> = k.iter().map(|k| k.ln()).collect();
    let reference_temperature_k = match reference {
        Reference::HarmonicMean => rows as f64 / inverse.iter().sum::<f64>(),
        Reference::Kelvin(kelvin) if kelvin.is_finite() && kelvin >= COLDEST_K => kelvin,
        Reference::Kelvin(value) => {
            let (name, expected) = ("reference_temperature_k", "kelvin, 150 or more: is it in degC?");
            return Err(FitError::Argument { name, value, expected });
        }
    };
    // Columns: one, and 1/T about the reference in units that make Ea come out in kJ/mol.
    let per_kj = 1e3 / GAS_CONSTANT_J_MOL_K;
    let x: Vec<f64> = inverse.iter().map(|i| -(i - 1.0 / reference_temperature_k) * per_kj).collect();
    let line = linear_fit(&[vec![1.0; rows], x.clone()], &ln_k).ok_or(FitError::Count {
        of: "temperatures apart from each other",
        given: 1,
        least: 2,
        most: None,
    })?;
    let (ln_k_ref, energy) = (line.values[0], line.values[1]);
    let freedom = rows - 2;

    // ln A = ln k_ref + Ea/(R T_ref).
    let lever = per_kj / reference_temperature_k;
    let c = &line.inverse;
    let unscaled_ln_a = c[(0, 0)] + 2.0 * lever * c[(0, 1)] + lever * lever * c[(1, 1)];
    let correlation_ln_a_ea = (c[(0, 1)] + lever * c[(1, 1)]) / (unscaled_ln_a * c[(1, 1)]).sqrt();
    let variance = (freedom > 0).then(|| line.sum_of_squares / freedom as f64);
    let estimate =
        |path, value: f64, unscaled: f64| estimate(path, value, variance.map(|v| v * unscaled), freedom);
    let off: Vec<f64> = x.iter().zip(&ln_k).map(|(x, ln_k)| ln_k - ln_k_ref - energy * x).collect();
    let scatter = variance.filter(|variance| variance.sqrt() > COMPUTED);
    let examined = scatter.map(|_| examine(&x, &off));
    let curvature = examined.as_ref().and_then(|examined| examined.terms[0]);
    let outliers = examined.into_iter().flat_map(|examined| examined.outliers);
    let outlying_rows: Vec<OutlyingRow> = outliers
        .map(|one| OutlyingRow { row: one.row + 1, studentised_residual: one.t, p_value: one.p_value })
        .collect();
    let of_energy = energy_of(estimate("activation_energy_kj_mol", energy, c[(1, 1)]));
    let of_logarithm = estimate("ln_k_ref", ln_k_ref, c[(0, 0)]);
    let direct = fit_direct(&x, &ln_k, (ln_k_ref, energy), line.sum_of_squares, lever);
    let mut remarks = remarks(temperature_k, &of_energy, freedom);
    remarks.extend(copied(temperature_k, k));
    remarks.extend(outlying_rows.iter().map(|row| outlying(temperature_k, k, row)));
    let leverage = |x: f64| c[(0, 0)] + x * (2.0 * c[(0, 1)] + x * c[(1, 1)]);
    remarks.extend(scatter.and_then(|variance| {
        let distance = |(off, x): (&f64, &f64)| cooks_distance(*off, leverage(*x), 2.0, variance);
        influential(temperature_k, &off.iter().zip(&x).map(distance).collect::<Vec<_>>())
    }));
    let bent = curvature.filter(|test| test.p_value < MAY_MISS);
    remarks.extend(bent.map(|Test { t, p_value, .. }| {
        Remark::from(Misfit::Curved { of: "the rows".to_owned(), t, p_value })
    }));
    let error = variance.map(|v| (v * c[(1, 1)]).sqrt());
    remarks
        .extend(direct.as_ref().zip(error).and_then(|(direct, error)| errors_matter(energy, error, direct)));
    remarks.extend(compensation(correlation_ln_a_ea));
    Ok(ArrheniusFit {
        activation_energy_kj_mol: of_energy,
        k_ref: exponential("k_ref", &of_logarithm),
        ln_k_ref: of_logarithm,
        reference_temperature_k,
        ln_a: estimate("ln_a", ln_k_ref + lever * energy, unscaled_ln_a),
        correlation_ln_a_ea,
        covariance: variance.map(|v| [[v * c[(0, 0)], v * c[(0, 1)]], [v * c[(1, 0)], v * c[(1, 1)]]]),
        degrees_of_freedom: freedom,
        residual_sd_ln_k: variance.map(f64::sqrt),
        curvature_t: curvature.map(|test| test.t),
        curvature_p: curvature.map(|test| test.p_value),
        outlying_rows,
        direct,
        remarks,
    })
}

/// Colder than any aqueous bath: a temperature in degC.
const COLDEST_K: f64 = 150.0;

fn check(temperature_k: &[f64], k: &[f64]) -> Result<(), FitError> {
    if temperature_k.len() != k.len() {
        return Err(FitError::Length {
            first: "temperature_k",
            first_rows: temperature_k.len(),
            second: "k",
            second_rows: k.len(),
        });
    }
    for (row, (temperature, rate)) in temperature_k.iter().zip(k).enumerate() {
        let bad = |column, value, expected| Err(FitError::Value { row: row + 1, column, value, expected });
        if !temperature.is_finite() {
            return bad(
                "temperature_k",
                *temperature,
                "a finite number in every row: leave out rows without one",
            );
        }
        if *temperature < COLDEST_K {
            return bad("temperature_k", *temperature, "kelvin, 150 or more: is the column in degC?");
        }
        if !rate.is_finite() {
            return bad("k", *rate, "a finite number in every row: leave out rows without one");
        }
        if *rate <= 0.0 {
            return bad("k", *rate, "a number above zero");
        }
    }
    let mut distinct = temperature_k.to_vec();
    distinct.sort_by(f64::total_cmp);
    distinct.dedup();
    if distinct.len() < 2 {
        let (of, given) = ("different temperatures", distinct.len());
        return Err(FitError::Count { of, given, least: 2, most: None });
    }
    Ok(())
}

/// Residuals of ln k smaller than this are rounding: the rows were computed.
const COMPUTED: f64 = 1e-11;

/// Outlying rows, and a quadratic term without them.
fn examine(x: &[f64], off: &[f64]) -> Examined {
    let middle = x.iter().sum::<f64>() / x.len() as f64;
    let curvature = Term { values: x.iter().map(|x| (x - middle).powi(2)).collect(), group: 0 };
    LinearModel::of(&[vec![1.0; x.len()], x.to_vec()], off).examine(&[curvature], OUTLYING)
}

/// An activation energy whose interval holds zero does not say that heat matters at all.
fn energy_of(estimate: Estimate) -> Estimate {
    let open = estimate.interval95.is_some_and(|[low, high]| low <= 0.0 && 0.0 <= high);
    Estimate { status: if open { HOLDS_ZERO } else { estimate.status }, ..estimate }
}

fn estimate(path: &'static str, value: f64, variance: Option<f64>, freedom: usize) -> Estimate {
    let standard_error = variance.map(f64::sqrt);
    Estimate {
        path,
        value,
        standard_error,
        interval95: interval(value, standard_error, two_sided(0.95, Some(freedom))),
        status: if variance.is_some() { "ok" } else { "no uncertainty: 0 degrees of freedom" },
    }
}

/// The exponential of an estimate: interval mapped end by end, standard error to first order.
fn exponential(path: &'static str, ln: &Estimate) -> Estimate {
    let value = ln.value.exp();
    Estimate {
        path,
        value,
        standard_error: ln.standard_error.map(|se| value * se),
        interval95: ln.interval95.map(|ends| ends.map(f64::exp)),
        status: ln.status,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_rows_have_values_and_no_uncertainty() {
        let fit = fit_arrhenius(&[350.0, 380.0], &[17.0, 48.0], Reference::HarmonicMean).unwrap();
        assert_eq!(fit.activation_energy_kj_mol.standard_error, None);
        assert_eq!(fit.activation_energy_kj_mol.interval95, None);
        assert!(fit.activation_energy_kj_mol.status.contains("0 degrees of freedom"));
        // Slope by hand: ln(48/17)/(1/350 - 1/380) R.
        let by_hand = (48.0_f64 / 17.0).ln() / (1.0 / 350.0 - 1.0 / 380.0) * GAS_CONSTANT_J_MOL_K / 1e3;
        assert!((fit.activation_energy_kj_mol.value - by_hand).abs() < 1e-9);
    }

    #[test]
    fn celsius_columns_and_bad_rates_are_named_by_row() {
        let error = fit_arrhenius(&[350.0, 88.0], &[1.0, 2.0], Reference::HarmonicMean).unwrap_err();
        assert!(error.to_string().contains("row 2") && error.to_string().contains("degC"), "{error}");
        let error = fit_arrhenius(&[350.0, 360.0], &[1.0, -2.0], Reference::HarmonicMean).unwrap_err();
        assert!(error.to_string().contains("row 2, k = -2"), "{error}");
        assert!(fit_arrhenius(&[350.0, 350.0], &[1.0, 2.0], Reference::HarmonicMean).is_err());
    }

    #[test]
    fn the_unit_of_k_does_not_change_the_energy() {
        let t = [313.0, 319.0, 323.0, 328.0, 333.0];
        let k = [0.00043, 0.00103, 0.0018, 0.00355, 0.00717];
        let per_hour = k.map(|k| k * 3600.0);
        let a = fit_arrhenius(&t, &k, Reference::HarmonicMean).unwrap();
        let b = fit_arrhenius(&t, &per_hour, Reference::HarmonicMean).unwrap();
        assert!((a.activation_energy_kj_mol.value / b.activation_energy_kj_mol.value - 1.0).abs() < 1e-12);
        assert!((b.ln_a.value - a.ln_a.value - 3600.0_f64.ln()).abs() < 1e-10);
    }
}
