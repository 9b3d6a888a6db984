//! Remarks on an Arrhenius fit.

use crate::arrhenius::direct::DirectFit;
use crate::arrhenius::estimate::{Estimate, HOLDS_ZERO, OutlyingRow};
use crate::report::sentences::arrhenius::OfArrhenius;
use crate::report::thresholds::PLAUSIBLE_KJ_MOL;
use bathkin::Remark;
use bathkin_statistics::influence::INFLUENTIAL;

/// Spans, and implausible values.
pub(crate) fn remarks(temperature_k: &[f64], energy: &Estimate, freedom: usize) -> Vec<Remark> {
    const NARROW_K: f64 = 15.0;
    let mut found = Vec::new();
    let mut say = |remark: OfArrhenius| found.push(remark.into());
    let coldest = temperature_k.iter().copied().fold(f64::INFINITY, f64::min);
    let hottest = temperature_k.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if freedom == 0 {
        say(OfArrhenius::NoFreedom {});
    }
    let span_k = hottest - coldest;
    if span_k < NARROW_K {
        say(OfArrhenius::Narrow { span_k });
    }
    let activation_energy_kj_mol = energy.value;
    let [low, high] = energy.interval95.unwrap_or([activation_energy_kj_mol; 2]);
    if energy.status == HOLDS_ZERO {
        say(OfArrhenius::HoldsZero { activation_energy_kj_mol, interval95: [low, high] });
    }
    if high < PLAUSIBLE_KJ_MOL.0 || low > PLAUSIBLE_KJ_MOL.1 {
        say(OfArrhenius::Implausible { activation_energy_kj_mol });
    }
    found
}

pub(crate) fn outlying(temperature_k: &[f64], k: &[f64], one: &OutlyingRow) -> Remark {
    OfArrhenius::Outlier {
        row: one.row,
        temperature_k: temperature_k[one.row - 1],
        k: k[one.row - 1],
        deviations: one.studentised_residual.abs(),
        side: if one.studentised_residual > 0.0 { "above" } else { "below" },
        p_value: one.p_value,
    }
    .into()
}

/// Rows that repeat another one in both numbers.
pub(crate) fn copied(temperature_k: &[f64], k: &[f64]) -> Option<Remark> {
    let same = |a: usize, b: usize| temperature_k[a] == temperature_k[b] && k[a] == k[b];
    let first = |row: usize| (0..row).find(|before| same(*before, row));
    let pairs = (0..k.len()).filter_map(|row| first(row).map(|before| (row + 1, before + 1)));
    let (rows, of): (Vec<usize>, Vec<usize>) = pairs.unzip();
    (!rows.is_empty()).then(|| OfArrhenius::Copied { rows, of }.into())
}

/// Influential rows, from Cook's distance of each.
pub(crate) fn influential(temperature_k: &[f64], distances: &[f64]) -> Option<Remark> {
    let far = distances.iter().copied().enumerate().filter(|(_, distance)| *distance > INFLUENTIAL);
    let (rows, cooks_distances): (Vec<usize>, Vec<f64>) =
        far.map(|(row, distance)| (row + 1, distance)).unzip();
    let temperatures_k = rows.iter().map(|row| temperature_k[row - 1]).collect();
    (!rows.is_empty()).then(|| OfArrhenius::Influential { rows, temperatures_k, cooks_distances }.into())
}

/// Whether errors of one size in k, instead of relative ones, would give another energy.
pub(crate) fn errors_matter(energy: f64, error: f64, direct: &DirectFit) -> Option<Remark> {
    // Rows that were computed have no errors to compare.
    const NONE: f64 = 1e-9;
    let other = direct.standard_error?;
    if error < NONE * energy.abs() {
        return None;
    }
    if (direct.activation_energy_kj_mol - energy).abs() <= error.min(other) {
        return None;
    }
    Some(
        OfArrhenius::ErrorModel {
            activation_energy_kj_mol: energy,
            standard_error: error,
            with_absolute_errors_kj_mol: direct.activation_energy_kj_mol,
            standard_error_with_absolute_errors: other,
            aic_absolute_less_relative: direct.aic_absolute_less_relative,
        }
        .into(),
    )
}

/// A correlated pair says nothing about a bath.
pub(crate) fn compensation(correlation: f64) -> Option<Remark> {
    const TOGETHER: f64 = 0.99;
    (correlation.abs() > TOGETHER).then(|| OfArrhenius::Compensation { correlation }.into())
}
