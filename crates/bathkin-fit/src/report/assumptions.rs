//! What a fit left out or took from the recipe, in words and codes.

use std::collections::HashSet;

use bathkin::document::Value;
use bathkin::tank::Level;

use crate::data::cases::Kind;
use crate::data::logs::WorkSource;
use crate::data::rows::Column;
use crate::data::sheet::Data;
use crate::estimate::starts::StartsTried;
use crate::format::number;
use crate::report::remark::Remark;
use crate::result::solution::Solution;

pub(crate) const TEMPERATURE: &str = "operation.temperature_c";

/// Rows of runs without a measured value, and the temperature where no column has one.
pub(crate) fn left_out(made: &Solution) -> Vec<Remark> {
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
            found.push(Remark { code: "left-out", text });
        }
        let mut settings = made.model.settings.iter().filter(|(sheet, _)| *sheet == number);
        let entry = made.recipe.document().get(TEMPERATURE);
        if let Some(entry) = entry.filter(|_| settings.all(|(_, setting)| setting.path != TEMPERATURE)) {
            let text = format!(
                "{}: no column of temperatures, the recipe's {} degC was taken",
                runs.file, entry.value
            );
            found.push(Remark { code: "recipe-value", text });
        }
    }
    found
}

/// Salts that a make-up does not have and rows were given, and rows whose pH the recipe's reagent cannot set.
pub(crate) fn weighed_in(made: &Solution) -> Vec<Remark> {
    let mut found: Vec<Remark> = Vec::new();
    for (_, setting) in &made.model.settings {
        let Some(salt) = &setting.salt else { continue };
        let text = format!(
            "{}: the make-up has no {}, it was taken as brought by {}; name another salt in the heading to change it",
            setting.column, salt.component, salt.title
        );
        found.push(Remark { code: "salt", text });
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
    found.extend(by.into_iter().map(|(reagent, rows)| Remark {
        code: "ph-reagent",
        text: format!("row {}: pH set with {reagent}, for {own} does not approach it", listed(&rows)),
    }));
    found
}

/// Values that are only known to be below a limit.
pub(crate) fn below(made: &Solution) -> Vec<Remark> {
    let of = |(place, column): (usize, &Column)| {
        let of_column = || made.model.rows.iter().filter(|row| row.column == place);
        let rows: Vec<usize> = of_column().filter(|row| row.observed.below).map(|row| row.row).collect();
        let all = rows.len() == of_column().count();
        let stated =
            if all { ", with sigmas as stated: no value estimates the size of its errors" } else { "" };
        let (rows, name) = (listed(&rows), &column.name);
        let text =
            format!("row {rows}: {name} counts as below its limit of detection, not as a value{stated}");
        (!rows.is_empty()).then_some(Remark { code: "below-detection", text })
    };
    made.model.columns.iter().enumerate().filter_map(of).collect()
}

/// What a log does not say, and what was assumed in its place.
pub(crate) fn taken_for_logs(made: &Solution) -> Vec<Remark> {
    let mut found = Vec::new();
    for case in &made.model.cases {
        let Kind::Log(log) = &case.kind else { continue };
        let assumed = if log.starts.is_empty() {
            "every content is taken as at make-up".to_owned()
        } else {
            format!(
                "the first row fixes {}; everything else is taken as at make-up",
                log.starts.iter().map(|start| start.column.as_str()).collect::<Vec<_>>().join(", ")
            )
        };
        found.push(Remark { code: "log-start", text: format!("{}: {assumed}", case.place) });
        if !log.ph_is_logged {
            let held = if log.ph_is_pumped() { "held by the pump of the recipe" } else { "left alone" };
            let text = format!("{}: no column of what was added for the pH: it is {held}", case.place);
            found.push(Remark { code: "log-ph", text });
        }
        let Ok(model) = log.recipe.model() else { continue };
        let tank = &model.tank;
        let mut say = |code: &'static str, text: &str| {
            found.push(Remark { code, text: format!("{}: {text}", case.place) });
        };
        match log.work {
            WorkSource::ByTheLog => {}
            WorkSource::ByRacks => {
                say("log-work", "no column of areas: the racks of the recipe were followed")
            }
            WorkSource::Nowhere => {
                say("log-work", "no column of areas and no racks in the recipe: nothing plates")
            }
        }
        if log.water_l > 0.0 && tank.level.kept_l(tank.volume_l).is_some() {
            let kept = if tank.level == Level::Held { "holds the level" } else { "has a float" };
            let text = format!(
                "the recipe {kept}: of the log's {} L of water only what refills the tank to its level counts, \
                 the rest came in already (tank.level = \"free\" with tank.water = \"by-hand\" takes the log's)",
                number(log.water_l, 2)
            );
            say("log-water", &text);
        }
        if tank.programme.idle.is_some() {
            say("log-temperature", "without work the tank is at the idle temperature of the recipe");
        } else if !log.has_temperature {
            say("log-temperature", "no temperature in any row: the recipe's was taken");
        }
        if log.reads_cooled_ph() {
            say(
                "log-ph-reading",
                "ph is that of a cooled sample, as operation.ph_reading of the recipe says",
            );
        }
    }
    found
}

/// What further starts led to.
pub(crate) fn further_starts(tried: StartsTried) -> Remark {
    let StartsTried { count, converged, minima, lower } = tried;
    let text = if converged == 0 {
        format!("none of {count} further starts led to a minimum")
    } else {
        let which = if lower {
            "a lower minimum than that of the recipe's numbers was found and taken"
        } else {
            "none led lower than the recipe's numbers"
        };
        format!("{count} further starts, {converged} with a minimum, {minima} different ones: {which}")
    };
    Remark { code: "starts", text }
}

/// Numbers of rows as a text, the first few.
fn listed(rows: &[usize]) -> String {
    const SHOWN: usize = 8;
    let shown: Vec<String> = rows.iter().take(SHOWN).map(usize::to_string).collect();
    let more = rows.len().saturating_sub(SHOWN);
    let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
    format!("{}{rest}", shown.join(", "))
}
