//! Residuals of runs and logs over a recipe with free numbers.

use std::sync::{Arc, Mutex, PoisonError};

use bathkin_numerics::least_squares::Residuals;
use rayon::prelude::*;

use crate::data::cases::{Case, Kind};
use crate::data::collected::Collected;
use crate::data::rows::{Column, Row};
use crate::data::runs::Setting;
use crate::error::{DataError, SpecificationProblem};
use crate::objective::accuracy::BOTH_SIDES;
use crate::objective::accuracy::Grain;
use crate::objective::accuracy::STEP;
use crate::objective::accuracy::STEP_TO_ONE_SIDE;
use crate::objective::evaluation_cache::EvaluationCache;
use crate::objective::evaluation_cache::Linearised;
use crate::objective::evaluation_cache::Values;
use crate::objective::free::FreeParameter;
use crate::objective::free::Target;
use crate::objective::values::{Point, Seed};
use crate::stop::Stop;
use bathkin_statistics::error::FitError;
use bathkin_statistics::residual_model::ResidualModel;

/// Values of a case, and their slopes by each free number.
type WithSlopes = (Vec<f64>, Vec<Vec<f64>>);

/// Runs and logs over a recipe with free numbers.
///
/// **Derivatives** are central differences in the numbers the solver moves, 3e-5 times the larger of the
/// number and its usual size to either side, from one side where the recipe refuses the other; on the way to
/// a minimum they are from one side, with a smaller step, off by a few millionths. All points of a simulated case are
/// carried with the same steps ([`bathkin_numerics::Lockstep`]) and with equilibria solved to rounding, so that
/// what is differenced is smooth: central ones are off by a few 1e-9 at most of what the steps have as their derivative,
/// and with these steps columns of a log are within 1e-7 of extrapolated differences of replays carried to 3e-12, those
/// to one side within 4e-5. They pass through equilibrium, rates, integration and additions, and hold for every number
/// of a recipe. Rates of fresh baths by
/// numbers of laws, constants of species, what is weighed out and the pH are exact: the laws are evaluated in dual
/// numbers, in a liquid that moves by the implicit function theorem.
#[derive(Debug, Clone)]
pub struct RecipeModel {
    names: Vec<String>,
    pub(crate) free: Vec<FreeParameter>,
    /// (sheet, what a column of it sets).
    pub(crate) settings: Vec<(usize, Setting)>,
    pub(crate) cases: Vec<Case>,
    pub(crate) rows: Vec<Row>,
    pub(crate) columns: Vec<Column>,
    kept: Arc<EvaluationCache>,
    grain: Grain,
    pub(crate) stop: Stop,
    /// Why a point was refused last.
    refusal: Arc<Mutex<Option<DataError>>>,
    /// Cases by the work they are: the last one that is taken up holds up the others least.
    longest_first: Vec<usize>,
}

/// A difference this much smaller than the value is rounding: the number has no say in it.
const ROUNDING: f64 = 1e-11;

impl RecipeModel {
    pub(crate) fn new(
        free: Vec<FreeParameter>,
        settings: Vec<(usize, Setting)>,
        collected: Collected,
    ) -> Self {
        let Collected { cases, rows, columns, .. } = collected;
        let names = free.iter().map(|number| number.name.clone()).collect();
        let mut longest_first: Vec<usize> = (0..cases.len()).collect();
        longest_first.sort_by_key(|number| std::cmp::Reverse(cases[*number].stretches()));
        RecipeModel {
            names,
            free,
            settings,
            cases,
            rows,
            columns,
            kept: Arc::default(),
            grain: Grain::Fine,
            stop: Stop::default(),
            refusal: Arc::default(),
            longest_first,
        }
    }

    /// Calculated value of every measured one at the solver's numbers.
    ///
    /// # Errors
    /// [`DataError`] where the recipe does not take the numbers, or a simulation fails.
    pub fn calculated(&self, at: &[f64]) -> Result<Vec<f64>, DataError> {
        let values = self.values(at)?;
        Ok(self.rows.iter().map(|row| values[row.case][row.value]).collect())
    }

