//! Baths followed along their logs.

use bathkin::study::{Plan, PlanRequest};
use bathkin_fit::Stop;
use bathkin_fit::data::{Data, Sheet};
use bathkin_fit::predict::MadeUp;
use bathkin_fit::track::{
    Age, AgeingForm, Backtest, BacktestOptions, Track, TrackOptions, WorkAhead, backtest, held_against, track,
};
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;

use crate::classes::Recipe;
use crate::errors::{raise, raise_data};
use crate::fit_options::{Given, sheets};
use crate::made::Made;
use crate::typed::{Attributes, Progress};
use crate::watched::watched;

classes! {
    "bathkin.tracking.record": TrackingOptions => "TrackOptions";
}

/// How a bath is followed: the attributes of `bathkin.tracking.record.TrackOptions`.
#[derive(FromPyObject)]
pub struct TrackingOptions {
    members: usize,
    seed: u64,
    /// Turnovers of a used bath, below zero where nothing tells them; `None`: as the log says.
    turnovers: Option<f64>,
    /// Seconds since 1970 of the first row by the clock on the wall, and its offset as text.
    start: Option<(f64, String)>,
    accept: Vec<usize>,
    rival_ageing: bool,
    /// `as-logged` or `as-planned`.
    work: String,
    hold: Vec<String>,
    draw: Vec<String>,
}

impl TrackingOptions {
    fn of(self) -> TrackOptions {
        TrackOptions {
            members: self.members,
            seed: self.seed,
            age: match self.turnovers {
                None => Age::OfLog,
                Some(turnovers) if turnovers < 0.0 => Age::Used,
                Some(turnovers) => Age::Turnovers(turnovers),
            },
            start: self.start.map(|(at_s, zone)| MadeUp { at_s, zone }),
            accept: self.accept,
            held_numbers: true,
            work: if self.work == "as-planned" { WorkAhead::AsPlanned } else { WorkAhead::AsLogged },
            hold: self.hold,
            draw: self.draw,
            ageing: if self.rival_ageing {
                vec![AgeingForm::OfRecipe, AgeingForm::Exponential]
            } else {
                vec![AgeingForm::OfRecipe]
            },
        }
    }
}

fn log_sheet(log: Given) -> PyResult<Sheet> {
    match sheets(vec![log])?.pop() {
        Some(Data::Log(sheet)) => Ok(sheet),
        _ => Err(PyValueError::new_err("expected a log")),
    }
}

/// Forecasts from several rows of a log, scored; `progress` gets how many members are done.
#[pyfunction]
#[pyo3(name = "backtest", signature = (recipe, log, options, rows, dumped_h = None, last_bath_h = None, progress = None))]
#[expect(clippy::too_many_arguments, reason = "the arguments of a Python call")]
pub fn backtested(
    py: Python<'_>,
    recipe: &Recipe,
    log: Given,
    options: Attributes<TrackingOptions>,
    rows: Vec<usize>,
    dumped_h: Option<f64>,
    last_bath_h: Option<f64>,
    progress: Option<Progress>,
) -> PyResult<Made<Backtest>> {
    let sheet = log_sheet(log)?;
    let options = BacktestOptions { track: options.0.of(), rows, dumped_h, last_bath_h };
    let stop = Stop::default();
    let recipe = recipe.inner.heeding(&stop);
    let found = watched(py, progress.as_ref(), &stop, |report| {
        backtest(&recipe, &sheet, &options, &|count| report(count as f64))
    })?;
    found.map(Made).map_err(|error| raise_data(py, &error))
}

/// A bath that was followed.
#[pyclass(frozen, module = "bathkin._core")]
pub struct Tracked {
    recipe: bathkin::Recipe,
    inner: bathkin_fit::track::Tracked,
}

#[pymethods]
impl Tracked {
    /// Follows a log; `progress` gets how many members are done.
    #[new]
    #[pyo3(signature = (recipe, log, options, progress = None))]
    fn new(
        py: Python<'_>,
        recipe: &Recipe,
        log: Given,
        options: Attributes<TrackingOptions>,
        progress: Option<Progress>,
    ) -> PyResult<Self> {
        let (sheet, options) = (log_sheet(log)?, options.0.of());
        let stop = Stop::default();
        let recipe = recipe.inner.heeding(&stop);
        let found = watched(py, progress.as_ref(), &stop, |report| {
            track(&recipe, &sheet, &options, &|count| report(count as f64))
        })?;
        let inner = found.map_err(|error| raise_data(py, &error))?;
        Ok(Tracked { inner, recipe })
    }

    /// What it tells.
    fn result(&self) -> Made<&Track> {
        Made(&self.inner.track)
    }

    /// What to add in the coming shift.
    #[pyo3(signature = (shift_h, now, round_ml = None, calendar = None, start_s = None, sure = false))]
    #[expect(clippy::too_many_arguments, reason = "the arguments of a Python call")]
    fn plan(
        &self,
        py: Python<'_>,
        shift_h: f64,
        now: Vec<(String, f64)>,
        round_ml: Option<f64>,
        calendar: Option<String>,
        start_s: Option<f64>,
        sure: bool,
    ) -> PyResult<Made<Plan>> {
        let request = PlanRequest { shift_h, now, round_ml, calendar, start_s, sure };
        let doubts = held_against(&self.recipe, &self.inner.track, &request.now, sure)
            .map_err(|error| raise_data(py, &error))?;
        let stop = Stop::default();
        let recipe = self.recipe.heeding(&stop);
        let found = watched(py, None, &stop, |_| recipe.plan_of(&request, Some(&self.inner.in_use)))?;
        let with_doubts = |mut plan: Plan| {
            plan.flags.extend(doubts);
            Made(plan)
        };
        found.map(with_doubts).map_err(|error| raise(py, &error))
    }
}
