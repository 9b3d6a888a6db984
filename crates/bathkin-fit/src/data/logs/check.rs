//! How a log is read for a recipe: what each column is, and everything that is wrong with it.

use bathkin::Recipe;
use bathkin::document::Unit;
use bathkin::model::substance::OF_SET_POINT;
use bathkin::model::{LoggedAdditions, Model};

use crate::data::cases::Kind;
use crate::data::collected::Collected;
use crate::data::logs::collect::collect;
use crate::data::logs::columns::{
    AGE, AREA, CALIBRATED, IN_TANK, Meaning, PLATING, RACK_IN, RACK_OUT, REMOVED, TEMPERATURE, TIME,
    TURNOVERS, meanings,
};
use crate::data::logs::log_doubt::LogDoubt;
use crate::data::sheet::Sheet;
use crate::error::{DataError, SheetProblem};

/// What a column of a log is read as.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LogColumn {
    /// Its name.
    pub name: String,
    /// What it is, in words; empty for one that is not read.
    pub what: String,
    /// Unit of its numbers; empty for a pure number.
    pub unit: String,
}

/// A log, column by column.
#[derive(Debug, Clone)]
pub struct LogCheck {
    /// Its columns, in order.
    pub columns: Vec<LogColumn>,
    /// What is wrong with it, each for its own reason, with the column it is about, where that is one.
    pub problems: Vec<(Option<String>, DataError)>,
    /// What can be used but is hard to believe.
    pub doubts: Vec<LogDoubt>,
}

/// How a log is read for a recipe.
///
/// # Errors
/// A recipe that cannot be used.
pub fn check_log(recipe: &Recipe, log: &Sheet) -> Result<LogCheck, bathkin::Error> {
    let model = recipe.model()?;
    let found = meanings(model, log, &mut Vec::new());
    let of = |((name, _), meaning): (&(String, _), &Meaning)| LogColumn {
        name: name.clone(),
        what: words(model, name, meaning),
        unit: unit(name, meaning),
    };
    let columns = log.columns.iter().zip(&found).map(of).collect();
    let mut collected = Collected::default();
    let problems = match collect(recipe, log, false, &mut collected) {
        Ok(()) => Vec::new(),
        Err(DataError::Sheet { problem: SheetProblem::Several(all), .. }) => all,
        Err(one) => vec![one],
    };
    // What cannot be read at all is told first, in the order of the columns.
    let unread = log.columns.iter().zip(&found).filter(|(_, meaning)| **meaning == Meaning::Unread);
    let mut unread = unread.map(|((name, _), _)| name.clone());
    let about = |error: DataError| {
        let column = match &error {
            DataError::Cell { column, .. } => Some(column.clone()),
            DataError::Sheet { problem: SheetProblem::Missing { column }, .. } => Some((*column).to_owned()),
            _ => unread.next(),
        };
        (column, error)
    };
    let doubts = match collected.cases.pop().map(|case| case.kind) {
        Some(Kind::Log(bath)) => bath.doubts,
        _ => Vec::new(),
    };
    Ok(LogCheck { columns, problems: problems.into_iter().map(about).collect(), doubts })
}

fn words(model: &Model, name: &str, meaning: &Meaning) -> String {
    let replenishers = &model.tank.operation.replenishers;
    match meaning {
        Meaning::Reading(reading) => format!("reading: {}", reading.quantity.title(&model.tank)),
        Meaning::Addition { solution, .. } => {
            let of = replenishers.get(*solution).map_or("a solution", |known| known.name.as_str());
            format!("{}: {of}", added(model))
        }
        Meaning::Water { .. } => format!("{}: water", added(model)),
        Meaning::Unread => String::new(),
        Meaning::Known => match name {
            TIME => "clock time",
            RACK_IN => "when the rack went in",
            RACK_OUT => "when the rack came out",
            AREA => "area plated since the row before",
            IN_TANK => "mean area in the tank since the row before",
            PLATING => "how long of the time since the row before it plated",
            TEMPERATURE => "temperature of the bath",
            REMOVED if model.log.additions == LoggedAdditions::SinceTheRowBefore => {
                "bath taken out since the row before"
            }
            REMOVED => "bath taken out",
            TURNOVERS => "turnovers before the first row",
            AGE => "age of the bath before the first row",
            CALIBRATED => "the pH electrode was calibrated",
            name if name.starts_with("below_") => "limit of detection of a reading",
            _ => "standard deviation of a reading",
        }
        .to_owned(),
    }
}

/// When what stands in a row was added.
fn added(model: &Model) -> &'static str {
    match model.log.additions {
        LoggedAdditions::AtTheRow => "added",
        LoggedAdditions::SinceTheRowBefore => "added since the row before",
    }
}

fn unit(name: &str, meaning: &Meaning) -> String {
    if name.ends_with(OF_SET_POINT) {
        return "% of set-point".to_owned();
    }
    match (Unit::of(name), meaning) {
        (Some(unit), _) => unit.parsed.to_owned(),
        (None, Meaning::Reading(reading)) => reading.quantity.entry().unit.to_owned(),
        (None, _) => String::new(),
    }
}
