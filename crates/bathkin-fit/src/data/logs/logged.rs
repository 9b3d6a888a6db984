//! A bath along its log: one case with a value for every reading.

use bathkin::Recipe;
use bathkin::constants::REFERENCE_TEMPERATURE_K;
use bathkin::document::Value;
use bathkin::life::{CourseReading, LogReplay, LoggedSegment, ReadingTimes, replay, replayed};
use bathkin::solution::ph::{SettledSlopes, settle_ph};
use bathkin::tank::{PH, PhPolicy, Tank};

use crate::data::error_model::Observation;
use crate::data::logs::columns::{LogQuantity, Meaning, TEMPERATURE, meanings, sigma};
use crate::data::logs::course::{course, finely};
use crate::data::logs::work::{Told, thickness_is_work, told};
use crate::data::sheet::{DataError, Sheet};
use crate::data::tables::Collected;
use crate::objective::accuracy::FINE;
use crate::objective::case::{Case, Kind};
use crate::objective::free::{FreeParameter, ParameterScale, Target};
use crate::objective::variant::Variant;

/// Name of the column of what was added to hold the pH.
const PH_ADDITIONS: [&str; 2] = ["ph_l", "ph_ml_l"];

/// A bath along its log.
#[derive(Debug, Clone)]
pub(crate) struct LoggedBath {
    pub recipe: Recipe,
    course: Vec<LoggedSegment>,
    pub ph_is_logged: bool,
    /// How its work is told.
    pub work: Told,
    /// Whether the log has a temperature in any row.
    pub has_temperature: bool,
    /// Litres of water in the log.
    pub water_l: f64,
    /// What the bath held at the first row, as free numbers tell it; the rest is the make-up's.
    pub starts: Vec<LogQuantity>,
    /// Columns that tell it.
    start_columns: Vec<String>,
    /// (row, quantity) of every reading, by rows.
    readings: Vec<(usize, LogQuantity)>,
}

/// A reading of metal or reductant that is more times the make-up is in another unit.
const TIMES_FRESH: f64 = 20.0;

