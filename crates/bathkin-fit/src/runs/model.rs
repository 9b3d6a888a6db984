//! Residuals of runs over a recipe with free paths.

use bathkin::Recipe;
use bathkin::recipe::Value;
use bathkin_numerics::least_squares::Residuals;
use rayon::prelude::*;
use serde::Serialize;

use super::settings::{Setting, settings};
use super::table::{AREA, Quantity, Runs, RunsError, SIGMA, TIME};
use crate::model::ResidualModel;

/// How errors of what was measured are distributed. With y observed, f calculated:
///
/// | model | residual |
/// | --- | --- |
/// | absolute | (f - y)/a |
/// | relative | ln(f/y)/r |
/// | mixed | (f - y)/√(a² + (r y)²) |
///
/// A sigma of the row's own takes the place of a, or of r y. With an estimated scale only the ratios of
/// these numbers matter.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "model")]
pub enum ErrorModel {
    /// The same standard deviation in the unit of what was measured.
    Absolute {
        /// Standard deviation, in that unit.
        sigma: f64,
    },
    /// The same relative standard deviation: a straight error of the logarithm.
    Relative {
        /// Relative standard deviation.
        sigma: f64,
    },
    /// Both.
    Mixed {
        /// Standard deviation at zero.
        absolute: f64,
        /// Relative standard deviation far from zero.
        relative: f64,
    },
}

/// How a number is moved while fitting.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ParameterScale {
    /// By its logarithm, so that it stays positive and its unit does not matter.
    Log,
    /// As it is.
    Linear,
}

impl ParameterScale {
    /// Positive numbers go by their logarithm, except where laws are straight in the number itself or it
    /// may change its sign: energies, orders and exponents, pH, temperatures and potentials.
    fn of(path: &str, value: f64) -> Self {
        const LINEAR_ENDINGS: [&str; 7] =
            ["_kj_mol", "_c", "_v", "_v_she", "exponent", "transfer_coefficient", "per_decade"];
        let last = path.rsplit('.').next().unwrap_or(path);
        let linear = path.split(['.', '_']).any(|word| ["order", "ph"].contains(&word))
            || LINEAR_ENDINGS.iter().any(|ending| last.ends_with(ending));
        if linear || value <= 0.0 { ParameterScale::Linear } else { ParameterScale::Log }
    }

    /// From the recipe's number to the solver's.
    pub fn inside(self, value: f64) -> f64 {
        match self {
            ParameterScale::Log => value.max(0.0).ln(),
            ParameterScale::Linear => value,
        }
    }

    /// And back.
    pub fn outside(self, value: f64) -> f64 {
        match self {
            ParameterScale::Log => value.exp(),
            ParameterScale::Linear => value,
        }
    }
}

/// One set of conditions: runs that share it are replicates and computed once.
#[derive(Debug, Clone)]
pub(super) struct Condition {
    /// Index of a run made under it.
    pub run: usize,
    recipe: Recipe,
    minutes: Option<f64>,
    area_m2: Option<f64>,
    quantity: Quantity,
}

/// A measured run.
#[derive(Debug, Clone, Copy)]
pub(super) struct Measured {
    /// Its place in the table.
    pub run: usize,
    pub condition: usize,
    pub observed: f64,
    pub sigma: Option<f64>,
}

/// Runs over a recipe with free paths.
///
/// **Derivatives** are central differences in the numbers the solver moves, with a step of
/// [`RunModel::step`] times the larger of the number and one (one-sided where the recipe refuses the other
/// side): recipes offer slopes of their chemistry, not of their rates. Their relative error is about
/// 1e-9 for rates and 2e-5 for simulated loads; [`fit_runs`](super::fit_runs) sets the solver's resolution
/// and rank tolerance to that.
#[derive(Debug, Clone)]
pub struct RunModel {
    names: Vec<String>,
    scales: Vec<ParameterScale>,
    start: Vec<f64>,
    file: String,
    row_numbers: Vec<usize>,
    pub(super) settings: Vec<Setting>,
    pub(super) conditions: Vec<Condition>,
    pub(super) measured: Vec<Measured>,
    error_model: ErrorModel,
}

