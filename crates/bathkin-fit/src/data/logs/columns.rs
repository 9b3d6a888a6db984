//! What the columns of a log mean for a recipe.

use bathkin::document::units::split;
use bathkin::error::Place;
use bathkin::life::AtRow;
use bathkin::model::Model;
use bathkin::model::substance::OF_SET_POINT;
use bathkin::solution::Element;
use bathkin::tank::{Feed, METAL, PH, Quantity, REDUCTANT, Tank};

use crate::data::sheet::{BELOW, Sheet};
use crate::error::{DataError, SheetProblem};

/// Clock time of a row, h.
pub const TIME: &str = "time_h";
/// Mean area in the tank since the row before, dm².
pub const IN_TANK: &str = "area_in_tank_dm2";
/// Area that was plated since the row before, dm²; [`PLATING`] or [`THICKNESS`] says for how long.
pub const AREA: &str = "area_dm2";
/// How long of the time since the row before it plated, min, from there on.
pub const PLATING: &str = "plating_min";
/// When a rack of [`AREA`] went in, h as [`TIME`]; it may hang over several rows.
pub const RACK_IN: &str = "rack_in_h";
/// When it came out, h as [`TIME`].
pub const RACK_OUT: &str = "rack_out_h";
/// Thickness of what was plated since the row before, um: how much that was where no minutes say, else a reading.
pub const THICKNESS: &str = "thickness_um";
/// Temperature of the bath, degC; linear between the rows that have one.
pub const TEMPERATURE: &str = "temperature_c";
/// Bath taken out, L.
pub const REMOVED: &str = "removed_l";
/// Turnovers of metal replenished before the first row; those of later rows follow from the log.
pub const TURNOVERS: &str = "turnovers";
/// Clock time from the make-up to the first row, h, where nobody counted turnovers.
pub const AGE: &str = "age_h";
/// Whether the pH electrode was calibrated before the reading of the row.
pub const CALIBRATED: &str = "electrode_calibrated";
/// Water added, L.
const WATER: &str = "water";
/// How a standard deviation of a reading is named.
const SIGMA: &str = "sigma_";

/// Columns that are the same in every bath.
const KNOWN: [&str; 11] =
    [TIME, AREA, IN_TANK, PLATING, RACK_IN, RACK_OUT, TEMPERATURE, REMOVED, TURNOVERS, AGE, CALIBRATED];

/// What a reading is of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Reading {
    pub quantity: Quantity,
    /// What the column has for one in the unit of the quantity: it may be weighed as a salt.
    pub factor: f64,
}

impl Reading {
    /// Its value in the unit of its column.
    pub fn of(self, tank: &Tank, row: &AtRow) -> f64 {
        match self.quantity.of_piece().filter(|_| self.quantity.is_of_piece_alone()) {
            Some(of_piece) => of_piece(&row.piece),
            None => self.quantity.value(tank, &row.bath) * self.factor,
        }
    }

    /// Slot of the component it is an amount of, and what the column has for a mole of that per litre.
    pub fn content(self, tank: &Tank) -> Option<(usize, f64)> {
        self.quantity.content(tank).map(|(slot, per_mol_l)| (slot, per_mol_l * self.factor))
    }

    /// What the make-up has of it, in the unit of the column, with the place of the component; `None` for
    /// what is no content, and for what the make-up has nothing of.
    pub fn made_up(self, model: &Model) -> Option<(usize, f64)> {
        let (slot, per_mol_l) = self.content(&model.tank)?;
        let fresh = model.fresh_totals_mol_l[slot] * per_mol_l;
        (fresh > 0.0).then_some((slot, fresh))
    }

    /// The same of metal and reductant alone, which no bath holds much more of than its make-up.
    pub fn fed(self, model: &Model) -> Option<f64> {
        let roles = model.tank.bath.roles;
        let fed = self.made_up(model).filter(|(slot, _)| [roles.metal, roles.reductant].contains(slot));
        fed.map(|(_, fresh)| fresh)
    }

