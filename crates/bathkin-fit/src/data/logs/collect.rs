//! From a log to a case and its measured values.

use bathkin::Recipe;
use bathkin::life::LoggedPh;
use bathkin::model::Model;
use bathkin::tank::Quantity;

use crate::data::cases::{Case, Kind};
use crate::data::collected::Collected;
use crate::data::error_model::Observation;
use crate::data::logs::columns::{CALIBRATED, Meaning, Reading, TEMPERATURE, meanings, sigma};
use crate::data::logs::course::course;
use crate::data::logs::doubts::doubts;
use crate::data::logs::logged_bath::{LogStart, LoggedBath};
use crate::data::logs::measured_ph::{is_ph, measured_ph};
use crate::data::logs::used::used;
use crate::data::logs::work::{thickness_is_work, work_source};
use crate::data::sheet::Sheet;
use crate::error::{DataError, SheetProblem};

/// Names of the columns of what was added to hold the pH.
const PH_ADDITIONS: [&str; 2] = ["ph_l", "ph_ml_l"];

/// A reading of metal or reductant that is more times the make-up is in another unit.
const TIMES_FRESH: f64 = 20.0;

/// Adds a log to what is collected.
pub(crate) fn collect(
    recipe: &Recipe,
    log: &Sheet,
    starts_as_made_up: bool,
    into: &mut Collected,
) -> Result<(), DataError> {
    log.check()?;
    let mut wrong = Vec::new();
    let model = recipe.model()?;
    let meanings = meanings(model, log, &mut wrong);
    let (sheet, case) = (into.sheets, into.cases.len());
    into.sheets += 1;
    let mut course = course(recipe, log, &meanings, &mut wrong)?;
    let measured_ph = measured_ph(model, log, &meanings, &mut course, &mut wrong);
    let mut bath = LoggedBath {
        recipe: recipe.clone(),
        course,
        ph: match &measured_ph {
            Some(_) => LoggedPh::AsMeasured,
            None if PH_ADDITIONS.iter().any(|name| log.column(name).is_some()) => LoggedPh::Additions,
            None => LoggedPh::Untold,
        },
        measured_ph: measured_ph.map(Box::new),
        work: work_source(recipe, log)?,
        has_temperature: log.column(TEMPERATURE).is_some_and(|cells| cells.iter().any(Option::is_some)),
        water_l: 0.0,
        starts: Vec::new(),
        used: if starts_as_made_up { None } else { used(model, log, &meanings, &mut wrong)? },
        calibrated: calibrated(log),
        readings: Vec::new(),
        doubts: Vec::new(),
    };
    bath.water_l = bath.course.iter().map(|stretch| stretch.water_l).sum();
    for (row, number) in log.rows.iter().enumerate() {
        for ((column, _), meaning) in log.columns.iter().zip(&meanings) {
            let Meaning::Reading(reading) = meaning else { continue };
            if reading.quantity == Quantity::THICKNESS_UM && thickness_is_work(log, row) {
                continue;
            }
            if bath.measured_ph.is_some() && is_ph(*reading) {
                continue;
            }
            let (value, below) = match measured(model, log, row, column, *reading) {
                Ok(Some(measured)) => measured,
                Ok(None) => continue,
                Err(error) => {
                    wrong.push(error);
                    continue;
                }
            };
            // Below a limit nothing was found to start with: it starts as made up.
            if row == 0 && reading.can_start(&model.tank) && !starts_as_made_up && !below {
                let slot = |reading: &Reading| reading.content(&model.tank).map(|(slot, _)| slot);
                if !bath.starts.iter().any(|known| slot(&known.reading) == slot(reading)) {
                    bath.starts.push(start(log, column, *reading, value));
                }
            }
            let observed = Observation { value, sigma: sigma(log, column, row), below };
            let kept = into.observe(
                column,
                reading.quantity,
                (case, bath.readings.len()),
                observed,
                (sheet, row, *number),
                &|expected| log.refuse(row, column, expected),
            );
            match kept {
                Ok(()) => bath.readings.push((row, *reading)),
                Err(error) => wrong.push(error),
            }
        }
    }
    if bath.readings.is_empty() && wrong.is_empty() {
        wrong.push(log.problem(SheetProblem::NothingMeasured { columns: log.names() }));
    }
    log.refuse_all(wrong)?;
    bath.doubts = doubts(log, &bath, &meanings)?;
    into.cases.push(Case {
        kind: Kind::Log(bath),
        labels: vec![("data".to_owned(), log.file.clone())],
        place: log.file.clone(),
    });
    Ok(())
}

/// What was measured in a row, or the limit it is below; whether it is that.
fn measured(
    model: &Model,
    log: &Sheet,
    row: usize,
    column: &str,
    reading: Reading,
) -> Result<Option<(f64, bool)>, DataError> {
    let Some((value, below)) = log.measured(column, row)? else { return Ok(None) };
    if value < 0.0 {
        return Err(log.refuse(row, column, "zero or more"));
    }
    if let Some(fresh) = reading.fed(model).filter(|fresh| value > TIMES_FRESH * fresh) {
        let expected = format!("a value nearer to the make-up's {fresh:.4}: is it in another unit?");
        return Err(log.refuse(row, column, &expected));
    }
    Ok(Some((value, below)))
}

fn calibrated(log: &Sheet) -> Vec<usize> {
    let marked = |row: &usize| log.cell(CALIBRATED, *row).is_some_and(|cell| cell != 0.0);
    (0..log.rows.len()).filter(marked).collect()
}

fn start(log: &Sheet, column: &str, reading: Reading, value: f64) -> LogStart {
    // Where nothing was found at first, what was found later.
    let largest = log.column(column).into_iter().flatten().flatten().fold(0.0_f64, |a, b| a.max(*b));
    let size = [value, largest, 1.0].into_iter().find(|size| *size > 0.0).unwrap_or(1.0);
    LogStart { reading, column: column.to_owned(), value, size }
}