    /// The same with other error models, by column; what was computed is shared.
    pub(crate) fn with_columns(&self, columns: Vec<Column>) -> Self {
        RecipeModel { columns, ..self.clone() }
    }

    /// Keeps values and slopes at a point from which many fits will start.
    pub(crate) fn pin(&self, at: &[f64]) -> Result<(), DataError> {
        self.kept.pin(&self.linearised(at)?);
        Ok(())
    }

    /// The same with simulations as coarse as a search can do with.
    pub(crate) fn coarse(&self) -> Self {
        RecipeModel { grain: Grain::Coarse, kept: Arc::default(), ..self.clone() }
    }

    /// The same with slopes from differences to one side, off by a few millionths for half the work.
    pub(crate) fn one_sided(&self) -> Self {
        RecipeModel { grain: Grain::OneSided, kept: Arc::default(), ..self.clone() }
    }

    /// The same with slopes from both sides; `None` where they are.
    pub(crate) fn both_sided(&self) -> Option<Self> {
        (self.grain == Grain::OneSided).then(|| RecipeModel {
            grain: Grain::Fine,
            kept: Arc::default(),
            ..self.clone()
        })
    }

    /// Norm of what the residuals would change by were every calculated value e times as large, where it is as
    /// observed.
    pub(crate) fn reach(&self) -> f64 {
        let of = |row: &Row| self.residual(row, row.observed.value).1 * row.observed.value;
        self.rows.iter().map(|row| of(row).powi(2)).sum::<f64>().sqrt()
    }

    /// Refuses what is at hand too when asked to stop: a search that starts from it would try ever shorter steps.
    fn go_on(&self) -> Result<(), DataError> {
        if self.stop.is_asked() { Err(FitError::Stopped.into()) } else { Ok(()) }
    }

    /// Something of every case, the longest taken up first; the error of the first case that has one.
    fn of_cases<T: Send>(
        &self,
        of: impl Fn(usize, &Case) -> Result<T, DataError> + Sync,
    ) -> Result<Vec<T>, DataError> {
        let of = |number: &usize| (*number, self.go_on().and_then(|()| of(*number, &self.cases[*number])));
        // One after the other to whoever is free.
        let mut found: Vec<(usize, Result<T, DataError>)> =
            self.longest_first.iter().par_bridge().map(of).collect();
        found.sort_unstable_by_key(|(number, _)| *number);
        let found: Result<Vec<T>, DataError> = found.into_iter().map(|(_, found)| found).collect();
        if let Err(error) = &found {
            *self.refusal.lock().unwrap_or_else(PoisonError::into_inner) = Some(error.clone());
        }
        found
    }