impl RunModel {
    /// Lays runs over a recipe; fits start from the recipe's numbers.
    ///
    /// # Errors
    /// [`RunsError`]: a cell, column or path that cannot be used; the recipe, where it does not take a row.
    pub fn new(recipe: &Recipe, runs: &Runs, free: &[String], errors: ErrorModel) -> Result<Self, RunsError> {
        runs.check()?;
        let settings = settings(recipe, runs)?;
        let mut start = Vec::new();
        for (place, path) in free.iter().enumerate() {
            start.push(number_at(recipe, path)?);
            if free[..place].contains(path) {
                return Err(runs.refuse_column(format!("{path} is free twice")));
            }
            if let Some(setting) = settings.iter().find(|setting| &setting.path == path) {
                let what = format!("{} sets {path}, which cannot be free too", setting.column);
                return Err(runs.refuse_column(what));
            }
        }
        let scales = free.iter().zip(&start).map(|(path, value)| ParameterScale::of(path, *value)).collect();
        let mut model = RunModel {
            names: free.to_vec(),
            scales,
            start,
            file: runs.file.clone(),
            row_numbers: runs.rows.clone(),
            settings,
            conditions: Vec::new(),
            measured: Vec::new(),
            error_model: errors,
        };
        model.read(recipe, runs)?;
        if free.is_empty() {
            return Err(runs.refuse_column("nothing is free: name the paths to fit"));
        }
        if model.measured.len() < free.len() {
            let what = format!("{} measured runs for {} free numbers", model.measured.len(), free.len());
            return Err(runs.refuse_column(what));
        }
        Ok(model)
    }

    fn read(&mut self, recipe: &Recipe, runs: &Runs) -> Result<(), RunsError> {
        let mut keys: Vec<Vec<Option<f64>>> = Vec::new();
        for run in 0..runs.rows.len() {
            let Some((quantity, observed)) = runs.observed(run)? else { continue };
            let column = quantity.column();
            let positive = !matches!(self.error_model, ErrorModel::Absolute { .. });
            if observed < 0.0 || (positive && observed == 0.0) {
                let expected = if positive {
                    "a number above zero, or the absolute error model"
                } else {
                    "a number, zero or more"
                };
                return Err(runs.refuse(run, column, expected));
            }
            let minutes = runs.cell(TIME, run);
            let area_m2 = runs.cell(AREA, run).map(|cm2| cm2 * 1e-4);
            if minutes.is_none() && quantity != Quantity::DepositionUmH {
                return Err(runs.refuse(run, TIME, &format!("the time of a run with {column}")));
            }
            if area_m2.is_none() && quantity == Quantity::MassGainMg {
                return Err(runs.refuse(run, AREA, &format!("the area of a run with {column}")));
            }
            let sigma = runs.cell(SIGMA, run);
            if sigma.is_none() && runs.column(SIGMA).is_some() {
                return Err(runs.refuse(run, SIGMA, "a number above zero in every measured run"));
            }
            let cells = self.settings.iter().map(|setting| runs.cell(&setting.column, run));
            let mut key: Vec<Option<f64>> = cells.collect();
            let set = key.clone();
            // Quantities are told apart by their place in the list.
            let place = Quantity::ALL.iter().position(|known| *known == quantity);
            key.extend([minutes, area_m2, place.map(|place| place as f64)]);
            let condition = if let Some(known) = keys.iter().position(|known| *known == key) {
                known
            } else {
                let with = |recipe: Recipe, (setting, value): (&Setting, &Option<f64>)| match value {
                    Some(value) => recipe.with(
                        &setting.path,
                        Value::Number(value * setting.factor),
                        &format!("{}: row {}, {}", self.file, runs.rows[run], setting.column),
                    ),
                    None => recipe,
                };
                let recipe = self.settings.iter().zip(&set).fold(recipe.clone(), with);
                keys.push(key);
                self.conditions.push(Condition { run, recipe, minutes, area_m2, quantity });
                self.conditions.len() - 1
            };
            self.measured.push(Measured { run, condition, observed, sigma });
        }
        if self.measured.is_empty() {
            let columns: Vec<&str> = Quantity::ALL.iter().map(|quantity| quantity.column()).collect();
            return Err(
                runs.refuse_column(format!("nothing was measured: no value in {}", columns.join(", ")))
            );
        }
        Ok(())
    }

