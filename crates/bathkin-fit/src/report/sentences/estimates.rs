//! Sentences on what the data do not determine.

use super::ends;
use crate::format::number;
use crate::report::thresholds::PLAUSIBLE_KJ_MOL;

remarks! {
    /// What the data do not determine.
    OfEstimates;

    "prior", Prior { path: String, mean: f64, standard_deviation: f64, weight: f64 } => format!(
        "{path} is {:.0} % prior ({} +- {})",
        100.0 * weight,
        number(mean, 4),
        number(standard_deviation, 2)
    );

    "prior-at-odds", PriorAtOdds { path: String, mean: f64, deviations: f64 } => format!(
        "data and prior of {path}, mean {}, are {} standard deviations apart: they are at odds",
        number(mean, 4),
        number(deviations, 2)
    );

    "narrow-range", Narrow {
        label: Option<String>, span: f64, unit: &'static str, number: &'static str, how: &'static str,
        interval95: Option<[f64; 2]>,
    } => {
        let label = label.as_ref().map_or(String::new(), |label| format!(" of {label}"));
        let decimals = if span < 1.0 { 2 } else { 0 };
        let width = interval95.map_or(String::new(), |interval| format!(" (95 %: {})", ends(interval, 4)));
        format!("runs{label} span {span:.decimals$} {unit}: {number} {how} determined{width}")
    };

    "not-varied", NotVaried { path: String, component: String, low_mol_l: f64, high_mol_l: f64, has_interval: bool } =>
        format!(
            "runs hold {low_mol_l:.4} to {high_mol_l:.4} mol/L {component}: {path} not determined{}",
            if has_interval { ", its value and interval rest on what the coupons take out" } else { "" }
        );

    "not-determined", HoldsZero { path: String, value: f64, interval95: [f64; 2] } => format!(
        "{path} = {} (95 %: {}) is not determined: its interval holds zero, so it may not matter at all",
        number(value, 4),
        ends(interval95, 3)
    );

    "weakly-determined", Weak { path: String, value: f64, interval95: [f64; 2] } => format!(
        "{path} = {} (95 %: {}) is weakly determined: make runs that it changes", number(value, 4), ends(interval95, 3)
    );

    "no-degrees-of-freedom", NoFreedom {} =>
        "as many free numbers as measured values: values without uncertainty";

    "on-ridge", Ridge {} =>
        "the search was lost on a ridge, along which these data hardly change: what lies along it is not determined and \
         stays near the recipe's; hold one of these numbers, or give it a prior";

    "no-influence", NoInfluence { path: String, stayed: bool } => if stayed {
        format!("{path} changes none of these runs: not determined, left at the recipe's")
    } else {
        format!("{path} went to where it changes no run any more: the data only limit it, see its profile")
    };

    "at-bound", AtBound { path: String } => format!(
        "{path} lies on its bound, or on the last value that the recipe takes: the others are stated with it held there"
    );

    "undetermined", Combination { changes: Vec<String> } => format!(
        "only a combination is determined: changing {} changes no run", changes.join(" and ")
    );

    "undetermined", Determined { combinations: Vec<String> } => format!(
        "of these only {} {} determined",
        combinations.join(" and "),
        if combinations.len() == 1 { "is" } else { "are" }
    );

    "correlated", Correlated { first: String, second: String, correlation: f64 } => format!(
        "{first} and {second} have a correlation of {correlation:.4}: use them together, never one alone"
    );

    "far-from-recipe", Far { path: String, times: f64 } => format!(
        "{path} is {} times the recipe's: check the units of mass, area, time and rate", number(times, 3)
    );

    "outside-range", Outside { path: String, value: f64, low: f64, high: f64 } =>
        format!("{path} = {} is outside the recipe's {low} to {high}", number(value, 4));

    "implausible", Implausible { path: String, value: f64 } => format!(
        "{path} = {value:.3} kJ/mol is outside {}-{}: check the units of the columns",
        PLAUSIBLE_KJ_MOL.0,
        PLAUSIBLE_KJ_MOL.1
    );

    "error-model", ErrorModel {
        own: &'static str, other: &'static str, paths: Vec<String>, values: Vec<f64>, others: Vec<f64>,
    } => {
        let each = paths.iter().zip(values.iter().zip(&others));
        let parts: Vec<String> = each
            .map(|(path, (value, other))| format!("{path} = {} instead of {}", number(*other, 4), number(*value, 4)))
            .collect();
        format!("taken as {own}; {other} errors would give {}: decide by how the runs were measured", parts.join(", "))
    };
}
