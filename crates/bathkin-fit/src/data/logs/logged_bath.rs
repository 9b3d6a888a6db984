//! A bath along its log: one case with a value for every reading.

use bathkin::Recipe;
use bathkin::document::Value;
use bathkin::life::{LoggedPh, LoggedSegment};
use bathkin::tank::{PhPolicy, Quantity};

use crate::data::logs::columns::Reading;
use crate::data::logs::log_doubt::LogDoubt;
use crate::data::logs::measured_ph::MeasuredPh;
use crate::data::logs::used::UsedBath;
use crate::data::logs::work::WorkSource;

/// A bath along its log.
#[derive(Debug, Clone)]
pub(crate) struct LoggedBath {
    pub recipe: Recipe,
    pub course: Vec<LoggedSegment>,
    /// What it tells of the pH between its rows.
    pub ph: LoggedPh,
    /// Its measured pH, where the bath follows that.
    pub measured_ph: Option<Box<MeasuredPh>>,
    /// Where its work is read.
    pub work: WorkSource,
    /// Whether the log has a temperature in any row.
    pub has_temperature: bool,
    /// Litres of water in the log.
    pub water_l: f64,
    /// What the bath held at the first row, each a free parameter; the rest is the make-up's.
    pub starts: Vec<LogStart>,
    /// What it was before the first row, where that was not fresh.
    pub used: Option<UsedBath>,
    /// Rows before whose readings the pH electrode was calibrated.
    pub calibrated: Vec<usize>,
    /// (row, what it is of) of every reading, by rows.
    pub readings: Vec<(usize, Reading)>,
    /// What is hard to believe of it.
    pub doubts: Vec<LogDoubt>,
}

/// What the first row of a log found of a content.
#[derive(Debug, Clone)]
pub(crate) struct LogStart {
    pub reading: Reading,
    pub column: String,
    /// In the unit of the column.
    pub value: f64,
    /// The largest value of the column, where the first one is zero.
    pub size: f64,
}

impl LoggedBath {
    /// Whether it has a pH that the recipe reads in a cooled sample.
    pub fn reads_cooled_ph(&self) -> bool {
        let text = |path: &str| match self.recipe.document().get(path).map(|entry| &entry.value) {
            Some(Value::Text(text)) => text == "cooled",
            _ => false,
        };
        text("operation.ph_reading")
            && self.measured_ph.is_none()
            && self.readings.iter().any(|(_, reading)| reading.quantity == Quantity::PH)
    }

    /// Whether the recipe has a pump that holds the pH.
    pub fn ph_is_pumped(&self) -> bool {
        self.recipe.model().is_ok_and(|model| model.tank.operation.policies.ph == PhPolicy::Continuous)
    }

    /// What the recipe makes the bath up with, of a content of the first row; `None` for a pH, and where it has none.
    pub fn made_up(&self, start: usize) -> Option<f64> {
        let (_, fresh) = self.starts.get(start)?.reading.made_up(self.recipe.model().ok()?)?;
        Some(fresh)
    }

    /// Row, and litres, of the largest addition of one solution at once, and litres of the tank.
    pub fn largest_addition(&self) -> Option<(usize, f64, f64)> {
        let tank_l = self.recipe.model().ok()?.tank.plant.volume_l;
        let most = |stretch: &LoggedSegment| {
            stretch.additions.iter().map(|(_, litres)| *litres).fold(stretch.water_l, f64::max)
        };
        let added = self.course.split_inclusive(|stretch| stretch.row.is_some()).filter_map(|up_to_row| {
            let row = up_to_row.last()?.row?;
            Some((row, up_to_row.iter().map(most).fold(0.0, f64::max), tank_l))
        });
        added.max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// How many stretches its course has.
    pub fn stretches(&self) -> usize {
        self.course.len()
    }

    /// What a reading is of.
    pub fn reading(&self, reading: usize) -> Reading {
        self.readings[reading].1
    }
}
