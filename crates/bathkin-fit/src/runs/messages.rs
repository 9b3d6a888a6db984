//! What runs cannot tell, in words and codes.

use bathkin::recipe::Value;

use super::estimates::RunFit;
use super::model::{ErrorModel, ParameterScale};
use super::table::Runs;
use crate::arrhenius::Message;
use crate::fit::{Determination, Fit};

/// Settings whose span decides whether a kind of number can be determined: (path, unit, last word of the
/// number, what it is called, span below which it is not determined, span below which it is weakly).
const SPANS: [(&str, &str, &str, &str, f64, f64); 2] = [
    ("operation.temperature_c", "degC", "activation_energy_kj_mol", "activation energy", 5.0, 15.0),
    ("operation.ph", "pH", "ph_order", "pH order", 0.1, 0.3),
];

pub(super) fn messages(made: &RunFit, runs: &Runs, other_errors: Option<&Fit>) -> Vec<Message> {
    let mut found = left_out(made, runs);
    found.extend(spans(made, runs));
    found.extend(not_varied(made));
    found.extend(open(made));
    found.extend(correlated(made));
    found.extend(out_of_range(made));
    found.extend(errors_matter(made, other_errors));
    if let Some(test) = made.lack_of_fit.filter(|test| test.p_value < 0.05) {
        let text = format!(
            "the model misses the runs by more than replicates differ (F = {:.1}, p = {:.2e}): lack of fit",
            test.f_ratio, test.p_value
        );
        found.push(Message { code: "lack-of-fit", text });
    }
    found
}

/// Numbers of rows as a text, the first few.
fn listed(rows: &[usize]) -> String {
    const SHOWN: usize = 8;
    let shown: Vec<String> = rows.iter().take(SHOWN).map(usize::to_string).collect();
    let more = rows.len().saturating_sub(SHOWN);
    let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
    format!("{}{rest}", shown.join(", "))
}

/// Rows without a measured value, and settings taken from the recipe.
fn left_out(made: &RunFit, runs: &Runs) -> Vec<Message> {
    let measured: Vec<usize> = made.model.measured.iter().map(|run| run.run).collect();
    let mut found = Vec::new();
    let unused: Vec<usize> =
        (0..runs.rows.len()).filter(|run| !measured.contains(run)).map(|run| runs.rows[run]).collect();
    if !unused.is_empty() {
        let text = format!("row {}: nothing was measured, left out", listed(&unused));
        found.push(Message { code: "left-out", text });
    }
    for setting in &made.model.settings {
        let empty: Vec<usize> = measured
            .iter()
            .filter(|run| runs.cell(&setting.column, **run).is_none())
            .map(|run| runs.rows[*run])
            .collect();
        if empty.is_empty() {
            continue;
        }
        let value = made.recipe.document().get(&setting.path).map(|entry| entry.value.to_string());
        let value = value.unwrap_or_else(|| "default".to_owned());
        let text = format!("row {}: no {}, the recipe's {value} was taken", listed(&empty), setting.column);
        found.push(Message { code: "recipe-value", text });
    }
    found
}

fn spans(made: &RunFit, runs: &Runs) -> Vec<Message> {
    let mut found = Vec::new();
    for (path, unit, last, called, least, enough) in SPANS {
        let free = made.estimates.iter().find(|estimate| estimate.path.rsplit('.').next() == Some(last));
        let Some(estimate) = free else { continue };
        let setting = made.model.settings.iter().find(|setting| setting.path == path);
        let of_recipe = match made.recipe.document().get(path).map(|entry| &entry.value) {
            Some(Value::Number(number)) => *number,
            _ => f64::NAN,
        };
        let value = |run: usize| setting.and_then(|s| runs.cell(&s.column, run)).unwrap_or(of_recipe);
        let values = made.model.measured.iter().map(|run| value(run.run));
        let (low, high) = values
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)));
        let span = (high - low).max(0.0);
        let width = match estimate.interval95 {
            Some([low, high]) => format!(" (95 %: {low:.4} to {high:.4})"),
            None => String::new(),
        };
        let decimals = if span < 1.0 { 2 } else { 0 };
        if span < least {
            let text = format!("runs span {span:.decimals$} {unit}: {called} not determined{width}");
            found.push(Message { code: "narrow-range", text });
        } else if span < enough {
            let text = format!("runs span {span:.decimals$} {unit}: {called} weakly determined{width}");
            found.push(Message { code: "narrow-range", text });
        }
    }
    found
}

/// Orders of what all fresh baths hold alike: only depletion, if anything, tells them.
fn not_varied(made: &RunFit) -> Vec<Message> {
    const ALIKE: f64 = 1.05;
    let mut found = Vec::new();
    for estimate in &made.estimates {
        let Some((_, component)) = estimate.path.split_once(".order.") else { continue };
        let Some((low, high)) = made.model.span_of(component).filter(|(low, high)| *high <= ALIKE * low)
        else {
            continue;
        };
        let text = format!(
            "runs hold {low:.4} to {high:.4} mol/L {component}: {} not determined, its value and interval rest on what \
             the coupons take out",
            estimate.path
        );
        found.push(Message { code: "not-varied", text });
    }
    found
}

