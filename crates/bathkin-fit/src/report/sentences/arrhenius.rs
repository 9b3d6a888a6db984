//! Sentences on an Arrhenius fit.

use super::ends;
use crate::format::{number, probability};
use crate::report::thresholds::PLAUSIBLE_KJ_MOL;

remarks! {
    /// What is to be said of an Arrhenius fit.
    OfArrhenius;

    "no-degrees-of-freedom", NoFreedom {} => "two rows, two parameters: values without uncertainty";

    "narrow-range", Narrow { span_k: f64 } =>
        format!("the rows span {span_k:.1} K: the activation energy is weakly determined");

    "not-determined", HoldsZero { activation_energy_kj_mol: f64, interval95: [f64; 2] } => format!(
        "the activation energy is not determined: {} kJ/mol, and its 95 % interval, {}, holds zero",
        number(activation_energy_kj_mol, 3),
        ends(interval95, 3)
    );

    "implausible", Implausible { activation_energy_kj_mol: f64 } => format!(
        "{activation_energy_kj_mol:.3} kJ/mol is outside {}-{}: check the units of both columns",
        PLAUSIBLE_KJ_MOL.0,
        PLAUSIBLE_KJ_MOL.1
    );

    "outlier", Outlier {
        row: usize, temperature_k: f64, k: f64, deviations: f64, side: &'static str, p_value: f64,
    } => format!(
        "row {row} ({temperature_k:.2} K, k = {}) lies {} standard deviations {side} the line of the others ({}): look \
         at it, and fit without",
        number(k, 4),
        number(deviations, 3),
        probability(p_value)
    );

    "rows-copied", Copied { rows: Vec<usize>, of: Vec<usize> } => {
        let pairs: Vec<String> = rows.iter().zip(&of).map(|(row, of)| format!("{row} ({of})")).collect();
        format!(
            "rows that repeat another one (in brackets): {}. Copies count twice, and errors come out too small: leave \
             them out",
            pairs.join(", ")
        )
    };

    "influential", Influential { rows: Vec<usize>, temperatures_k: Vec<f64>, cooks_distances: Vec<f64> } => {
        let each = rows.iter().zip(temperatures_k.iter().zip(&cooks_distances));
        let rows: Vec<String> = each
            .map(|(row, (kelvin, distance))| {
                format!("row {row} ({kelvin:.2} K, Cook's distance {})", number(*distance, 2))
            })
            .collect();
        format!("{} dominates the energy: check it, and fit without it", rows.join("; "))
    };

    "error-model", ErrorModel {
        activation_energy_kj_mol: f64, standard_error: f64, with_absolute_errors_kj_mol: f64,
        standard_error_with_absolute_errors: f64, aic_absolute_less_relative: Option<f64>,
    } => format!(
        "taken as relative; absolute errors would give {with_absolute_errors_kj_mol:.2} +- \
         {standard_error_with_absolute_errors:.2} kJ/mol instead of {activation_energy_kj_mol:.2} +- \
         {standard_error:.2}: {}",
        verdict(aic_absolute_less_relative)
    );

    "compensation", Compensation { correlation: f64 } => format!(
        "ln A and the energy have a correlation of {correlation:.5}: state k_ref; several baths fall on a line of ln A \
         against the energy by this alone"
    );
}

fn verdict(aic_absolute_less_relative: Option<f64>) -> String {
    // Akaike's criteria closer than this distinguish the two no better than a coin.
    const DECIDES: f64 = 2.0;
    match aic_absolute_less_relative {
        Some(difference) if difference > DECIDES => {
            format!("these rows scatter as relative errors do (AIC lower by {difference:.1})")
        }
        Some(difference) if difference < -DECIDES => {
            format!("these rows scatter as absolute errors do (AIC lower by {:.1})", -difference)
        }
        _ => "these rows do not decide it: decide by how they were measured".to_owned(),
    }
}
