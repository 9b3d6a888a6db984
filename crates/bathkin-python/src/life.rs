//! Lives.

use std::time::{Duration, Instant};

use numpy::{IntoPyArray, PyArray1};
use pyo3::prelude::*;
use pyo3::types::PyDict;
use serde::Serialize;

use crate::errors::raise;
use crate::json::json;

/// Time between looks at the keyboard and the progress bar.
const LOOK_EVERY: Duration = Duration::from_millis(50);

/// A simulated life.
#[pyclass(frozen, module = "bathkin._core")]
pub struct Life {
    pub(crate) inner: bathkin::Life,
    flags: Vec<bathkin::recipe::Flag>,
}

/// Runs a life without the interpreter lock, looking up now and then.
pub fn simulate(py: Python<'_>, recipe: &bathkin::Recipe, progress: Option<Py<PyAny>>) -> PyResult<Life> {
    let mut interrupted: Option<PyErr> = None;
    let mut last = Instant::now();
    let outcome = py.detach(|| {
        recipe.simulate_life_reporting(&mut |turnovers| {
            if last.elapsed() < LOOK_EVERY {
                return true;
            }
            last = Instant::now();
            let looked = Python::attach(|py| {
                py.check_signals()?;
                progress.as_ref().map_or(Ok(()), |progress| progress.call1(py, (turnovers,)).map(|_| ()))
            });
            interrupted = looked.err();
            interrupted.is_none()
        })
    });
    if let Some(error) = interrupted {
        return Err(error);
    }
    let inner = outcome.map_err(|error| raise(py, &error))?;
    let flags = recipe.life_flags(&inner).map_err(|error| raise(py, &error))?;
    Ok(Life { inner, flags })
}

#[pymethods]
impl Life {
    /// Columns of the table: name to array.
    fn columns<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let columns = PyDict::new(py);
        for (name, values) in self.inner.table.columns() {
            let array: Bound<'py, PyArray1<f64>> = values.clone().into_pyarray(py);
            columns.set_item(name, array)?;
        }
        Ok(columns)
    }

    /// Everything but the table, as JSON.
    fn document(&self) -> String {
        #[derive(Serialize)]
        struct Document<'a> {
            verdict: &'a bathkin::Verdict,
            limits: &'a [bathkin::life::LimitStanding],
            solids: &'a [bathkin::life::SolidStanding],
            film: &'a Option<bathkin::life::FilmStanding>,
            surface: &'a bathkin::life::SurfaceStanding,
            stress: &'a Option<bathkin::deposit::StressStanding>,
            loads: &'a [bathkin::life::LoadRecord],
            events: &'a [bathkin::life::Happening],
            ledger: &'a bathkin::life::Ledger,
            balance: &'a bathkin::life::Balance,
            reductant_feed: &'a bathkin::life::ReductantFeed,
            hydrogen_l: f64,
            effort: &'a bathkin::life::Effort,
            flags: &'a [bathkin::recipe::Flag],
        }
        json(&Document {
            verdict: &self.inner.verdict,
            limits: &self.inner.limits,
            solids: &self.inner.solids,
            film: &self.inner.film,
            surface: &self.inner.surface,
            stress: &self.inner.stress,
            loads: &self.inner.loads,
            events: &self.inner.events,
            ledger: &self.inner.ledger,
            balance: &self.inner.balance,
            reductant_feed: &self.inner.reductant_feed,
            hydrogen_l: self.inner.hydrogen_l,
            effort: &self.inner.effort,
            flags: &self.flags,
        })
    }
}