/// Numbers without an uncertainty, with the reason.
fn open(made: &RunFit) -> Vec<Message> {
    let mut found = Vec::new();
    let with = |why: Determination| -> Vec<&str> {
        let of = made.fit.parameters.iter().filter(|parameter| parameter.determination == why);
        of.map(|parameter| parameter.name.as_str()).collect()
    };
    let mut say = |code, text| found.push(Message { code, text });
    if made.fit.degrees_of_freedom == 0 {
        say("no-degrees-of-freedom", "as many free numbers as runs: values without uncertainty".to_owned());
    }
    for path in with(Determination::NoInfluence) {
        say(
            "no-influence",
            format!("{path} changes none of these runs: not determined, left at the recipe's"),
        );
    }
    for path in with(Determination::AtBound) {
        say(
            "at-bound",
            format!(
                "{path} lies on its bound, or on the last value that the recipe takes: the others are stated with it held there"
            ),
        );
    }
    for combination in &made.fit.undetermined {
        let first = combination.change.first().map_or(1.0, |(_, change)| *change);
        let part = |(path, change): &(String, f64)| {
            let place = made.fit.parameters.iter().position(|parameter| &parameter.name == path);
            let by = change / first;
            match place.map(|place| made.model.scales()[place]) {
                Some(ParameterScale::Log) => format!("ln {path} by {by:.3}"),
                _ => format!("{path} by {by:.3}"),
            }
        };
        let parts: Vec<String> = combination.change.iter().map(part).collect();
        let text =
            format!("only a combination is determined: changing {} changes no run", parts.join(" and "));
        say("undetermined", text);
    }
    found
}

fn correlated(made: &RunFit) -> Vec<Message> {
    const CLOSE: f64 = 0.99;
    let mut found = Vec::new();
    for b in 0..made.estimates.len() {
        for a in 0..b {
            let Some(value) = made.fit.correlation(a, b).filter(|value| value.abs() > CLOSE) else {
                continue;
            };
            let text = format!(
                "{} and {} have a correlation of {value:.4}: use them together, never one alone",
                made.estimates[a].path, made.estimates[b].path
            );
            found.push(Message { code: "correlated", text });
        }
    }
    found
}

/// Values outside what the recipe's author vouches for, and energies that no bath has.
fn out_of_range(made: &RunFit) -> Vec<Message> {
    // Beyond this a slip in a unit is likelier than a bath so unlike its recipe.
    const FAR: f64 = 5.0;
    let mut found = Vec::new();
    for estimate in &made.estimates {
        let times = estimate.value / estimate.start;
        if estimate.scale == ParameterScale::Log && !(1.0 / FAR..=FAR).contains(&times) {
            let text = format!(
                "{} is {times:.2e} times the recipe's: check the units of mass, area, time and rate",
                estimate.path
            );
            found.push(Message { code: "far-from-recipe", text });
        }
        let range = made.recipe.document().get(&estimate.path).and_then(|entry| entry.range);
        if let Some((low, high)) = range.filter(|(low, high)| !(*low..=*high).contains(&estimate.value)) {
            let text =
                format!("{} = {:.4e} is outside the recipe's {low} to {high}", estimate.path, estimate.value);
            found.push(Message { code: "outside-range", text });
        }
        let energy = estimate.path.ends_with("activation_energy_kj_mol");
        if energy && !(5.0..=300.0).contains(&estimate.value) {
            let text = format!(
                "{} = {:.3} kJ/mol is outside 5-300: check the units of the columns",
                estimate.path, estimate.value
            );
            found.push(Message { code: "implausible", text });
        }
    }
    found
}

/// Whether relative and absolute errors give different answers.
fn errors_matter(made: &RunFit, other: Option<&Fit>) -> Option<Message> {
    let other = other?;
    let mut parts = Vec::new();
    for (place, estimate) in made.estimates.iter().enumerate() {
        let parameter = &made.fit.parameters[place];
        let apart = (other.values()[place] - parameter.value).abs();
        let Some(error) = parameter.standard_error.filter(|_| made.is_determined(place)) else { continue };
        if apart > error {
            let value = estimate.scale.outside(other.values()[place]);
            parts.push(format!("{} = {value:.5e} instead of {:.5e}", estimate.path, estimate.value));
        }
    }
    if parts.is_empty() {
        return None;
    }
    let (mine, theirs) = match made.model.error_model() {
        ErrorModel::Absolute { .. } => ("absolute", "relative"),
        _ => ("relative", "absolute"),
    };
    let text = format!(
        "taken as {mine}; {theirs} errors would give {}: decide by how the runs were measured",
        parts.join(", ")
    );
    Some(Message { code: "error-model", text })
}