    /// Whether a bath can be made to start with it.
    pub fn can_start(self, tank: &Tank) -> bool {
        self.quantity == Quantity::PH || self.quantity.content(tank).is_some()
    }
}

/// What a column is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Meaning {
    /// Time, area, temperature, bath taken out: read by name.
    Known,
    /// A reading.
    Reading(Reading),
    /// A solution that was added, litres for one in the column.
    Addition { solution: usize, litres: f64 },
    /// Water, litres for one in the column.
    Water { litres: f64 },
    /// A column that cannot be read.
    Unread,
}

/// The meaning of every column, in order; what cannot be read goes to `wrong`.
pub(crate) fn meanings(model: &Model, log: &Sheet, wrong: &mut Vec<DataError>) -> Vec<Meaning> {
    let of = |(name, _): &(String, _)| {
        meaning(model, log, name).unwrap_or_else(|error| {
            wrong.push(error);
            Meaning::Unread
        })
    };
    log.columns.iter().map(of).collect()
}

fn meaning(model: &Model, log: &Sheet, name: &str) -> Result<Meaning, DataError> {
    if KNOWN.contains(&name) {
        return Ok(Meaning::Known);
    }
    if let Some(of) = name.strip_prefix(SIGMA) {
        if log.column(of).is_some() && matches!(meaning(model, log, of)?, Meaning::Reading(_)) {
            return Ok(Meaning::Known);
        }
        return Err(no_reading(log, name, "sigma", of));
    }
    if let Some(of) = name.strip_prefix(BELOW) {
        if log.column(of).is_some() && matches!(meaning(model, log, of)?, Meaning::Reading(_)) {
            return Ok(Meaning::Known);
        }
        return Err(no_reading(log, name, "limit", of));
    }
    if let Some(reading) = reading(model, log, name)? {
        return Ok(Meaning::Reading(reading));
    }
    if let Some((solution, litres)) = addition(model, name) {
        return Ok(
            solution.map_or(Meaning::Water { litres }, |solution| Meaning::Addition { solution, litres })
        );
    }
    let place = Place { file: log.file.clone(), line: None };
    let valid = valid(model);
    Err(bathkin::Error::unknown_name(place, "column of a log", name, valid.iter().map(String::as_str)).into())
}

fn no_reading(log: &Sheet, column: &str, is: &'static str, reading: &str) -> DataError {
    log.problem(SheetProblem::NoReading { column: column.to_owned(), is, reading: reading.to_owned() })
}

/// Solutions by the name of their table, `None` for water.
fn solutions(model: &Model) -> Vec<(String, Option<usize>)> {
    let mut named: Vec<(String, Option<usize>)> = vec![
        ("metal".to_owned(), Some(METAL)),
        ("reductant".to_owned(), Some(REDUCTANT)),
        ("ph".to_owned(), Some(PH)),
        (WATER.to_owned(), None),
    ];
    for feed in &model.tank.operation.feeds {
        named.push((feed.name.clone(), Some(feed.solution)));
    }
    // The shop's own names of its replenishers, where no other solution is called so.
    for (solution, replenisher) in model.tank.operation.replenishers.iter().enumerate() {
        let own = spoken(&Feed::named(&replenisher.name));
        if !own.is_empty() && named.iter().all(|(known, _)| *known != own) {
            named.push((own, Some(solution)));
        }
    }
    named
}

/// The name of a solution without the words that headings have beside it.
fn spoken(name: &str) -> String {
    let beside = ["", "addition", "additions", "added", "add", "replenisher", "replenishers", "of"];
    name.split('_').filter(|word| !beside.contains(word)).collect::<Vec<_>>().join("_")
}

