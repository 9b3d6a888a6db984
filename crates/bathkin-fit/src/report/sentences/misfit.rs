//! Sentences on what of the data a model misses.

use crate::format::{number, probability};
use crate::report::thresholds::MISSES;

remarks! {
    /// What of the data the model misses, or may miss.
    Misfit;

    code("misfit", p_value), Trend { column: String, setting: String, t: f64, p_value: f64 } => missed(
        &column, p_value, &format!("its residuals rise or fall with {setting} (t = {}", number(t, 3))
    );

    code("misfit", p_value), Bend { column: String, setting: String, t: f64, p_value: f64 } => missed(
        &column, p_value, &format!("its residuals are bent over {setting} (t = {}", number(t, 3))
    );

    code("autocorrelated", p_value), Sequence { column: String, file: String, correlation: f64, p_value: f64 } => missed(
        &column,
        p_value,
        &format!(
            "rows of {file} that follow each other are off to the same side (correlation of their residuals {}",
            number(correlation, 2)
        )
    );

    if p_value < MISSES { "curved" } else { "may-be-curved" }, Curved { of: String, t: f64, p_value: f64 } => format!(
        "of {of}, a quadratic term in 1/T has t = {}, {}: {}",
        number(t, 3),
        probability(p_value),
        if p_value < MISSES {
            "not Arrhenius over this range"
        } else {
            "it may be curved; measure at more temperatures before you state an energy"
        }
    );

    code("lack-of-fit", p_value), LackOfFit { f_ratio: f64, p_value: f64 } => format!(
        "the model {} the runs by more than replicates differ (F = {}, {}): lack of fit",
        if p_value < MISSES { "misses" } else { "may miss" },
        number(f_ratio, 3),
        probability(p_value)
    );
}

fn code(sure: &'static str, p_value: f64) -> &'static str {
    if p_value < MISSES { sure } else { "may-miss" }
}

fn missed(column: &str, p_value: f64, what: &str) -> String {
    let chance = probability(p_value);
    if p_value < MISSES {
        return format!(
            "the model misses the data in {column}: {what}, {chance}); standard errors and intervals are too small"
        );
    }
    format!("the model may miss the data in {column}: {what}, {chance})")
}