    /// Where fits start, as the solver counts.
    pub fn start(&self) -> Vec<f64> {
        self.scales.iter().zip(&self.start).map(|(scale, value)| scale.inside(*value)).collect()
    }

    /// Least and largest total of a component in the fresh baths of the runs, mol/L; `None` for what is no
    /// component.
    pub(super) fn span_of(&self, component: &str) -> Option<(f64, f64)> {
        let total = |condition: &Condition| {
            let model = condition.recipe.model().ok()?;
            let slot = model.tank.equilibrium.component_names().iter().position(|name| name == component)?;
            Some(model.fresh_totals_mol_l[slot])
        };
        let totals: Vec<f64> = self.conditions.iter().map(total).collect::<Option<_>>()?;
        Some((totals.iter().copied().fold(f64::INFINITY, f64::min), totals.into_iter().fold(0.0, f64::max)))
    }

    /// How each number is moved.
    pub fn scales(&self) -> &[ParameterScale] {
        &self.scales
    }

    /// The error model.
    pub fn error_model(&self) -> ErrorModel {
        self.error_model
    }

    /// Number of its row, and the value, of every measured run.
    pub fn observed(&self) -> impl Iterator<Item = (usize, f64)> {
        self.measured.iter().map(|run| (self.row_numbers[run.run], run.observed))
    }

    /// The same runs with another error model.
    pub(super) fn with_errors(&self, error_model: ErrorModel) -> Self {
        RunModel { error_model, ..self.clone() }
    }

    /// True when every run has its own sigma.
    pub(super) fn has_sigma(&self) -> bool {
        self.measured.iter().all(|run| run.sigma.is_some())
    }

    /// Whether any run is a simulated load.
    pub fn simulates(&self) -> bool {
        self.conditions.iter().any(|condition| condition.minutes.is_some() && condition.area_m2.is_some())
    }

    /// Step of the differences: balances the error of the formula, h², against the noise of what is
    /// computed over h: rounding for rates, the integrator's 1e-8 for loads.
    pub fn step(&self) -> f64 {
        if self.simulates() { 1e-2 } else { 1e-5 }
    }

    /// What the runs are predicted to show at the solver's numbers, one value for each condition.
    pub(super) fn predictions(&self, at: &[f64]) -> Result<Vec<f64>, RunsError> {
        let predict = |condition: &Condition| self.predict(condition, at);
        let found: Vec<Result<f64, RunsError>> = self.conditions.par_iter().map(predict).collect();
        found.into_iter().collect()
    }

    /// What a coupon under a condition shows.
    pub(super) fn predict(&self, condition: &Condition, at: &[f64]) -> Result<f64, RunsError> {
        let numbers = self.names.iter().zip(&self.scales).zip(at);
        let recipe = numbers.fold(condition.recipe.clone(), |recipe, ((path, scale), value)| {
            recipe.with(path, Value::Number(scale.outside(*value)), "the fit")
        });
        show(&recipe, condition).map_err(|error| RunsError::Recipe {
            place: format!("{}: row {}: ", self.file, self.row_numbers[condition.run]),
            error,
        })
    }

    /// A condition of its own: settings by path or column over the recipe of the first run's.
    pub(super) fn condition(&self, recipe: Recipe, minutes: Option<f64>, area_m2: Option<f64>) -> Condition {
        let quantity = if minutes.is_some() { Quantity::ThicknessUm } else { Quantity::DepositionUmH };
        Condition { run: self.conditions[0].run, recipe, minutes, area_m2, quantity }
    }

