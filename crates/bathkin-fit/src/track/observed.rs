//! The readings of a log, by rows, with their errors.

use bathkin::Recipe;
use bathkin::constants::SECONDS_PER_HOUR;
use bathkin::tank::Quantity;
use bathkin::tank::quantity::Needs;
use bathkin::tank::{AlsoRead, METAL, Tank};

use bathkin_statistics::kalman::{FilteredRow, Innovation, own_noise};

use crate::data::cases::Kind;
use crate::data::collected::Collected;
use crate::data::error_model::ErrorModel;
use crate::data::logs::columns::{Reading, in_words};
use crate::data::logs::{self, LoggedBath};
use crate::data::sheet::Sheet;
use crate::error::DataError;
use crate::format::number;

/// Relative standard deviation of an analysis of the by-product (assumed: a laboratory's, seldom better).
const BY_PRODUCT_RELATIVE: f64 = 0.05;
/// A reading off by more than this factor, or a pH off by as much, is in no pass.
pub(crate) const WILD: f64 = 1.65;
/// Standard deviation of the same near nothing, mol/L (assumed).
const BY_PRODUCT_FLOOR_MOL_L: f64 = 0.02;

/// Which kind a reading is, for how it is compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Channel {
    /// A titration of the metal: compared by logarithm; bias and correlated noise are unknowns of their own.
    Titration,
    /// The content of a component.
    Content(usize),
    /// The pH in whatever sample.
    Ph,
    /// What hung in the tank.
    Piece,
    /// Anything else.
    Other,
}

/// A reading of a log.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Observed {
    pub row: usize,
    /// Which column, in order.
    pub column: usize,
    pub reading: Reading,
    pub channel: Channel,
    pub value: f64,
    /// Standard deviation in the unit of the column; of a titration the one the log states for this row.
    pub sigma: Option<f64>,
    /// Whether the log states that.
    pub stated: bool,
    /// All that is known is that it is below the value.
    pub below: bool,
}

impl Observed {
    /// Whether it says anything beside what is expected, both on the scale it is compared on: what is below a limit is an upper
    /// bound, which says nothing of a bath that is expected below it, and is as good as a reading of the limit where more is expected.
    pub fn tells(&self, measured: f64, expected: f64) -> bool {
        !self.below || expected > measured
    }

    /// What was expected of it, and the standard deviation of that, in the unit of the column, from its innovation on the
    /// scale it is compared on.
    pub fn expected(&self, innovation: &Innovation) -> (f64, f64) {
        let sd = (innovation.difference / innovation.standardised).abs();
        match self.channel {
            Channel::Titration => {
                let expected = (self.value.ln() - innovation.difference).exp();
                (expected, expected * sd)
            }
            _ => (self.value - innovation.difference, sd),
        }
    }
}

/// A log as it is followed.
#[derive(Debug, Clone)]
pub(crate) struct ObservedLog {
    pub bath: LoggedBath,
    /// By rows, in order.
    pub readings: Vec<Observed>,
    /// Names of the columns with readings.
    pub columns: Vec<String>,
    /// The same in words, each with its unit.
    pub words: Vec<(String, String)>,
    /// By how much the readings of each column scatter more than is usual, as the log itself tells it.
    pub scatter: Vec<f64>,
    /// Numbers of the rows as their author counts.
    pub rows: Vec<usize>,
    pub also: AlsoRead,
}

impl ObservedLog {
    /// Reads a log for a recipe.
    ///
    /// # Errors
    /// As a fit of the same log.
    pub fn read(recipe: &Recipe, log: &Sheet) -> Result<Self, DataError> {
        let mut collected = Collected::default();
        logs::collect(recipe, log, false, &mut collected)?;
        collected.settle_columns();
        let tank = &recipe.model()?.tank;
        let Some(Kind::Log(bath)) = collected.cases.pop().map(|case| case.kind) else {
            return Err(log.problem(crate::error::SheetProblem::NothingMeasured { columns: log.names() }));
        };
        let mut readings: Vec<Observed> = collected
            .rows
            .iter()
            .map(|row| {
                let reading = bath.reading(row.value);
                let channel = channel(tank, reading);
                let sigma = match channel {
                    Channel::Titration => row.observed.sigma,
                    Channel::Content(slot) if slot == tank.bath.roles.by_product => {
                        let per_mol_l = reading.content(tank).map_or(1.0, |(_, per_mol_l)| per_mol_l);
                        let usual = ErrorModel::Mixed {
                            absolute: BY_PRODUCT_FLOOR_MOL_L * per_mol_l,
                            relative: BY_PRODUCT_RELATIVE,
                        };
                        Some(usual.sigma(row.observed))
                    }
                    _ => Some(collected.columns[row.column].errors.sigma(row.observed)),
                };
                let (value, below, stated) =
                    (row.observed.value, row.observed.below, row.observed.sigma.is_some());
                Observed { row: row.place, column: row.column, reading, channel, value, sigma, stated, below }
            })
            .collect();
        readings.sort_by_key(|one| (one.row, one.column));
        let needs = |wanted| readings.iter().any(|one| one.reading.quantity.entry().needs == wanted);
        Ok(ObservedLog {
            also: AlsoRead { cooled: needs(Needs::CooledSample), liquid: needs(Needs::Liquid) },
            scatter: vec![1.0; collected.columns.len()],
            words: collected.columns.iter().map(|column| in_words(tank, &column.name)).collect(),
            columns: collected.columns.into_iter().map(|column| column.name).collect(),
            rows: log.rows.clone(),
            readings,
            bath,
        })
    }

