//! Columns of what the bath holds: which amount of the make-up they set.

use std::cell::OnceCell;

use bathkin::Recipe;
use bathkin::document::Value;
use bathkin::model::Model;
use bathkin::model::substance::{Name, Unit, bought_for, content as said};
use rayon::prelude::*;

use crate::data::runs::setting::{Salt, Setting};
use crate::data::sheet::Sheet;
use crate::error::{DataError, SheetProblem};

/// What a column of contents sets: the amount of the reagent it names, of the one reagent that brings the
/// component to this make-up, or of a salt of it where the make-up has none.
pub(crate) fn content(
    recipe: &Recipe,
    runs: &Sheet,
    column: &str,
    made_up: &OnceCell<MadeUp>,
) -> Result<Option<Setting>, DataError> {
    let model = recipe.model()?;
    let value =
        runs.column(column).and_then(|cells| cells.iter().flatten().copied().find(|cell| *cell > 0.0));
    let Some(found) = said(&model.chemistry, &model.own(), column, value.unwrap_or(1.0)) else {
        return Ok(None);
    };
    let name = Name::split(column).filter(|name| name.form.is_none());
    let reagent = name.and_then(|name| Some((name, model.chemistry.reagent(name.substance)?)));
    let setting = |path: String, factor: f64| Setting { column: column.to_owned(), path, factor, salt: None };
    if let Some((name, reagent)) = reagent {
        let per_mol = name.unit.mol_l(reagent.molar_mass_g_mol);
        let own = own_key(recipe, &reagent.name);
        return Ok(Some(match own {
            Some((path, unit)) => setting(path, per_mol / unit.mol_l(reagent.molar_mass_g_mol)),
            None => setting(format!("make_up.{column}"), 1.0),
        }));
    }
    let found = found.map_err(|unclear| {
        let (expected, hint) = (unclear.expected.to_string(), unclear.hint.to_string());
        runs.problem(SheetProblem::Unclear { column: column.to_owned(), expected, hint })
    })?;
    let component = &model.chemistry.components[found.component].name;
    let names = model.tank.bath.equilibrium.component_names();
    let Some(slot) = names.iter().position(|known| known == component) else {
        return of_a_salt(model, runs, column, found.component, found.mol_l).map(Some);
    };
    let made_up = match made_up.get() {
        Some(known) => known,
        None => {
            let read = MadeUp::read(recipe, &runs.file)?;
            made_up.get_or_init(|| read)
        }
    };
    let total = made_up.totals[slot];
    // Totals are linear in what is weighed out; 1e-9 is far above rounding.
    let brings = |(path, amount, doubled): &(String, f64, Vec<f64>)| {
        let more = doubled.get(slot).map_or(0.0, |doubled| doubled - total);
        (more.abs() > 1e-9 * total).then(|| (path.clone(), amount / more))
    };
    let bringing: Vec<(String, f64)> = made_up.doubled.iter().filter_map(brings).collect();
    match bringing.as_slice() {
        // All of it comes from this reagent, so that content and amount are proportional.
        [(path, per_mol)] if (per_mol * total / amount_of(recipe, path) - 1.0).abs() < 1e-6 => {
            Ok(Some(setting(path.clone(), per_mol * found.mol_l)))
        }
        [] if total == 0.0 => of_a_salt(model, runs, column, found.component, found.mol_l).map(Some),
        _ => {
            let (column, component) = (column.to_owned(), component.clone());
            Err(runs.problem(SheetProblem::SeveralReagents { column, component }))
        }
    }
}

/// The amount of a salt of a component that the make-up has none of: with ions the bath holds already, rather
/// a salt than the acid, and dry.
fn of_a_salt(
    model: &Model,
    runs: &Sheet,
    column: &str,
    component: usize,
    mol_l: f64,
) -> Result<Setting, DataError> {
    let chemistry = &model.chemistry;
    let held = model.tank.bath.equilibrium.component_names();
    let name = |index: usize| chemistry.components[index].name.as_str();
    let salts = chemistry.reagents.iter().filter_map(|reagent| {
        let (bought, moles) = bought_for(chemistry, &model.own(), reagent)?;
        let count = |of: &str| {
            reagent.gives.iter().filter(|(index, _)| name(*index) == of).map(|(_, moles)| *moles).sum::<f64>()
        };
        let foreign = |index: usize| {
            index != component
                && !["proton", "water"].contains(&name(index))
                && !held.iter().any(|known| known == name(index))
        };
        let strangers = reagent.gives.iter().filter(|(index, _)| foreign(*index)).count() as f64;
        (bought == component)
            .then(|| (reagent, moles, [strangers, count("proton").abs(), count("water").abs()]))
    });
    let best = salts.min_by(|(.., a), (.., b)| {
        a.iter()
            .zip(b)
            .map(|(a, b)| a.total_cmp(b))
            .find(|order| order.is_ne())
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    let Some((reagent, moles, _)) = best else {
        let (column, component) = (column.to_owned(), name(component).to_owned());
        return Err(runs.problem(SheetProblem::NoReagent { column, component }));
    };
    Ok(Setting {
        column: column.to_owned(),
        path: format!("make_up.{}{}", reagent.name, Unit::Moles.ending()),
        factor: mol_l / moles,
        salt: Some(Salt { component: name(component).to_owned(), title: reagent.title.clone() }),
    })
}

/// Where the make-up has a reagent already, in whatever unit.
fn own_key(recipe: &Recipe, reagent: &str) -> Option<(String, Unit)> {
    recipe.document().under("make_up").find_map(|entry| {
        let name = Name::split(entry.path.strip_prefix("make_up.")?)?;
        (name.form.is_none() && name.substance == reagent).then(|| (entry.path.clone(), name.unit))
    })
}

/// What a make-up comes to, and with each of its amounts twice.
pub(crate) struct MadeUp {
    totals: Vec<f64>,
    /// (path, amount, totals with twice as much of it).
    doubled: Vec<(String, f64, Vec<f64>)>,
}

impl MadeUp {
    fn read(recipe: &Recipe, by: &str) -> Result<Self, DataError> {
        let amounts = recipe.document().under("make_up").filter_map(|entry| match entry.value {
            Value::Number(amount) => Some((entry.path.clone(), amount)),
            _ => None,
        });
        let amounts: Vec<(String, f64)> = amounts.collect();
        let double = |(path, amount): &(String, f64)| -> Result<(String, f64, Vec<f64>), DataError> {
            let twice = recipe.with(path, Value::Number(2.0 * amount), by);
            Ok((path.clone(), *amount, twice.model()?.fresh_totals_mol_l.clone()))
        };
        let doubled: Vec<Result<_, DataError>> = amounts.par_iter().map(double).collect();
        Ok(MadeUp {
            totals: recipe.model()?.fresh_totals_mol_l.clone(),
            doubled: doubled.into_iter().collect::<Result<_, _>>()?,
        })
    }
}

fn amount_of(recipe: &Recipe, path: &str) -> f64 {
    match recipe.document().get(path).map(|entry| &entry.value) {
        Some(Value::Number(amount)) => *amount,
        _ => f64::NAN,
    }
}
