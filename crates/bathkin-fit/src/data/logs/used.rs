//! A bath that was not fresh when its log began: what its first row says of its past.

use bathkin::model::Model;
use bathkin::tank::Quantity;

use crate::data::logs::columns::{AGE, Meaning, TURNOVERS};
use crate::data::sheet::Sheet;
use crate::error::DataError;

/// A specific gravity so far above that of the make-up is a matter of age, not of the hydrometer.
const DENSER: f64 = 0.01;

/// A bath that was not fresh at the first row.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct UsedBath {
    /// Turnovers of metal replenished before the first row, where that was written down.
    pub turnovers: Option<f64>,
    /// The column that tells the age, and its value.
    pub told_by: (String, f64),
    /// What the recipe's own life has gained over the make-up by that age, mol/L by slots.
    pub gained_mol_l: Vec<f64>,
    /// Slots of contents that the first row tells by themselves; all others follow from the age alone.
    pub told: Vec<usize>,
}

/// What the first row says of the past of the bath; `None` where it says that it was fresh, or nothing.
///
/// The age is told by `turnovers`, or else by `age_h` along the calendar of the recipe, or by what grows with it alone: by-product, sulfate, specific gravity, the
/// first of these that stands above the make-up. The bath is then what the life of the recipe makes of it by that
/// age, so that by-product and counter-ions go together; readings of the row override.
pub(crate) fn used(
    model: &Model,
    log: &Sheet,
    meanings: &[Meaning],
    wrong: &mut Vec<DataError>,
) -> Result<Option<UsedBath>, DataError> {
    let Some((column, value, quantity, limit)) = age(model, log, meanings, wrong) else { return Ok(None) };
    let totals = match model.totals_at_mol_l(quantity, limit) {
        Ok(totals) => totals,
        Err(error) if error.is_input() => {
            let expected = format!("an age that a bath of this recipe gets to ({error})");
            wrong.push(log.refuse(0, &column, &expected));
            return Ok(None);
        }
        Err(error) => return Err(error.into()),
    };
    let gained_mol_l =
        totals.iter().zip(&model.fresh_totals_mol_l).map(|(used, fresh)| used - fresh).collect();
    let first = log.columns.iter().zip(meanings).filter(|((name, _), _)| log.cell(name, 0).is_some());
    let told = first.filter_map(|(_, meaning)| match meaning {
        Meaning::Reading(reading) => reading.content(&model.tank).map(|(slot, _)| slot),
        _ => None,
    });
    let turnovers = (quantity == Quantity::TURNOVERS).then_some(value);
    Ok(Some(UsedBath { turnovers, told_by: (column, value), gained_mol_l, told: told.collect() }))
}

/// Column and value that tell the age, and what of a life comes to which value then.
fn age(
    model: &Model,
    log: &Sheet,
    meanings: &[Meaning],
    wrong: &mut Vec<DataError>,
) -> Option<(String, f64, Quantity, f64)> {
    match log.cell(TURNOVERS, 0) {
        Some(turnovers) if turnovers < 0.0 => {
            wrong.push(log.refuse(0, TURNOVERS, "zero or more turnovers"));
            return None;
        }
        Some(turnovers) => {
            let aged = (TURNOVERS.to_owned(), turnovers, Quantity::TURNOVERS, turnovers);
            return (turnovers > 0.0).then_some(aged);
        }
        None => {}
    }
    match log.cell(AGE, 0) {
        Some(hours) if hours < 0.0 => {
            wrong.push(log.refuse(0, AGE, "zero hours or more"));
            return None;
        }
        Some(hours) => return (hours > 0.0).then(|| (AGE.to_owned(), hours, Quantity::CLOCK_H, hours)),
        None => {}
    }
    let names = model.tank.bath.equilibrium.component_names();
    let sulfate = names.iter().position(|name| name == "sulfate");
    let grown = |slot: usize| {
        log.columns.iter().zip(meanings).find_map(|((name, _), meaning)| {
            let Meaning::Reading(reading) = meaning else { return None };
            let (of, per_mol_l) = reading.content(&model.tank).filter(|(of, _)| *of == slot)?;
            let value = log.cell(name, 0)?;
            let mol_l = value / per_mol_l;
            (mol_l > model.fresh_totals_mol_l[of])
                .then(|| (name.clone(), value, Quantity::component(of), mol_l))
        })
    };
    let denser = || {
        let of = Quantity::named(&model.tank, "specific_gravity")?;
        let value = log.cell("specific_gravity", 0)?;
        let fresh = model.fresh_specific_gravity();
        (value > fresh + DENSER).then(|| ("specific_gravity".to_owned(), value, of, value))
    };
    grown(model.tank.bath.roles.by_product).or_else(|| sulfate.and_then(grown)).or_else(denser)
}