    /// (f, df/dp) under one condition.
    pub(super) fn slopes(&self, condition: &Condition, at: &[f64]) -> Result<(f64, Vec<f64>), RunsError> {
        let middle = self.predict(condition, at)?;
        let mut point = at.to_vec();
        let mut slopes = Vec::with_capacity(at.len());
        for (place, value) in at.iter().enumerate() {
            let step = self.step() * value.abs().max(1.0);
            let mut side = |moved: f64| {
                point[place] = moved;
                let shown = self.predict(condition, &point);
                point[place] = *value;
                shown
            };
            slopes.push(match (side(value + step), side(value - step)) {
                (Ok(above), Ok(below)) => (above - below) / (2.0 * step),
                (Ok(above), Err(_)) => (above - middle) / step,
                (Err(_), Ok(below)) => (middle - below) / step,
                (Err(error), Err(_)) => return Err(error),
            });
        }
        Ok((middle, slopes))
    }

    /// (residual, d residual / d calculated) of a run.
    fn residual(&self, run: &Measured, calculated: f64) -> (f64, f64) {
        let y = run.observed;
        let straight = |sigma: f64| ((calculated - y) / sigma, 1.0 / sigma);
        match (self.error_model, run.sigma) {
            (ErrorModel::Relative { sigma }, own) => {
                let relative = own.map_or(sigma, |own| own / y);
                ((calculated / y).ln() / relative, 1.0 / (calculated * relative))
            }
            (ErrorModel::Absolute { .. } | ErrorModel::Mixed { .. }, Some(sigma))
            | (ErrorModel::Absolute { sigma }, None) => straight(sigma),
            (ErrorModel::Mixed { absolute, relative }, None) => straight(absolute.hypot(relative * y)),
        }
    }
}

fn show(recipe: &Recipe, condition: &Condition) -> Result<f64, bathkin::Error> {
    let bath = recipe.make_up()?;
    if let (Some(minutes), Some(area_m2)) = (condition.minutes, condition.area_m2) {
        let load = bath.plate(area_m2, minutes)?.load;
        return Ok(match condition.quantity {
            Quantity::MassGainMg => load.mass_g * 1e3,
            Quantity::ThicknessUm => load.thickness_um,
            Quantity::DepositionUmH => load.thickness_um / minutes * 60.0,
        });
    }
    let rate = bath.rate()?;
    Ok(match (condition.quantity, condition.minutes) {
        (Quantity::ThicknessUm, Some(minutes)) => rate.deposition_um_h * minutes / 60.0,
        _ => rate.deposition_um_h,
    })
}

fn number_at(recipe: &Recipe, path: &str) -> Result<f64, RunsError> {
    let document = recipe.document();
    match document.get(path).map(|entry| &entry.value) {
        Some(Value::Number(number)) => Ok(*number),
        _ => {
            let numbers = document.entries().iter().filter(|e| matches!(e.value, Value::Number(_)));
            let place = bathkin::error::Place { file: document.file.clone(), line: None };
            let valid = numbers.map(|entry| entry.path.as_str());
            Err(bathkin::Error::unknown_name(place, "number of this recipe", path, valid).into())
        }
    }
}

impl Residuals for RunModel {
    type Error = RunsError;

    fn parameters(&self) -> usize {
        self.names.len()
    }

    fn rows(&self) -> usize {
        self.measured.len()
    }

    fn residuals(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), RunsError> {
        let calculated = self.predictions(at)?;
        for (residual, run) in residuals.iter_mut().zip(&self.measured) {
            *residual = self.residual(run, calculated[run.condition]).0;
        }
        Ok(())
    }

    fn linearise(&self, at: &[f64], residuals: &mut [f64], jacobian: &mut [f64]) -> Result<(), RunsError> {
        let found: Vec<Result<(f64, Vec<f64>), RunsError>> =
            self.conditions.par_iter().map(|condition| self.slopes(condition, at)).collect();
        let found: Vec<(f64, Vec<f64>)> = found.into_iter().collect::<Result<_, _>>()?;
        let columns = self.names.len();
        for (row, run) in self.measured.iter().enumerate() {
            let (calculated, slopes) = &found[run.condition];
            let (residual, slope) = self.residual(run, *calculated);
            residuals[row] = residual;
            for (column, by_parameter) in slopes.iter().enumerate() {
                jacobian[row * columns + column] = slope * by_parameter;
            }
        }
        Ok(())
    }
}

impl ResidualModel for RunModel {
    fn names(&self) -> &[String] {
        &self.names
    }
}
