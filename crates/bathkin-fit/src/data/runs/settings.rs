//! From the names of columns to what they set in a recipe.

use std::cell::OnceCell;

use bathkin::Recipe;
use bathkin::document::Value;
use bathkin::error::Place;

use crate::data::runs::contents::{MadeUp, content};
use crate::data::runs::setting::Setting;
use crate::data::sheet::Sheet;
use crate::error::{DataError, SheetProblem};

/// Tables whose keys may stand alone as names of columns.
const TABLES: [&str; 3] = ["operation", "make_up", "tank"];

/// Finds what each setting column sets.
///
/// A column named in `groups` may set nothing and only group runs.
pub(crate) fn settings(recipe: &Recipe, runs: &Sheet, groups: &[String]) -> Result<Vec<Setting>, DataError> {
    let mut found: Vec<Setting> = Vec::new();
    let mut wrong = Vec::new();
    let made_up = OnceCell::new();
    for column in runs.settings() {
        let only_parts = groups.iter().any(|group| group == column);
        let setting = match setting(recipe, runs, column, &made_up) {
            Ok(setting) => setting,
            // A quantity that the recipe does not know is no label.
            Err(_) if only_parts && !ends_with_unit(column) => continue,
            Err(error) => {
                wrong.push(error);
                continue;
            }
        };
        if let Some(other) = found.iter().find(|other| other.path == setting.path) {
            let columns = [other.column.clone(), column.to_owned()];
            wrong.push(runs.problem(SheetProblem::SetTwice { columns, path: setting.path }));
            continue;
        }
        found.push(setting);
    }
    runs.refuse_all(wrong)?;
    // Both would be weighed out, and the fit would not know that only one was.
    for setting in &found {
        let beside = recipe.salt_beside(&setting.path)?;
        if let Some(stays) = beside.filter(|stays| !found.iter().any(|other| other.path == *stays)) {
            let (column, beside) = (setting.column.clone(), stays.to_string());
            return Err(runs.problem(SheetProblem::SaltBeside { column, beside }));
        }
    }
    Ok(found)
}

/// Whether a name looks like that of a quantity: it ends with a unit, or has a slash.
fn ends_with_unit(column: &str) -> bool {
    const UNITS: [&str; 17] = [
        "_c", "_k", "_f", "_g_l", "_mg_l", "_mol_l", "_ml_l", "_ml", "_um_h", "_um", "_dm2", "_cm2", "_m2",
        "_min", "_h", "_g", "_mg",
    ];
    column.contains('/') || UNITS.iter().any(|unit| column.ends_with(unit))
}

fn setting(
    recipe: &Recipe,
    runs: &Sheet,
    column: &str,
    made_up: &OnceCell<MadeUp>,
) -> Result<Setting, DataError> {
    let document = recipe.document();
    let is_number =
        |path: &str| document.get(path).is_some_and(|entry| matches!(entry.value, Value::Number(_)));
    let plain = |path: String| Setting { column: column.to_owned(), path, factor: 1.0, salt: None };
    if is_number(column) {
        return Ok(plain(column.to_owned()));
    }
    if let Some(path) = TABLES.iter().map(|table| format!("{table}.{column}")).find(|path| is_number(path)) {
        return Ok(plain(path));
    }
    // A path that the recipe does not set may still be one that it knows: its reader decides.
    if column.contains('.') {
        return Ok(plain(column.to_owned()));
    }
    if let Some(setting) = content(recipe, runs, column, made_up)? {
        return Ok(setting);
    }
    let model = recipe.model()?;
    let names = model.tank.bath.equilibrium.component_names();
    let metal = format!("{}_g_l", names[model.tank.bath.roles.metal]);
    let contents: Vec<String> = names.iter().map(|name| format!("{name}_mol_l")).chain([metal]).collect();
    let mut valid: Vec<&str> = document
        .entries()
        .iter()
        .filter(|entry| matches!(entry.value, Value::Number(_)))
        .filter_map(|entry| {
            let (table, key) = entry.path.split_once('.')?;
            TABLES.contains(&table).then_some(key)
        })
        .collect();
    valid.extend(contents.iter().map(String::as_str));
    valid.extend(["time_min", "area_cm2", "mass_gain_mg", "thickness_um", "deposition_um_h", "sigma"]);
    let place = Place { file: runs.file.clone(), line: None };
    Err(bathkin::Error::unknown_name(place, "column", column, valid).into())
}

/// Refuses a value far above anything the recipe's author has seen: a unit was mistaken.
pub(crate) fn check_size(recipe: &Recipe, runs: &Sheet, setting: &Setting) -> Result<(), DataError> {
    const TIMES: f64 = 20.0;
    let range = recipe.document().get(&setting.path).and_then(|entry| entry.range);
    let (Some((low, high)), Some(cells)) = (range, runs.column(&setting.column)) else { return Ok(()) };
    let too_large = |cell: &Option<f64>| cell.is_some_and(|cell| cell * setting.factor > TIMES * high);
    match cells.iter().position(too_large) {
        Some(row) if high > 0.0 => {
            let expected = format!(
                "a value nearer to the recipe's {} to {}: is it in another unit?",
                low / setting.factor,
                high / setting.factor
            );
            Err(runs.refuse(row, &setting.column, &expected))
        }
        _ => Ok(()),
    }
}
