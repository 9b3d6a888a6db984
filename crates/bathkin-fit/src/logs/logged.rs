//! A bath along its log: one case with a value for every reading.

use bathkin::Recipe;
use bathkin::life::{CourseReading, Follower, Stretch, as_logged, follow};
use bathkin::solution::ph::settle_ph;
use bathkin::tank::{PH, Tank};

use super::columns::{LogQuantity, Meaning, meanings, sigma};
use super::course::{course, finely};
use crate::problem::case::{Case, Kind};
use crate::problem::error_model::Observation;
use crate::problem::free::{FreeNumber, ParameterScale, Target};
use crate::problem::sheet::{DataError, Sheet};
use crate::problem::tables::Collected;
use crate::problem::variant::Variant;

/// Name of the column of what was added to hold the pH.
const PH_ADDITIONS: [&str; 2] = ["ph_l", "ph_ml_l"];

/// A bath along its log.
#[derive(Debug, Clone)]
pub(crate) struct LoggedBath {
    pub recipe: Recipe,
    course: Vec<Stretch>,
    ph_is_logged: bool,
    /// What the bath held at the first row, as free numbers tell it; the rest is the make-up's.
    pub starts: Vec<LogQuantity>,
    /// (row, quantity) of every reading, by rows.
    readings: Vec<(usize, LogQuantity)>,
}

/// Adds a log to what is collected; gives the free numbers of its start, none where it starts as made up.
pub(crate) fn collect(
    recipe: &Recipe,
    log: &Sheet,
    starts_as_made_up: bool,
    into: &mut Collected,
) -> Result<Vec<FreeNumber>, DataError> {
    log.check()?;
    let meanings = meanings(recipe, log)?;
    let (sheet, case) = (into.sheets, into.cases.len());
    into.sheets += 1;
    let mut bath = LoggedBath {
        recipe: recipe.clone(),
        course: course(recipe, log, &meanings)?,
        ph_is_logged: PH_ADDITIONS.iter().any(|name| log.column(name).is_some()),
        starts: Vec::new(),
        readings: Vec::new(),
    };
    let mut free = Vec::new();
    for (row, number) in log.rows.iter().enumerate() {
        for ((column, _), meaning) in log.columns.iter().zip(&meanings) {
            let Meaning::Reading(quantity) = meaning else { continue };
            let Some((value, below)) = log.measured(column, row)? else { continue };
            let refuse = |expected: &str| log.refuse(row, column, expected);
            if value < 0.0 {
                return Err(refuse("zero or more"));
            }
            // Below a limit nothing was found to start with: the make-up tells.
            if row == 0 && quantity.is_content() && !starts_as_made_up && !below {
                let same = |known: &LogQuantity| match (known, quantity) {
                    (LogQuantity::Total { slot: a, .. }, LogQuantity::Total { slot: b, .. }) => a == b,
                    _ => known == quantity,
                };
                if !bath.starts.iter().any(same) {
                    free.push(start_number(log, column, value, case, bath.starts.len()));
                    bath.starts.push(*quantity);
                }
            }
            let observed = Observation { value, sigma: sigma(log, column, row), below };
            into.observe(column, case, bath.readings.len(), observed, (sheet, row, *number), &refuse)?;
            bath.readings.push((row, *quantity));
        }
    }
    if bath.readings.is_empty() {
        return Err(log.refuse_column("no reading in any row: nothing to learn from"));
    }
    into.cases.push(Case {
        kind: Kind::Log(bath),
        labels: vec![("data".to_owned(), log.file.clone())],
        place: log.file.clone(),
    });
    Ok(free)
}

fn start_number(log: &Sheet, column: &str, value: f64, case: usize, place: usize) -> FreeNumber {
    FreeNumber {
        name: format!("start.{column}@{}", log.file),
        targets: vec![Target::Start { case, place }],
        scale: ParameterScale::Linear,
        start: value,
        group: None,
    }
}

impl LoggedBath {
    /// Every reading in each bath, carried side by side.
    pub fn values(&self, baths: &[(&Variant, &[f64])]) -> bathkin::error::Result<Vec<Vec<f64>>> {
        let tanks: Vec<Tank> =
            baths.iter().map(|(variant, _)| as_logged(&variant.tank, self.ph_is_logged)).collect();
        let totals: Vec<Vec<f64>> = tanks
            .iter()
            .zip(baths)
            .map(|(tank, (variant, starts))| self.start_totals(tank, variant, starts))
            .collect::<bathkin::error::Result<_>>()?;
        let followers: Vec<Follower> =
            tanks.iter().zip(&totals).map(|(tank, totals_mol_l)| Follower { tank, totals_mol_l }).collect();
        let mut values = vec![Vec::with_capacity(self.readings.len()); baths.len()];
        let mut read = vec![0; baths.len()];
        follow(&followers, &self.course, &mut |row, bath, reading| {
            let left = &self.readings[read[bath]..];
            let here = left.iter().take_while(|(of, _)| *of == row);
            values[bath].extend(here.map(|(_, quantity)| quantity.of(reading)));
            read[bath] = values[bath].len();
        })?;
        Ok(values)
    }

    /// What a reading is of.
    pub fn quantity(&self, reading: usize) -> LogQuantity {
        self.readings[reading].1
    }

    /// What the bath shows along its course, at times in s, before and after what was added.
    pub fn course_of(
        &self,
        variant: &Variant,
        starts: &[f64],
        points: usize,
    ) -> bathkin::error::Result<(Vec<f64>, Vec<CourseReading>)> {
        let tank = as_logged(&variant.tank, self.ph_is_logged);
        let totals_mol_l = &self.start_totals(&tank, variant, starts)?;
        let course = finely(&self.course, points);
        let mut readings = Vec::with_capacity(course.len());
        let follower = Follower { tank: &tank, totals_mol_l };
        follow(&[follower], &course, &mut |_, _, reading| readings.push(reading.clone()))?;
        Ok((course.iter().map(|stretch| stretch.until_s).collect(), readings))
    }

    /// The make-up with what the first row found in its place; the pH is settled with its corrector.
    fn start_totals(
        &self,
        tank: &Tank,
        variant: &Variant,
        starts: &[f64],
    ) -> bathkin::error::Result<Vec<f64>> {
        let mut totals = variant.totals_mol_l.clone();
        let mut ph = self.starts.iter().any(|start| *start != LogQuantity::Ph).then_some(tank.set_points.ph);
        for (quantity, value) in self.starts.iter().zip(starts) {
            match quantity {
                LogQuantity::Total { slot, per_mol_l } => totals[*slot] = value / per_mol_l,
                _ => ph = Some(*value),
            }
        }
        let Some(ph) = ph else { return Ok(totals) };
        let kelvin = tank.set_points.ph_temperature_k;
        let gives = &tank.replenishers[PH].per_litre;
        let mut speciation = tank.equilibrium.speciation();
        let settled = settle_ph(&tank.equilibrium, &mut speciation, &mut totals, gives, kelvin, ph)?;
        settled.map(|_| totals).ok_or_else(|| bathkin::Error::Simulation {
            time_h: 0.0,
            reason: format!("{} cannot bring the start of the log to pH {ph}", tank.replenishers[PH].name),
        })
    }
}
