//! The temperature of a bath along its log.

use bathkin::Recipe;
use bathkin::constants::ZERO_CELSIUS_K;
use bathkin::life::Plates;
use bathkin::tank::{Idle, Ramp};

use crate::data::logs::columns::TEMPERATURE;
use crate::data::logs::work::Piece;
use crate::data::sheet::Sheet;
use crate::error::DataError;

/// The working temperature: linear between the rows that have one, level before the first and after the last,
/// the recipe's where none has.
pub(crate) struct Working {
    /// Rows with a temperature of their own, (s, K).
    known: Vec<(f64, f64)>,
    recipe_k: f64,
    idle: Option<Idle>,
}

impl Working {
    pub(crate) fn read(
        recipe: &Recipe,
        log: &Sheet,
        times_s: &[f64],
        wrong: &mut Vec<DataError>,
    ) -> Result<Self, DataError> {
        let mut known: Vec<(f64, f64)> = Vec::new();
        for (row, time) in times_s.iter().enumerate() {
            let Some(celsius) = log.cell(TEMPERATURE, row) else { continue };
            if !(0.0..=105.0).contains(&celsius) {
                wrong.push(log.refuse(row, TEMPERATURE, "the temperature of an aqueous bath, degC"));
                continue;
            }
            known.push((*time, celsius + ZERO_CELSIUS_K));
        }
        let tank = &recipe.model()?.tank;
        Ok(Working { known, recipe_k: tank.operation.temperature_k, idle: tank.operation.programme.idle })
    }

    /// At a time, K.
    fn at_k(&self, time: f64) -> f64 {
        let known = &self.known;
        match known.iter().position(|(known, _)| *known >= time) {
            _ if known.is_empty() => self.recipe_k,
            None => known[known.len() - 1].1,
            Some(0) => known[0].1,
            Some(after) => {
                let ((t0, k0), (t1, k1)) = (known[after - 1], known[after]);
                k0 + (k1 - k0) * (time - t0) / (t1 - t0)
            }
        }
    }

    /// Temperatures along the pieces of all rows, each as (end, what plates, ramp): an idle tank goes down to the
    /// recipe's idle temperature and is back when work goes in, or when a row has a temperature of its own.
    pub(crate) fn along(&self, pieces: &[Vec<Piece>]) -> Vec<Vec<(f64, Plates, Ramp)>> {
        let rests = self.rests(pieces);
        let mut start = 0.0;
        let mut found = Vec::with_capacity(pieces.len());
        for row in pieces {
            let row_end = row.last().map_or(start, |(end, _)| *end);
            let hot = Ramp::between((start, self.at_k(start)), (row_end, self.at_k(row_end)));
            let hot = if row_end > start { hot } else { Ramp::held(self.at_k(start)) };
            let mut parts = Vec::new();
            for (end, plates) in row {
                let rest = rests.iter().find(|(since, until)| *since <= start && *end <= *until);
                let rest = rest.filter(|_| is_nothing(plates));
                while start < *end {
                    let cold = rest.and_then(|rest| self.idle_ramp(start, *rest));
                    let ramp = cold.unwrap_or(Ramp { until_s: *end, ..hot });
                    // Far below the time between rows: what is left of a piece by rounding is none.
                    let until = if ramp.until_s > *end - 1e-6 { *end } else { ramp.until_s };
                    parts.push((until, *plates, ramp));
                    start = until;
                }
            }
            if parts.is_empty() {
                parts.push((row_end, Plates::Area(0.0), hot));
            }
            found.push(parts);
        }
        found
    }

    fn idle_ramp(&self, time: f64, (since, until): (f64, f64)) -> Option<Ramp> {
        self.idle?.ramp(time, (since, self.at_k(since)), (until, self.at_k(until)))
    }

    /// Stretches without work, s, grouped where a row has a temperature of its own.
    fn rests(&self, pieces: &[Vec<Piece>]) -> Vec<(f64, f64)> {
        let mut found: Vec<(f64, f64)> = Vec::new();
        let mut start = 0.0;
        let mut goes_on = false;
        for row in pieces {
            for (end, plates) in row {
                if is_nothing(plates) {
                    match found.last_mut().filter(|_| goes_on) {
                        Some(rest) => rest.1 = *end,
                        None => found.push((start, *end)),
                    }
                }
                goes_on = is_nothing(plates);
                start = *end;
            }
            goes_on &= !self.known.iter().any(|(known, _)| *known == start);
        }
        found
    }
}

fn is_nothing(plates: &Plates) -> bool {
    matches!(plates, Plates::Area(area) if *area == 0.0)
}
