//! What to think of when using an Arrhenius fit, in words and codes.

use crate::arrhenius::direct::DirectFit;
use crate::arrhenius::estimate::{Estimate, HOLDS_ZERO, OutlyingRow};
use crate::format::{number, probability};
use crate::report::remark::Remark;
use crate::report::thresholds::PLAUSIBLE_KJ_MOL;
use bathkin_statistics::influence::INFLUENTIAL;

/// Spans, and implausible values.
pub(crate) fn remarks(temperature_k: &[f64], energy: &Estimate, freedom: usize) -> Vec<Remark> {
    const NARROW_K: f64 = 15.0;
    let mut found = Vec::new();
    let mut say = |code, text: String| found.push(Remark { code, text });
    let coldest = temperature_k.iter().copied().fold(f64::INFINITY, f64::min);
    let hottest = temperature_k.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if freedom == 0 {
        say("no-degrees-of-freedom", "two rows, two parameters: values without uncertainty".to_owned());
    }
    if hottest - coldest < NARROW_K {
        let span = hottest - coldest;
        say("narrow-range", format!("the rows span {span:.1} K: the activation energy is weakly determined"));
    }
    let [low, high] = energy.interval95.unwrap_or([energy.value; 2]);
    if energy.status == HOLDS_ZERO {
        let text = format!(
            "the activation energy is not determined: {} kJ/mol, and its 95 % interval, {} to {}, holds zero",
            number(energy.value, 3),
            number(low, 3),
            number(high, 3)
        );
        say("not-determined", text);
    }
    if high < PLAUSIBLE_KJ_MOL.0 || low > PLAUSIBLE_KJ_MOL.1 {
        let (least, most) = PLAUSIBLE_KJ_MOL;
        let text =
            format!("{:.3} kJ/mol is outside {least}-{most}: check the units of both columns", energy.value);
        say("implausible", text);
    }
    found
}

pub(crate) fn outlying(temperature_k: &[f64], k: &[f64], one: &OutlyingRow) -> Remark {
    let side = if one.studentised_residual > 0.0 { "above" } else { "below" };
    let text = format!(
        "row {} ({:.2} K, k = {}) lies {} standard deviations {side} the line of the others ({}): look at it, and fit \
         without",
        one.row,
        temperature_k[one.row - 1],
        number(k[one.row - 1], 4),
        number(one.studentised_residual.abs(), 3),
        probability(one.p_value)
    );
    Remark { code: "outlier", text }
}

/// Rows that repeat another one in both numbers.
pub(crate) fn copied(temperature_k: &[f64], k: &[f64]) -> Option<Remark> {
    let same = |a: usize, b: usize| temperature_k[a] == temperature_k[b] && k[a] == k[b];
    let first = |row: usize| (0..row).find(|before| same(*before, row));
    let pairs =
        (0..k.len()).filter_map(|row| first(row).map(|before| format!("{} ({})", row + 1, before + 1)));
    let rows: Vec<String> = pairs.collect();
    let text = format!(
        "rows that repeat another one (in brackets): {}. Copies count twice, and errors come out too small: leave them \
         out",
        rows.join(", ")
    );
    (!rows.is_empty()).then_some(Remark { code: "rows-copied", text })
}

/// Influential rows, from Cook's distance of each.
pub(crate) fn influential(temperature_k: &[f64], distances: &[f64]) -> Option<Remark> {
    let far = distances.iter().enumerate().filter(|(_, distance)| **distance > INFLUENTIAL);
    let rows: Vec<String> = far
        .map(|(row, distance)| {
            format!("row {} ({:.2} K, Cook's distance {})", row + 1, temperature_k[row], number(*distance, 2))
        })
        .collect();
    let text = format!("{} dominates the energy: check it, and fit without it", rows.join("; "));
    (!rows.is_empty()).then_some(Remark { code: "influential", text })
}

/// Whether errors of one size in k, instead of relative ones, would give another energy.
pub(crate) fn errors_matter(energy: f64, error: f64, direct: &DirectFit) -> Option<Remark> {
    // Akaike's criteria closer than this distinguish the two no better than a coin.
    const TOLD: f64 = 2.0;
    // Rows that were computed have no errors to compare.
    const NONE: f64 = 1e-9;
    let other = direct.standard_error?;
    if error < NONE * energy.abs() {
        return None;
    }
    if (direct.activation_energy_kj_mol - energy).abs() <= error.min(other) {
        return None;
    }
    let verdict = match direct.aic_absolute_less_relative {
        Some(difference) if difference > TOLD => {
            format!("these rows scatter as relative errors do (AIC lower by {difference:.1})")
        }
        Some(difference) if difference < -TOLD => {
            format!("these rows scatter as absolute errors do (AIC lower by {:.1})", -difference)
        }
        _ => "these rows do not decide it: decide by how they were measured".to_owned(),
    };
    let text = format!(
        "taken as relative; absolute errors would give {:.2} +- {other:.2} kJ/mol instead of {energy:.2} +- {error:.2}: {verdict}",
        direct.activation_energy_kj_mol
    );
    Some(Remark { code: "error-model", text })
}

/// A correlated pair says nothing about a bath.
pub(crate) fn compensation(correlation: f64) -> Option<Remark> {
    const TOGETHER: f64 = 0.99;
    (correlation.abs() > TOGETHER).then(|| Remark {
        code: "compensation",
        text: format!(
            "ln A and the energy have a correlation of {correlation:.5}: state k_ref; several baths fall on a line of ln A \
             against the energy by this alone"
        ),
    })
}