    /// Gives readings the scatter that their own innovations tell, titrations of the metal and what the log states
    /// aside; whether any is told.
    pub fn take_own_scatter(&mut self, rows: &[FilteredRow]) -> bool {
        /// What scatters more or less than that times the usual is no error of reading.
        const MOST: f64 = 2.0;
        let mut told = false;
        for column in 0..self.columns.len() {
            let own = |one: &&mut Observed| {
                one.column == column && !one.stated && !one.below && one.channel != Channel::Titration
            };
            let mut readings: Vec<&mut Observed> = self.readings.iter_mut().filter(own).collect();
            if readings.is_empty() {
                continue;
            }
            let square: f64 = readings.iter().filter_map(|one| one.sigma).map(|sigma| sigma * sigma).sum();
            let assumed = (square / readings.len() as f64).sqrt();
            let Some(found) = own_noise(rows, column, assumed, 0.0) else { continue };
            let before = self.scatter[column];
            self.scatter[column] = (before * found / assumed).clamp(1.0 / MOST, MOST);
            let times = self.scatter[column] / before;
            readings.iter_mut().filter_map(|one| one.sigma.as_mut()).for_each(|sigma| *sigma *= times);
            told = true;
        }
        told
    }

    /// A value of a column in words: nickel = 5.8 g/L.
    pub fn told(&self, column: usize, value: f64) -> String {
        let (words, unit) = &self.words[column];
        format!("{words} = {} {unit}", number(value, 3)).trim_end().to_owned()
    }

    /// The readings of a row.
    pub fn of_row(&self, row: usize) -> &[Observed] {
        let from = self.readings.partition_point(|one| one.row < row);
        let to = self.readings.partition_point(|one| one.row <= row);
        &self.readings[from..to]
    }

    /// Clock time of each row from the first, h.
    pub fn times_h(&self) -> Vec<f64> {
        let at_row = self.bath.course.iter().filter(|segment| segment.row.is_some());
        at_row.map(|segment| segment.until_s / SECONDS_PER_HOUR).collect()
    }

    /// What goes in with each litre of the metal's solution, by the sums of the log: (solution, L), that solution first.
    pub fn parts_of_a_dose(&self, tank: &Tank) -> Vec<(usize, f64)> {
        let written = |solution: usize| -> f64 {
            let all = self.bath.course.iter().flat_map(|segment| &segment.additions);
            all.filter(|(which, _)| *which == solution).map(|(_, litres)| litres).sum()
        };
        let metal = written(METAL);
        let part = |solution: usize| (solution, written(solution) / metal);
        let others = (0..tank.operation.replenishers.len()).filter(|solution| *solution != METAL).map(part);
        let known = others.filter(|(_, part)| *part > 0.0 && part.is_finite());
        std::iter::once((METAL, 1.0)).chain(known).collect()
    }

    /// Whether a component is analysed anywhere.
    pub fn analyses(&self, tank: &Tank, slot: usize) -> bool {
        self.readings.iter().any(|one| one.reading.content(tank).is_some_and(|(of, _)| of == slot))
    }
}

fn channel(tank: &Tank, reading: Reading) -> Channel {
    let quantity = reading.quantity;
    match reading.content(tank) {
        Some((slot, _)) if slot == tank.bath.roles.metal => Channel::Titration,
        Some((slot, _)) => Channel::Content(slot),
        None if [Quantity::PH, Quantity::PH_25C].contains(&quantity) => Channel::Ph,
        None if quantity.is_of_piece_alone() => Channel::Piece,
        None => Channel::Other,
    }
}
