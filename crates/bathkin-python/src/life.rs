//! Lives.

use bathkin::life::Table;
use bathkin::{Stop, Verdict};
use numpy::{IntoPyArray, PyArray1, PyReadonlyArray1};
use pyo3::prelude::*;
use pyo3::types::PyDict;
use serde::{Deserialize, Serialize};

use crate::errors::raise;
use crate::json::json;
use crate::watched::watched;

/// A simulated life.
#[pyclass(frozen, module = "bathkin._core")]
pub struct Life {
    pub(crate) verdict: Verdict,
    pub(crate) table: Table,
    document: String,
}

/// A verdict as a pickle has it: the limit, then hours, plating hours, turnovers, those plated, area in m².
type Ended = (String, f64, f64, f64, f64, f64);

/// What a life is made again from: its verdict, its columns, everything else as JSON.
type Numbers<'py> = (Ended, Vec<(String, Bound<'py, PyArray1<f64>>)>, String);

/// Runs a life that hears of Ctrl-C and tells its turnovers now and then.
pub fn simulate(py: Python<'_>, recipe: &bathkin::Recipe, progress: Option<Py<PyAny>>) -> PyResult<Life> {
    let stop = Stop::default();
    let recipe = recipe.heeding(&stop);
    let lived = watched(py, progress.as_ref(), &stop, |report| {
        let life = recipe.simulate_life_reporting(&mut |turnovers| report(turnovers))?;
        let document = written(&life, &recipe.life_flags(&life)?);
        Ok(Life { document, verdict: life.verdict, table: life.table })
    })?;
    lived.map_err(|error: bathkin::Error| raise(py, &error))
}

/// Everything but the table, as JSON.
fn written(life: &bathkin::Life, flags: &[bathkin::flag::Flag]) -> String {
    #[derive(Serialize)]
    struct Document<'a> {
        verdict: &'a Verdict,
        limits: &'a [bathkin::life::LimitStatus],
        solids: &'a [bathkin::life::SolidStatus],
        film: &'a Option<bathkin::life::FilmStatus>,
        surface: &'a bathkin::life::SurfaceStatus,
        stress: &'a Option<bathkin::deposit::StressStatus>,
        loads: &'a [bathkin::life::LoadRecord],
        events: &'a [bathkin::life::EventRecord],
        ledger: &'a bathkin::life::Ledger,
        balance: &'a bathkin::life::Balance,
        reductant_feed: &'a bathkin::life::ReductantFeed,
        hydrogen_l: f64,
        effort: &'a bathkin::life::SolverStatistics,
        flags: &'a [bathkin::flag::Flag],
    }
    json(&Document {
        verdict: &life.verdict,
        limits: &life.limits,
        solids: &life.solids,
        film: &life.film,
        surface: &life.surface,
        stress: &life.stress,
        loads: &life.loads,
        events: &life.events,
        ledger: &life.ledger,
        balance: &life.balance,
        reductant_feed: &life.reductant_feed,
        hydrogen_l: life.hydrogen_l,
        effort: &life.effort,
        flags,
    })
}

impl Life {
    /// Path of each limit, with the distance that was left to it at the end.
    pub(crate) fn margins(&self) -> Vec<(String, f64)> {
        #[derive(Deserialize)]
        struct Document {
            limits: Vec<Standing>,
        }
        #[derive(Deserialize)]
        struct Standing {
            path: String,
            margin: Option<f64>,
        }
        let limits = serde_json::from_str(&self.document).map_or(Vec::new(), |of: Document| of.limits);
        limits.into_iter().filter_map(|limit| limit.margin.map(|margin| (limit.path, margin))).collect()
    }
}

#[pymethods]
impl Life {
    /// From the numbers of a life that was simulated before: a pickle carries them.
    #[new]
    fn new(
        verdict: Ended,
        columns: Vec<(String, PyReadonlyArray1<'_, f64>)>,
        document: String,
    ) -> PyResult<Self> {
        let (limit, clock_h, plating_h, turnovers, turnovers_plated, area_m2) = verdict;
        let mut table = Table::default();
        for (name, values) in columns {
            table.add_column(&name, values.as_slice()?.to_vec());
        }
        let verdict = Verdict { limit, clock_h, plating_h, turnovers, turnovers_plated, area_m2 };
        Ok(Life { verdict, table, document })
    }

    fn __getnewargs__<'py>(&self, py: Python<'py>) -> Numbers<'py> {
        let Verdict { limit, clock_h, plating_h, turnovers, turnovers_plated, area_m2 } =
            self.verdict.clone();
        let columns = self.table.columns().iter();
        let columns = columns.map(|(name, values)| (name.clone(), values.clone().into_pyarray(py))).collect();
        ((limit, clock_h, plating_h, turnovers, turnovers_plated, area_m2), columns, self.document.clone())
    }

    /// Columns of the table: name to array.
    fn columns<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let columns = PyDict::new(py);
        for (name, values) in self.table.columns() {
            let array: Bound<'py, PyArray1<f64>> = values.clone().into_pyarray(py);
            columns.set_item(name, array)?;
        }
        Ok(columns)
    }

    /// Everything but the table, as JSON.
    fn document(&self) -> &str {
        &self.document
    }
}
