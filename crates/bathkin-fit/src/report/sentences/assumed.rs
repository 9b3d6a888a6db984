//! Sentences on what a fit left out or took from the recipe.

use super::listed;
use crate::format::number;
use bathkin_numerics::short;

remarks! {
    /// What was left out of the data, or taken from the recipe.
    Assumed;

    "left-out", NothingMeasured { rows: Vec<usize> } =>
        format!("row {}: nothing was measured, left out", listed(&rows));

    "recipe-value", Temperature { file: String, temperature_c: f64 } => format!(
        "{file}: no column of temperatures, the recipe's {} degC was taken", short(temperature_c)
    );

    "salt", Salt { column: String, component: String, salt: String } => format!(
        "{column}: the make-up has no {component}, it was taken as brought by {salt}; name another salt in the heading \
         to change it"
    );

    "ph-reagent", PhReagent { rows: Vec<usize>, reagent: String, reagent_of_recipe: String } => format!(
        "row {}: pH set with {reagent}, for {reagent_of_recipe} does not approach it", listed(&rows)
    );

    "below-detection", Below { rows: Vec<usize>, column: String, all_of_column: bool } => format!(
        "row {}: {column} counts as below its limit of detection, not as a value{}",
        listed(&rows),
        if all_of_column { ", with sigmas as stated: no value estimates the size of its errors" } else { "" }
    );

    "log-start", LogStart { file: String, fixed: Vec<String> } => if fixed.is_empty() {
        format!("{file}: every content is taken as at make-up")
    } else {
        format!("{file}: the first row fixes {}; everything else is taken as at make-up", fixed.join(", "))
    };

    "log-start", UsedStart { file: String, fixed: Vec<String>, column: String, value: f64 } => format!(
        "{file}: a used bath, {column} {} in its first row: its contents are those of the recipe's own life at that \
         age{}",
        number(value, 4),
        if fixed.is_empty() { String::new() } else { format!("; the first row fixes {}", fixed.join(", ")) }
    );

    "log-calibrated", Calibrated { file: String, rows: Vec<usize> } => format!(
        "{file}: the pH electrode was calibrated at row {}: a fit takes all readings of the pH alike", listed(&rows)
    );

    "log-ph", LogPh { file: String, is_pumped: bool } => format!(
        "{file}: no column of what was added for the pH: it is {}",
        if is_pumped { "held by the pump of the recipe" } else { "left alone" }
    );

    "log-ph", MeasuredPh { file: String } => format!(
        "{file}: the pH follows its readings, straight between neighbouring rows, and is not compared (log.ph)"
    );

    "log-work", Racks { file: String } =>
        format!("{file}: no column of areas: the racks of the recipe were followed");

    "log-work", NoWork { file: String } =>
        format!("{file}: no column of areas and no racks in the recipe: nothing plates");

    "log-doubt", Doubted { file: String, doubt: String } => format!("{file}: {doubt}");

    "log-additions", AdditionsSpread { file: String } => format!(
        "{file}: what stands in a row as added, or taken out, went evenly since the row before (log.additions)"
    );

    "log-water", Water { file: String, holds_level: bool, water_l: f64 } => format!(
        "{file}: the recipe {}: of the log's {} L of water only what refills the tank to its level counts, the rest \
         came in already (tank.level = \"free\" with tank.water = \"by-hand\" takes the log's)",
        if holds_level { "holds the level" } else { "has a float" },
        number(water_l, 2)
    );

    "log-temperature", IdleTemperature { file: String } =>
        format!("{file}: without work the tank is at the idle temperature of the recipe");

    "log-temperature", NoTemperature { file: String } =>
        format!("{file}: no temperature in any row: the recipe's was taken");

    "log-ph-reading", CooledPh { file: String } => format!(
        "{file}: ph is that of a cooled sample, as operation.ph_reading of the recipe says"
    );

    "starts", FurtherStarts { starts: usize, converged: usize, minima: usize, lower: bool } =>
        match (converged, lower) {
            (0, _) => format!("none of {starts} further starts led to a minimum"),
            (_, true) => format!(
                "{starts} further starts, {converged} with a minimum, {minima} different ones: a lower minimum than that \
                 of the recipe's numbers was found and taken"
            ),
            (_, false) => format!(
                "{starts} further starts, {converged} with a minimum, {minima} different ones: none led lower than the \
                 recipe's numbers"
            ),
        };
}
