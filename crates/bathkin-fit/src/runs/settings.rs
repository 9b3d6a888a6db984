//! From the names of columns to what they set in a recipe.

use bathkin::Recipe;
use bathkin::error::Place;
use bathkin::recipe::Value;

use crate::problem::sheet::{DataError, Sheet};

/// Tables whose keys may stand alone as names of columns.
const TABLES: [&str; 3] = ["operation", "make_up", "tank"];

/// What a column sets: the path, and what its numbers are multiplied by.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Setting {
    pub column: String,
    pub path: String,
    pub factor: f64,
}

/// Finds what each setting column sets.
///
/// A column named in `groups` may set nothing and only tell which runs belong together.
pub(crate) fn settings(recipe: &Recipe, runs: &Sheet, groups: &[String]) -> Result<Vec<Setting>, DataError> {
    let mut found: Vec<Setting> = Vec::new();
    for column in runs.settings() {
        let only_parts = groups.iter().any(|group| group == column);
        let setting = match setting(recipe, runs, column) {
            Ok(setting) => setting,
            Err(_) if only_parts => continue,
            Err(error) => return Err(error),
        };
        if let Some(other) = found.iter().find(|other| other.path == setting.path) {
            let what = format!("{} and {column} both set {}", other.column, setting.path);
            return Err(runs.refuse_column(what));
        }
        found.push(setting);
    }
    Ok(found)
}

fn setting(recipe: &Recipe, runs: &Sheet, column: &str) -> Result<Setting, DataError> {
    let document = recipe.document();
    let is_number =
        |path: &str| document.get(path).is_some_and(|entry| matches!(entry.value, Value::Number(_)));
    let plain = |path: String| Setting { column: column.to_owned(), path, factor: 1.0 };
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
    if let Some((path, factor)) = content(recipe, runs, column)? {
        return Ok(Setting { column: column.to_owned(), path, factor });
    }
    let mut valid: Vec<&str> = document
        .entries()
        .iter()
        .filter(|entry| matches!(entry.value, Value::Number(_)))
        .filter_map(|entry| {
            let (table, key) = entry.path.split_once('.')?;
            TABLES.contains(&table).then_some(key)
        })
        .collect();
    valid.extend(["time_min", "area_cm2", "mass_gain_mg", "thickness_um", "deposition_um_h", "sigma"]);
    let place = Place { file: runs.file.clone(), line: None };
    Err(bathkin::Error::unknown_name(place, "column", column, valid).into())
}

/// A column of what the bath holds: `<component>_mol_l`, or `<metal>_g_l` as metal. It sets the amount of
/// the one reagent that brings the component.
fn content(recipe: &Recipe, runs: &Sheet, column: &str) -> Result<Option<(String, f64)>, DataError> {
    let model = recipe.model()?;
    let names = model.tank.equilibrium.component_names();
    let metal = model.tank.roles.metal;
    let (name, grams) = match (column.strip_suffix("_mol_l"), column.strip_suffix("_g_l")) {
        (Some(name), _) => (name, false),
        (_, Some(name)) => (name, true),
        _ => return Ok(None),
    };
    let Some(slot) = names.iter().position(|known| known == name) else { return Ok(None) };
    if grams && slot != metal {
        let what = format!("{column}: grams of {name} as what? Name the salt, or give {name}_mol_l");
        return Err(runs.refuse_column(what));
    }
    let total_of = |recipe: &Recipe| -> Result<f64, DataError> {
        let model = recipe.model()?;
        let names = model.tank.equilibrium.component_names();
        let at = names.iter().position(|known| known == name);
        Ok(at.map_or(0.0, |at| model.fresh_totals_mol_l[at]))
    };
    let total = total_of(recipe)?;
    let mut bringing: Vec<(String, f64)> = Vec::new();
    for entry in recipe.document().under("make_up") {
        let Value::Number(amount) = entry.value else { continue };
        let doubled = total_of(&recipe.with(&entry.path, Value::Number(2.0 * amount), &runs.file))?;
        // Totals are linear in what is weighed out; 1e-9 is far above rounding.
        if (doubled - total).abs() > 1e-9 * total {
            bringing.push((entry.path.clone(), amount / (doubled - total)));
        }
    }
    match bringing.as_slice() {
        // All of it comes from this reagent, so that content and amount are proportional.
        [(path, per_mol)] if (per_mol * total / amount_of(recipe, path) - 1.0).abs() < 1e-6 => {
            let per_unit = if grams { 1.0 / model.tank.metal_g_l(1.0) } else { 1.0 };
            Ok(Some((path.clone(), per_mol * per_unit)))
        }
        _ => {
            let what = format!(
                "{column}: not one reagent alone brings {name} to this bath; give the amounts weighed out"
            );
            Err(runs.refuse_column(what))
        }
    }
}

fn amount_of(recipe: &Recipe, path: &str) -> f64 {
    match recipe.document().get(path).map(|entry| &entry.value) {
        Some(Value::Number(amount)) => *amount,
        _ => f64::NAN,
    }
}