/// Adds a log to what is collected; gives the free numbers of its start, none where it starts as made up.
pub(crate) fn collect(
    recipe: &Recipe,
    log: &Sheet,
    starts_as_made_up: bool,
    into: &mut Collected,
) -> Result<Vec<FreeParameter>, DataError> {
    log.check()?;
    let meanings = meanings(recipe, log)?;
    let model = recipe.model()?;
    let (sheet, case) = (into.sheets, into.cases.len());
    into.sheets += 1;
    let mut bath = LoggedBath {
        recipe: recipe.clone(),
        course: course(recipe, log, &meanings)?,
        ph_is_logged: PH_ADDITIONS.iter().any(|name| log.column(name).is_some()),
        work: told(recipe, log)?,
        has_temperature: log.column(TEMPERATURE).is_some_and(|cells| cells.iter().any(Option::is_some)),
        water_l: 0.0,
        starts: Vec::new(),
        start_columns: Vec::new(),
        readings: Vec::new(),
    };
    bath.water_l = bath.course.iter().map(|stretch| stretch.water_l).sum();
    let mut free = Vec::new();
    for (row, number) in log.rows.iter().enumerate() {
        for ((column, _), meaning) in log.columns.iter().zip(&meanings) {
            let Meaning::Reading(quantity) = meaning else { continue };
            if *quantity == LogQuantity::ThicknessUm && thickness_is_work(log, row) {
                continue;
            }
            let Some((value, below)) = log.measured(column, row)? else { continue };
            let refuse = |expected: &str| log.refuse(row, column, expected);
            if value < 0.0 {
                return Err(refuse("zero or more"));
            }
            if let Some(fresh) = quantity.fed(model).filter(|fresh| value > TIMES_FRESH * fresh) {
                let expected = format!("a value nearer to the make-up's {fresh:.4}: is it in another unit?");
                return Err(refuse(&expected));
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
                    bath.start_columns.push(column.clone());
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
        group: None,
    });
    Ok(free)
}

fn start_number(log: &Sheet, column: &str, value: f64, case: usize, place: usize) -> FreeParameter {
    // Where nothing was found at first, what was found later.
    let largest = log.column(column).into_iter().flatten().flatten().fold(0.0_f64, |a, b| a.max(*b));
    let size = [value, largest, 1.0].into_iter().find(|size| *size > 0.0).unwrap_or(1.0);
    FreeParameter {
        name: format!("start.{column}@{}", log.file),
        targets: vec![Target::Start { case, place }],
        scale: ParameterScale::Linear,
        start: value,
        size,
        group: None,
    }
}

impl LoggedBath {
    /// Whether it has a pH that the recipe reads in a cooled sample.
    pub fn reads_cooled_ph(&self) -> bool {
        let text = |path: &str| match self.recipe.document().get(path).map(|entry| &entry.value) {
            Some(Value::Text(text)) => text == "cooled",
            _ => false,
        };
        text("operation.ph_reading") && self.readings.iter().any(|(_, quantity)| *quantity == LogQuantity::Ph)
    }

    /// Whether the recipe has a pump that holds the pH.
    pub fn ph_is_pumped(&self) -> bool {
        self.recipe.model().is_ok_and(|model| model.tank.policies.ph == PhPolicy::Continuous)
    }

    /// Names of the columns whose first row the bath starts with.
    pub fn start_columns(&self) -> &[String] {
        &self.start_columns
    }

    /// What the recipe makes the bath up with, of a content that the first row tells; `None` for a pH, and where it has none.
    pub fn made_up(&self, start: usize) -> Option<f64> {
        let (_, fresh) = self.starts.get(start)?.made_up(self.recipe.model().ok()?)?;
        Some(fresh)
    }

    /// Row, and litres, of the largest addition of one solution at once, and litres of the tank.
    pub fn largest_addition(&self) -> Option<(usize, f64, f64)> {
        let tank_l = self.recipe.model().ok()?.tank.volume_l;
        let added = self.course.iter().filter_map(|stretch| {
            let most = stretch.additions.iter().map(|(_, litres)| *litres).fold(stretch.water_l, f64::max);
            stretch.row.map(|row| (row, most, tank_l))
        });
        added.max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// How many stretches its course has.
    pub fn stretches(&self) -> usize {
        self.course.len()
    }

    /// Every reading in each bath, carried side by side.
    pub fn values(
        &self,
        baths: &[(&Variant, &[f64])],
        relative_tolerance: f64,
    ) -> bathkin::error::Result<Vec<Vec<f64>>> {
        let tanks: Vec<Tank> =
            baths.iter().map(|(variant, _)| replayed(&variant.tank, self.ph_is_logged)).collect();
        let totals = self.start_totals(&tanks, baths)?;
        let replays: Vec<LogReplay> = tanks
            .iter()
            .zip(&totals)
            .zip(baths)
            .map(|((tank, totals_mol_l), (variant, _))| LogReplay {
                tank,
                totals_mol_l,
                follows: variant.others == baths[0].0.others,
            })
            .collect();
        let mut values = vec![Vec::with_capacity(self.readings.len()); baths.len()];
        let mut read = vec![0; baths.len()];
        let any = |wanted: LogQuantity| self.readings.iter().any(|(_, quantity)| *quantity == wanted);
        let times = ReadingTimes {
            ph_25c: any(LogQuantity::Ph25c),
            specific_gravity: any(LogQuantity::SpecificGravity),
        };
        replay(&replays, &self.course, times, relative_tolerance, &mut |row, bath, reading| {
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
        let tank = replayed(&variant.tank, self.ph_is_logged);
        let totals = self.start_totals(std::slice::from_ref(&tank), &[(variant, starts)])?;
        let course = finely(&self.course, points);
        let mut readings = Vec::with_capacity(course.len());
        let replay_of = LogReplay { tank: &tank, totals_mol_l: &totals[0], follows: false };
        let times = ReadingTimes { ph_25c: true, specific_gravity: true };
        replay(&[replay_of], &course, times, FINE, &mut |_, _, reading| readings.push(reading.clone()))?;
        Ok((course.iter().map(|stretch| stretch.until_s).collect(), readings))
    }

    /// The make-up with what the first row found in its place; the pH is settled with its corrector. Baths
    /// close to the first are settled by its slopes.
    fn start_totals(
        &self,
        tanks: &[Tank],
        baths: &[(&Variant, &[f64])],
    ) -> bathkin::error::Result<Vec<Vec<f64>>> {
        let mut about: Option<SettledSlopes> = None;
        let mut all = Vec::with_capacity(tanks.len());
        for (tank, (variant, starts)) in tanks.iter().zip(baths) {
            let mut totals = variant.totals_mol_l.clone();
            let Some(ph) = self.put(&mut totals, tank, starts) else {
                all.push(totals);
                continue;
            };
            let gives = &tank.replenishers[PH].per_litre;
            if let Some(about) = about.as_ref().filter(|_| variant.others == baths[0].0.others) {
                let amount = about.amount(&totals, gives, ph);
                totals.iter_mut().zip(gives).for_each(|(total, give)| *total += amount * give);
                all.push(totals);
                continue;
            }
            let kelvin = self.start_temperature_k(tank);
            let equilibrium = &tank.equilibrium.solved_exactly();
            let mut speciation = equilibrium.speciation();
            let settled = settle_ph(equilibrium, &mut speciation, &mut totals, gives, kelvin, ph)?;
            let Some(amount) = settled else {
                let name = &tank.replenishers[PH].name;
                let reason = format!("{name} cannot bring the start of the log to pH {ph}");
                return Err(bathkin::Error::Simulation { time_h: 0.0, reason });
            };
            if about.is_none() && tanks.len() > 1 {
                about = Some(SettledSlopes::about(equilibrium, &mut speciation, &totals, gives, amount, ph)?);
            }
            all.push(totals);
        }
        Ok(all)
    }

    /// Temperature the pH of the first row was read at, K: that of the bath then, or of a cooled sample.
    fn start_temperature_k(&self, tank: &Tank) -> f64 {
        let cooled = tank.set_points.ph_temperature_k == REFERENCE_TEMPERATURE_K;
        let first = self.course.first().filter(|_| !cooled);
        first.map_or(tank.set_points.ph_temperature_k, |stretch| stretch.temperature.at_k(0.0))
    }

    /// Puts what the first row found into totals; gives the pH to settle, none where nothing was found.
    fn put(&self, totals: &mut [f64], tank: &Tank, starts: &[f64]) -> Option<f64> {
        let mut ph = (!self.starts.is_empty()).then_some(tank.set_points.ph);
        for (quantity, value) in self.starts.iter().zip(starts) {
            match quantity {
                LogQuantity::Total { slot, per_mol_l } => totals[*slot] = value / per_mol_l,
                _ => ph = Some(*value),
            }
        }
        ph
    }
}