/// `<solution>_l`, or `<solution>_ml_l` per litre of the make-up volume.
fn addition(model: &Model, column: &str) -> Option<(Option<usize>, f64)> {
    const L_PER_ML: f64 = 1e-3;
    let named = solutions(model);
    let find = |name: &str| {
        let found = named.iter().find(|(known, _)| known == name);
        found
            .or_else(|| named.iter().find(|(known, _)| *known == spoken(name)))
            .map(|(_, solution)| *solution)
    };
    if let Some(solution) = column.strip_suffix("_ml_l").and_then(find) {
        return Some((solution, L_PER_ML * model.tank.plant.volume_l));
    }
    column.strip_suffix("_l").and_then(find).map(|solution| (solution, 1.0))
}

fn reading(model: &Model, log: &Sheet, column: &str) -> Result<Option<Reading>, DataError> {
    if let Some(quantity) = readable(model).into_iter().find(|known| known.name(&model.tank) == column) {
        return Ok(Some(Reading { quantity, factor: 1.0 }));
    }
    let value = log.column(column).and_then(|cells| cells.iter().flatten().copied().find(|cell| *cell > 0.0));
    let said = of_the_trade(model, column);
    match model.content_or_share(said.as_deref().unwrap_or(column), value.unwrap_or(1.0)) {
        None => Ok(None),
        Some(Ok((slot, mol_l))) => {
            Ok(Some(Reading { quantity: Quantity::component(slot), factor: 1.0 / mol_l }))
        }
        Some(Err(unclear)) => {
            let (expected, hint) = (unclear.expected.to_string(), unclear.hint.to_string());
            Err(log.problem(SheetProblem::Unclear { column: column.to_owned(), expected, hint }))
        }
    }
}

/// A column with a reading in words, and its unit: by the dictionary, or by its own name where a content is weighed as a salt.
pub(crate) fn in_words(tank: &Tank, column: &str) -> (String, String) {
    if let Some(content) = column.strip_suffix(OF_SET_POINT) {
        return (content.replace('_', " "), "% of set-point".to_owned());
    }
    match split(column) {
        (name, Some(unit)) if Quantity::named(tank, column).is_none() => {
            (name.replace('_', " "), unit.shown.to_owned())
        }
        _ => Quantity::words(tank, column),
    }
}

/// A name in which the trade's word for a substance is its own: the symbol of an element that is a component, and
/// what platers call the reductant and its product.
fn of_the_trade(model: &Model, column: &str) -> Option<String> {
    let (word, rest) = column.split_once('_')?;
    let own = match word {
        "hypo" => "hypophosphite",
        "ortho" | "phosphite" => "orthophosphite",
        symbol => {
            let of = |element: &Element| element.symbol().eq_ignore_ascii_case(symbol);
            let chemistry = &model.chemistry;
            let mut held = model.tank.bath.equilibrium.component_names().iter();
            held.find(|name| {
                let component = chemistry.component(name).map(|index| &chemistry.components[index]);
                component.is_some_and(|component| {
                    let mut elements = component.formula.elements.keys();
                    component.formula.elements.len() == 1 && elements.next().is_some_and(of)
                })
            })?
        }
    };
    Some(format!("{own}_{rest}"))
}

/// What a log can have read: of a moment, or on the piece that hung in the tank. What was done has columns of its own.
fn readable(model: &Model) -> Vec<Quantity> {
    let mut known = Quantity::all(&model.tank);
    known.retain(|quantity| !quantity.entry().counts && *quantity != Quantity::MASS_GAIN_MG);
    known
}

fn valid(model: &Model) -> Vec<String> {
    let names = model.tank.bath.equilibrium.component_names();
    let known = KNOWN.map(str::to_owned);
    let readings = readable(model).into_iter().map(|quantity| quantity.name(&model.tank));
    let mut valid: Vec<String> = known.into_iter().chain(readings).collect();
    valid.push(format!("{}_g_l", names[model.tank.bath.roles.metal]));
    valid.extend(solutions(model).into_iter().map(|(name, _)| format!("{name}_l")));
    valid
}

/// The sigma of a reading at a row, if the log has one.
pub(crate) fn sigma(log: &Sheet, reading: &str, row: usize) -> Option<f64> {
    log.cell(&format!("{SIGMA}{reading}"), row)
}
