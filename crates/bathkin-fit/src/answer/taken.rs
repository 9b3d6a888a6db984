//! What a fit left out or took from the recipe, in words and codes.

use bathkin::recipe::Value;
use std::collections::HashSet;

use super::estimates::RecipeFit;
use crate::arrhenius::Message;
use crate::problem::case::Kind;
use crate::problem::{Column, Data};

pub(super) const TEMPERATURE: &str = "operation.temperature_c";

/// Rows of runs without a measured value, and settings taken from the recipe.
pub(super) fn left_out(made: &RecipeFit) -> Vec<Message> {
    let mut found = Vec::new();
    for (number, data) in made.data.iter().enumerate() {
        let Data::Runs(runs) = data else { continue };
        let measured: Vec<usize> =
            made.model.rows.iter().filter(|row| row.sheet == number).map(|row| row.place).collect();
        let named = |rows: &[usize]| listed(&rows.iter().map(|row| runs.rows[*row]).collect::<Vec<_>>());
        let known: HashSet<usize> = measured.iter().copied().collect();
        let unused: Vec<usize> = (0..runs.rows.len()).filter(|row| !known.contains(row)).collect();
        if !unused.is_empty() {
            let text = format!("row {}: nothing was measured, left out", named(&unused));
            found.push(Message { code: "left-out", text });
        }
        let settings = || made.settings.iter().filter(|(sheet, _)| *sheet == number);
        let entry = made.recipe.document().get(TEMPERATURE);
        if let Some(entry) = entry.filter(|_| settings().all(|(_, setting)| setting.path != TEMPERATURE)) {
            let text = format!(
                "{}: no column of temperatures, the recipe's {} degC was taken",
                runs.file, entry.value
            );
            found.push(Message { code: "recipe-value", text });
        }
        for (_, setting) in settings() {
            let empty: Vec<usize> =
                measured.iter().copied().filter(|row| runs.cell(&setting.column, *row).is_none()).collect();
            if empty.is_empty() {
                continue;
            }
            let value = made.recipe.document().get(&setting.path).map(|entry| entry.value.to_string());
            let value = value.unwrap_or_else(|| "default".to_owned());
            let text =
                format!("row {}: no {}, the recipe's {value} was taken", named(&empty), setting.column);
            found.push(Message { code: "recipe-value", text });
        }
    }
    found
}

/// Salts that a make-up does not have and rows were given, and rows whose pH the recipe's reagent cannot set.
pub(super) fn weighed_in(made: &RecipeFit) -> Vec<Message> {
    let mut found: Vec<Message> = Vec::new();
    for (_, setting) in &made.settings {
        let Some(salt) = &setting.salt else { continue };
        let text = format!(
            "{}: the make-up has no {}, it was taken as brought by {}; name another salt in the heading to change it",
            setting.column, salt.component, salt.title
        );
        found.push(Message { code: "salt", text });
    }
    let mut by: Vec<(&str, Vec<usize>)> = Vec::new();
    for row in &made.model.rows {
        let Kind::Coupon(coupon) = &made.model.cases[row.case].kind else { continue };
        let Some(reagent) = &coupon.ph_by else { continue };
        match by.iter_mut().find(|(known, _)| known == reagent) {
            Some((_, rows)) => rows.push(row.row),
            None => by.push((reagent, vec![row.row])),
        }
    }
    let own = match made.recipe.document().get("operation.ph_reagent").map(|entry| &entry.value) {
        Some(Value::Text(own)) => own.as_str(),
        _ => "no reagent",
    };
    found.extend(by.into_iter().map(|(reagent, rows)| Message {
        code: "ph-reagent",
        text: format!("row {}: pH set with {reagent}, for {own} moves it away", listed(&rows)),
    }));
    found
}

/// Values that are only known to be below a limit.
pub(super) fn below(made: &RecipeFit) -> Vec<Message> {
    let of = |(place, column): (usize, &Column)| {
        let of_column = || made.model.rows.iter().filter(|row| row.column == place);
        let rows: Vec<usize> = of_column().filter(|row| row.observed.below).map(|row| row.row).collect();
        let all = rows.len() == of_column().count();
        let believed =
            if all { ", with sigmas as stated: no value tells the size of its errors" } else { "" };
        let (rows, name) = (listed(&rows), &column.name);
        let text =
            format!("row {rows}: {name} counts as below its limit of detection, not as a value{believed}");
        (!rows.is_empty()).then_some(Message { code: "below-detection", text })
    };
    made.model.columns.iter().enumerate().filter_map(of).collect()
}

/// What a log does not tell, and what was taken in its place.
pub(super) fn taken_for_logs(made: &RecipeFit) -> Vec<Message> {
    let mut found = Vec::new();
    for case in &made.model.cases {
        let Kind::Log(log) = &case.kind else { continue };
        let told = if log.starts.is_empty() {
            "the bath starts as the recipe makes it up".to_owned()
        } else {
            format!(
                "of the start the first row tells {}; all else is the make-up's",
                log.start_columns().join(", ")
            )
        };
        found.push(Message { code: "log-start", text: format!("{}: {told}", case.place) });
        if !log.ph_is_logged {
            let held = if log.ph_is_pumped() { "held by the pump of the recipe" } else { "left alone" };
            let text = format!("{}: no column of what was added for the pH: it is {held}", case.place);
            found.push(Message { code: "log-ph", text });
        }
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
