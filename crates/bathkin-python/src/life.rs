//! Lives.

use bathkin::life::Table;
use bathkin::{Flag, Stop, Verdict};
use numpy::IntoPyArray;
use pyo3::prelude::*;

use crate::errors::raise;
use crate::made::{Made, columns};
use crate::typed::{Array, Columns, Progress, ReadArray1};
use crate::watched::watched;

/// What of a simulated life later questions need.
#[pyclass(frozen, module = "bathkin._core")]
pub struct Life {
    pub(crate) verdict: Verdict,
    pub(crate) table: Table,
    /// Path of each limit, with the distance that was left to it at the end.
    pub(crate) margins: Vec<(String, f64)>,
}

/// A life, what it came to, and its warnings.
pub type Lived = (Life, Made<bathkin::Life>, Made<Vec<Flag>>);

/// A verdict as a pickle has it: the limit, then hours, plating hours, turnovers, those plated, area in m².
type Ended = (String, f64, f64, f64, f64, f64);

/// What a life is made again from: its verdict, its columns, its margins.
type Numbers<'py> = (Ended, Vec<(String, Array<'py, f64>)>, Vec<(String, f64)>);

/// Runs a life that hears of Ctrl-C and tells its turnovers now and then.
pub fn simulate(py: Python<'_>, recipe: &bathkin::Recipe, progress: Option<Progress>) -> PyResult<Lived> {
    let stop = Stop::default();
    let recipe = recipe.heeding(&stop);
    let lived = watched(py, progress.as_ref(), &stop, |report| {
        let life = recipe.simulate_life_reporting(&mut |turnovers| report(turnovers))?;
        let flags = recipe.life_flags(&life)?;
        let (verdict, table, margins) = (life.verdict.clone(), life.table.clone(), life.margins());
        Ok((Life { verdict, table, margins }, Made(life), Made(flags)))
    })?;
    lived.map_err(|error: bathkin::Error| raise(py, &error))
}

#[pymethods]
impl Life {
    /// From the numbers of a life that was simulated before: a pickle carries them.
    #[new]
    fn new(
        verdict: Ended,
        columns: Vec<(String, ReadArray1<'_>)>,
        margins: Vec<(String, f64)>,
    ) -> PyResult<Self> {
        let (limit, clock_h, plating_h, turnovers, turnovers_plated, area_m2) = verdict;
        let mut table = Table::default();
        for (name, values) in columns {
            table.add_column(&name, values.as_slice()?.to_vec());
        }
        let verdict = Verdict { limit, clock_h, plating_h, turnovers, turnovers_plated, area_m2 };
        Ok(Life { verdict, table, margins })
    }

    fn __getnewargs__<'py>(&self, py: Python<'py>) -> Numbers<'py> {
        let Verdict { limit, clock_h, plating_h, turnovers, turnovers_plated, area_m2 } =
            self.verdict.clone();
        let columns = self.table.columns().iter();
        let columns =
            columns.map(|(name, values)| (name.clone(), Array(values.clone().into_pyarray(py)))).collect();
        ((limit, clock_h, plating_h, turnovers, turnovers_plated, area_m2), columns, self.margins.clone())
    }

    /// Columns of the table by name.
    fn columns<'py>(&self, py: Python<'py>) -> PyResult<Columns<'py>> {
        columns(py, self.table.columns().iter().map(|(name, values)| (name.as_str(), values.clone())))
    }
}