    /// Why a point was refused last.
    pub(crate) fn last_refusal(&self) -> Option<DataError> {
        self.refusal.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// What the free numbers make of a case at the solver's numbers.
    pub(crate) fn point<'a>(&'a self, number: usize, case: &Case, at: &[f64]) -> Point<'a> {
        let mut point = Point::default();
        for (free, value) in self.free.iter().zip(at) {
            if !free.rules(number, &case.labels) {
                continue;
            }
            let value = free.scale.outside(*value);
            for target in &free.targets {
                match target {
                    Target::Path { path, factor } => point.numbers.push((path, factor * value)),
                    Target::Start { .. } => point.starts.push(value),
                }
            }
        }
        point
    }

    /// Values of a case.
    pub(crate) fn values_of(&self, number: usize, case: &Case, at: &[f64]) -> Result<Vec<f64>, DataError> {
        let found = case
            .values(&[self.point(number, case, at)], self.grain.relative_tolerance())
            .map_err(|error| case.refuse(error))?;
        Ok(found.into_iter().flatten().next().unwrap_or_default())
    }

    /// Values of every case.
    pub(crate) fn values(&self, at: &[f64]) -> Result<Values, DataError> {
        self.go_on()?;
        if let Some(kept) = self.kept.values(at) {
            return Ok(kept);
        }
        let found = Arc::new(self.of_cases(|number, case| self.values_of(number, case, at))?);
        // Where stopped, points the recipe takes look refused: nothing of it is kept.
        self.go_on()?;
        self.kept.keep_values(at, &found);
        Ok(found)
    }

    /// Values of a case with their slopes by every free number; no slopes where it has no say.
    pub(crate) fn slopes_of(&self, number: usize, case: &Case, at: &[f64]) -> Result<WithSlopes, DataError> {
        if let Some(found) = self.exact_slopes(number, case, at)? {
            return Ok(found);
        }
        self.slopes_from(self.grain.sides(), number, case, at)
    }

    /// The same from dual numbers, where it is told what every free number that has a say moves.
    fn exact_slopes(&self, number: usize, case: &Case, at: &[f64]) -> Result<Option<WithSlopes>, DataError> {
        let Kind::Coupon(coupon) = &case.kind else { return Ok(None) };
        let ruling: Vec<usize> =
            (0..at.len()).filter(|place| self.free[*place].rules(number, &case.labels)).collect();
        let seeds: Vec<Vec<Seed>> = ruling.iter().map(|place| self.free[*place].seeds(at[*place])).collect();
        let found = coupon.slopes(&self.point(number, case, at), &seeds);
        let Some((value, found)) = found.map_err(|error| case.refuse(error))? else { return Ok(None) };
        let mut slopes = vec![Vec::new(); at.len()];
        for (place, slope) in ruling.into_iter().zip(found) {
            // An order at its reference has no say but for the rounding of that concentration.
            let seen = (slope * 2.0 * self.step(place, at[place], STEP)).abs() > ROUNDING * value.abs();
            slopes[place] = vec![if seen { slope } else { 0.0 }];
        }
        Ok(Some((vec![value], slopes)))
    }

    /// Part of a free number, or of its usual size where that is larger.
    fn step(&self, place: usize, at: f64, part: f64) -> f64 {
        part * at.abs().max(self.free[place].size)
    }

    fn slopes_from(
        &self,
        sides: &[f64],
        number: usize,
        case: &Case,
        at: &[f64],
    ) -> Result<WithSlopes, DataError> {
        let mut points = vec![self.point(number, case, at)];
        let mut moved = at.to_vec();
        let both = sides.len() == BOTH_SIDES.len();
        let part = if both { STEP } else { STEP_TO_ONE_SIDE };
        let step = |place: usize| self.step(place, at[place], part);
        let ruling: Vec<usize> =
            (0..at.len()).filter(|place| self.free[*place].rules(number, &case.labels)).collect();
        for place in &ruling {
            for side in sides {
                moved[*place] = at[*place] + side * step(*place);
                points.push(self.point(number, case, &moved));
            }
            moved[*place] = at[*place];
        }
        let found =
            case.values(&points, self.grain.relative_tolerance()).map_err(|error| case.refuse(error))?;
        if !both && found.iter().any(Option::is_none) {
            return self.slopes_from(&BOTH_SIDES, number, case, at);
        }
        let mut found = found.into_iter();
        let middle = found.next().flatten().unwrap_or_default();
        let mut slopes = vec![Vec::new(); at.len()];
        for place in ruling {
            let ends =
                BOTH_SIDES.map(|side| if sides.contains(&side) { found.next().flatten() } else { None });
            let apart = f64::from(ends.iter().flatten().count() as u32) * step(place);
            let [below, above] = ends.map(|end| end.unwrap_or_else(|| middle.clone()));
            if apart == 0.0 {
                let free = &self.free[place];
                let (path, at) = (free.name.clone(), free.scale.outside(at[place]));
                return Err(SpecificationProblem::NoStep { place: case.place.clone(), path, at }.into());
            }
            let slope = |((above, below), middle): ((&f64, &f64), &f64)| {
                let difference = above - below;
                if difference.abs() > ROUNDING * middle.abs() { difference / apart } else { 0.0 }
            };
            slopes[place] = above.iter().zip(&below).zip(&middle).map(slope).collect();
        }
        Ok((middle, slopes))
    }

    /// Values with their slopes; those of the last points are at hand.
    pub(crate) fn linearised(&self, at: &[f64]) -> Result<Arc<Linearised>, DataError> {
        self.go_on()?;
        if let Some(kept) = self.kept.linearised(at) {
            return Ok(kept);
        }
        let found = self.of_cases(|number, case| self.slopes_of(number, case, at))?;
        self.go_on()?;
        let (values, slopes) = found.into_iter().unzip();
        let found = Arc::new(Linearised { at: at.to_vec(), values: Arc::new(values), slopes });
        self.kept.keep(&found);
        Ok(found)
    }

    /// Residuals at a point, with the slopes of what is calculated taken from another one.
    pub(crate) fn linearise_by(
        &self,
        at: &[f64],
        slopes: &Linearised,
        residuals: &mut [f64],
        jacobian: &mut [f64],
    ) -> Result<(), DataError> {
        self.write(&self.values(at)?, &slopes.slopes, residuals, jacobian);
        Ok(())
    }

    /// Residuals and their derivatives from values and slopes by case.
    fn write(
        &self,
        values: &[Vec<f64>],
        slopes: &[Vec<Vec<f64>>],
        residuals: &mut [f64],
        jacobian: &mut [f64],
    ) {
        let columns = self.names.len();
        for (number, row) in self.rows.iter().enumerate() {
            let (residual, by_calculated) = self.residual(row, values[row.case][row.value]);
            residuals[number] = residual;
            for (place, slopes) in slopes[row.case].iter().enumerate() {
                jacobian[number * columns + place] =
                    slopes.get(row.value).map_or(0.0, |slope| by_calculated * slope);
            }
        }
    }

    /// Residuals of values that came with their slopes.
    pub(crate) fn residuals_with_slopes(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), DataError> {
        self.compare(&self.linearised(at)?.values, residuals);
        Ok(())
    }

    /// z φ(z)/Φ(z) of a value below a limit, z how many sigmas that lies above the calculated one.
    pub(crate) fn pull_on_size(&self, row: &Row, calculated: f64) -> f64 {
        let limit = row.observed.value;
        // The residual r has dr/dz = -φ/(Φ r).
        let (residual, by_calculated) = self.residual(row, calculated);
        let above = if self.columns[row.column].errors.is_logarithmic() {
            calculated * (limit / calculated).ln()
        } else {
            limit - calculated
        };
        above * residual * by_calculated
    }

    /// Derivative of the residual of a row by its calculated value.
    pub(crate) fn slope(&self, row: &Row, calculated: f64) -> f64 {
        self.residual(row, calculated).1
    }

    /// What an effect of one, on the scale of the errors, makes of each residual.
    pub(crate) fn effect_weights(&self) -> Vec<f64> {
        let of = |row: &Row| {
            let column = &self.columns[row.column];
            1.0 / (column.size * column.errors.sigma(row.observed))
        };
        self.rows.iter().map(of).collect()
    }

    fn compare(&self, values: &[Vec<f64>], residuals: &mut [f64]) {
        for (residual, row) in residuals.iter_mut().zip(&self.rows) {
            *residual = self.residual(row, values[row.case][row.value]).0;
        }
    }

    fn residual(&self, row: &Row, calculated: f64) -> (f64, f64) {
        let column = &self.columns[row.column];
        column.errors.residual(row.observed, calculated, column.size)
    }
}

impl Residuals for RecipeModel {
    type Error = DataError;

    fn parameters(&self) -> usize {
        self.names.len()
    }

    fn rows(&self) -> usize {
        self.rows.len()
    }

    fn residuals(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), DataError> {
        self.compare(&self.values(at)?, residuals);
        Ok(())
    }

    fn linearise(&self, at: &[f64], residuals: &mut [f64], jacobian: &mut [f64]) -> Result<(), DataError> {
        let found = self.linearised(at)?;
        self.write(&found.values, &found.slopes, residuals, jacobian);
        Ok(())
    }
}

impl ResidualModel for RecipeModel {
    fn names(&self) -> &[String] {
        &self.names
    }

    /// Readings of one sample belong together.
    fn case_of(&self, row: usize) -> usize {
        self.rows[row].sample
    }
}
