//! Baths followed along their logs.

use bathkin::study::{Plan, PlanRequest};
use bathkin_fit::Stop;
use bathkin_fit::data::Data;
use bathkin_fit::predict::MadeUp;
use bathkin_fit::track::{Age, AgeingForm, Track, TrackOptions, held_against, track};
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;

use crate::classes::Recipe;
use crate::errors::{raise, raise_data};
use crate::fit_options::{Given, sheets};
use crate::made::Made;
use crate::watched::watched;

/// A bath that was followed.
#[pyclass(frozen, module = "bathkin._core")]
pub struct Tracked {
    recipe: bathkin::Recipe,
    inner: bathkin_fit::track::Tracked,
}

#[pymethods]
impl Tracked {
    /// Follows a log; `used` is the turnovers of a used bath, below zero where nothing tells them; `start` (seconds since
    /// 1970 by the clock on the wall, offset as text) of the first row; `progress` gets how many members are done.
    #[new]
    #[pyo3(signature = (recipe, log, members, seed, used = None, start = None, accept = vec![], rival_ageing = false, progress = None))]
    #[expect(clippy::too_many_arguments, reason = "the arguments of a Python call")]
    fn new(
        py: Python<'_>,
        recipe: &Recipe,
        log: Given,
        members: usize,
        seed: u64,
        used: Option<f64>,
        start: Option<(f64, String)>,
        accept: Vec<usize>,
        rival_ageing: bool,
        progress: Option<Py<PyAny>>,
    ) -> PyResult<Self> {
        let Some(Data::Log(sheet)) = sheets(vec![log])?.pop() else {
            return Err(PyValueError::new_err("expected a log"));
        };
        let options = TrackOptions {
            members,
            seed,
            age: match used {
                None => Age::OfLog,
                Some(turnovers) if turnovers < 0.0 => Age::Used,
                Some(turnovers) => Age::Turnovers(turnovers),
            },
            start: start.map(|(at_s, zone)| MadeUp { at_s, zone }),
            accept,
            ageing: if rival_ageing {
                vec![AgeingForm::OfRecipe, AgeingForm::Exponential]
            } else {
                vec![AgeingForm::OfRecipe]
            },
        };
        let stop = Stop::default();
        let recipe = recipe.inner.heeding(&stop);
        let found = watched(py, progress.as_ref(), &stop, |report| {
            track(&recipe, &sheet, &options, &|count| report(count as f64))
        })?;
        Ok(Tracked { inner: found.map_err(|error| raise_data(py, &error))?, recipe })
    }

    /// What it tells.
    fn result(&self) -> Made<&Track> {
        Made(&self.inner.track)
    }

    /// What to add in the coming shift.
    #[pyo3(signature = (shift_h, now, round_ml = None, calendar = None, start_s = None, sure = false))]
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
