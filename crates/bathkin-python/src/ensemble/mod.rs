//! Ensembles: many members of one recipe.

mod checkpoint;
mod draws;

use std::collections::BTreeMap;
use std::fs::File;
use std::io;
use std::ops::Range;
use std::sync::{Mutex, MutexGuard, PoisonError};

use bathkin::study::ensemble::record::record;
use bathkin::study::ensemble::{Chunk, Collected, EnsemblePlan};
use bathkin::study::{Driver, ElementaryEffects, FailedMember, OutputStatistics, Silent, VarianceShare};
use bathkin::{Error, Stop};
use numpy::IntoPyArray;
use pyo3::exceptions::{PyKeyboardInterrupt, PyOSError};
use pyo3::prelude::*;
use pyo3::types::PyBytes;

use crate::classes::Recipe;
use crate::errors::{new, raise};
use crate::made::{Made, column, columns};
use crate::typed::{Array, Columns, Progress};
use crate::watched::until_interrupted;
use draws::Draws;

/// An ensemble, computed or to be.
#[pyclass(frozen, module = "bathkin._core")]
pub struct Ensemble {
    plan: EnsemblePlan,
    draws: Draws,
    /// Whether each member is kept.
    keep: bool,
    at_hand: Mutex<AtHand>,
}

/// What was computed, and the file that is told of it.
struct AtHand {
    collected: Collected,
    file: Option<File>,
}

/// What an ensemble is made again from.
type Arguments<'py> =
    (Recipe, Vec<String>, Draws, Vec<String>, u64, (u64, u64), bool, Option<Bound<'py, PyBytes>>);

/// Edges and counts of a histogram.
type Histogram<'py> = Option<(Array<'py, f64>, Array<'py, u64>)>;

/// Rows of an answer, and the outputs without one.
type Found<T> = (Made<Vec<T>>, Made<Vec<Silent>>);

/// Why work ended early.
enum Ended {
    /// It was asked to, or there is no bath to begin with.
    Core(Error),
    /// What was computed could not be written down.
    File(io::Error),
}

impl From<Error> for Ended {
    fn from(error: Error) -> Self {
        Ended::Core(error)
    }
}

#[pymethods]
impl Ensemble {
    /// Of a recipe, draws (see `Draws`), names of outputs, a seed, and the members (from, to) to compute; `kept` is what a pickle
    /// has of it.
    #[new]
    #[pyo3(signature = (recipe, paths, draws, outputs, seed, members, keep, kept = None))]
    #[expect(clippy::too_many_arguments, reason = "the arguments of a Python call")]
    fn new(
        py: Python<'_>,
        recipe: &Recipe,
        paths: Vec<String>,
        draws: Draws,
        outputs: Vec<String>,
        seed: u64,
        members: Option<(u64, u64)>,
        keep: bool,
        kept: Option<&[u8]>,
    ) -> PyResult<Self> {
        let design = draws.design(py, &recipe.inner, &paths, seed)?;
        let plan = EnsemblePlan::new(&recipe.inner, &paths, design, &outputs, seed)
            .map_err(|error| raise(py, &error))?;
        let (from, to) = members.unwrap_or((0, plan.design.count()));
        if from >= to || to > plan.design.count() {
            let expected = format!("expected a part of members 0 to {}", plan.design.count());
            return Err(new(py, "RecipeError", format!("ensemble: part {from} to {to}: {expected}"), None));
        }
        let collected = match kept.map(Collected::of_bytes) {
            None => Collected::new(&plan, from..to, keep),
            Some(Some(collected)) => collected,
            Some(None) => {
                let told = "this is no ensemble of this version of bathkin".to_owned();
                return Err(new(py, "DataError", told, None));
            }
        };
        Ok(Ensemble { plan, draws, keep, at_hand: Mutex::new(AtHand { collected, file: None }) })
    }

    fn __getnewargs__<'py>(&self, py: Python<'py>) -> Arguments<'py> {
        let collected = &self.at_hand().collected;
        let members = collected.members();
        // What has not begun is told by the rest.
        let kept = (collected.done() > 0).then(|| PyBytes::new(py, &collected.bytes()));
        self.arguments(&self.draws, members, kept)
    }

    /// The file that chunks are added to as they are done, from which an ended computation goes on; it is begun, or read when it
    /// is there. Members found, records that are damaged, and bytes of a record that was being written.
    fn write_to(&self, py: Python<'_>, path: &str) -> PyResult<(u64, usize, usize)> {
        let opened = py.detach(|| checkpoint::opened(&self.plan, path));
        let (file, found) = opened.map_err(|ended| raised(py, ended, path))?;
        let at_hand = &mut self.at_hand();
        at_hand.file = Some(file);
        let cut = found.cut;
        Ok((taken(&self.plan, at_hand, found.chunks), found.damaged, cut))
    }

    /// Members of another such file, as another part of this ensemble wrote it.
    fn read_from(&self, py: Python<'_>, path: &str) -> PyResult<(u64, usize, usize)> {
        let found = py.detach(|| checkpoint::read(&self.plan, path));
        let found = found.map_err(|ended| raised(py, ended, path))?;
        let cut = found.cut;
        Ok((taken(&self.plan, &mut self.at_hand(), found.chunks), found.damaged, cut))
    }

    /// Computes what is missing, in threads of this process; False when Ctrl-C ended it before. `progress` is called with the number
    /// of members that are done, now and then.
    #[pyo3(signature = (progress = None))]
    fn run(&self, py: Python<'_>, progress: Option<Progress>) -> PyResult<bool> {
        let stop = Stop::default();
        let plan = self.plan.heeding(&stop);
        let missing = self.at_hand().collected.missing();
        let all = self.at_hand().collected.members().count() as u64;
        let left: u64 = missing.iter().map(|part| part.end - part.start).sum();
        let mut done = all - left;
        let (ran, interrupted) = until_interrupted(py, progress.as_ref(), &stop, |report| {
            plan.run(&missing, |chunk| {
                done += chunk.members().count() as u64;
                self.keep_chunk(chunk).map_err(Ended::File)?;
                if report(done as f64) { Ok(()) } else { Err(Ended::Core(Error::Stopped)) }
            })
        })?;
        match (ran, interrupted) {
            (_, Some(error)) if !error.is_instance_of::<PyKeyboardInterrupt>(py) => Err(error),
            (Err(Ended::Core(Error::Stopped)), _) | (_, Some(_)) => Ok(false),
            (Err(ended), None) => Err(raised(py, ended, "checkpoint")),
            (Ok(()), None) => Ok(true),
        }
    }

    /// Parts of what is missing of at most so many members, for workers.
    fn parts(&self, most: u64) -> Vec<(u64, u64)> {
        let mut parts: Vec<(u64, u64)> = Vec::new();
        for Range { start, end } in self.at_hand().collected.missing() {
            match parts.last_mut() {
                Some((from, to)) if *to == start && end - *from <= most => *to = end,
                _ => parts.push((start, end)),
            }
        }
        parts
    }

    /// What workers compute parts of, without what is done; of a table one row alone.
    fn without_members(&self, py: Python<'_>) -> PyResult<Self> {
        let start = self.at_hand().collected.members().start;
        let draws = self.draws.rows(start, start + 1).unwrap_or_else(|| self.draws.clone());
        let (recipe, paths, draws, outputs, seed, _, keep, _) = self.arguments(&draws, 0..0, None);
        Ensemble::new(py, &recipe, paths, draws, outputs, seed, None, keep, None)
    }

    /// The rows of some members of a table; None of other draws, which follow from the number of a member.
    fn rows(&self, start: u64, to: u64) -> Option<Draws> {
        self.draws.rows(start, to)
    }

    /// Computes some members in this thread, of a table from its rows: what `take` takes.
    fn compute<'py>(
        &self,
        py: Python<'py>,
        rows: Option<Draws>,
        start: u64,
        to: u64,
    ) -> PyResult<Bound<'py, PyBytes>> {
        let stop = Stop::default();
        let plan = self.part(py, rows)?.heeding(&stop);
        let (found, interrupted) = until_interrupted(py, None, &stop, |_| -> Result<Vec<u8>, Error> {
            let mut bytes = plan.header()?;
            plan.in_this_thread(start..to, |chunk| bytes.extend(record(&chunk)))?;
            Ok(bytes)
        })?;
        interrupted.map_or(Ok(()), Err)?;
        found.map(|bytes| PyBytes::new(py, &bytes)).map_err(|error| raise(py, &error))
    }

    /// Takes what a worker computed of some members, of a table from its rows.
    fn take(&self, py: Python<'_>, rows: Option<Draws>, computed: &[u8]) -> PyResult<()> {
        let part = self.part(py, rows)?;
        let found = part.read_records("a worker's answer", computed).map_err(|error| raise(py, &error))?;
        for chunk in found.chunks {
            self.keep_chunk(chunk).map_err(|error| raised(py, Ended::File(error), "checkpoint"))?;
        }
        Ok(())
    }

    /// Paths of the numbers that vary.
    fn paths(&self) -> Vec<String> {
        self.plan.points.paths.clone()
    }

    /// Names of the outputs.
    fn outputs(&self) -> Vec<String> {
        self.plan.points.outputs.iter().map(|output| output.name.clone()).collect()
    }

    /// Seed of the draws.
    fn seed(&self) -> u64 {
        self.plan.seed
    }

    /// The members asked for, how many of them are done from the first one on, how many of those failed.
    fn state(&self) -> (u64, u64, u64, u64) {
        let collected = &self.at_hand().collected;
        let members = collected.members();
        (members.start, members.end, collected.done(), collected.failures().values().sum())
    }

    /// The values of each path by members, as far as they are done.
    fn drawn<'py>(&self, py: Python<'py>) -> PyResult<Columns<'py>> {
        let (from, done) = {
            let collected = &self.at_hand().collected;
            (collected.members().start, collected.done())
        };
        let drawn: Vec<Vec<f64>> = py.detach(|| {
            let mut drawn = vec![Vec::with_capacity(done as usize); self.plan.points.paths.len()];
            for member in from..from + done {
                let values = self.plan.design.values(member);
                drawn.iter_mut().zip(values).for_each(|(column, value)| column.push(value));
            }
            drawn
        });
        columns(py, self.plan.points.paths.iter().map(String::as_str).zip(drawn))
    }

    /// The outputs that are numbers by members; None where members are not kept.
    fn columns<'py>(&self, py: Python<'py>) -> PyResult<Option<Columns<'py>>> {
        let at_hand = self.at_hand();
        let Some(found) = at_hand.collected.columns() else { return Ok(None) };
        let named = self.plan.points.outputs.iter().zip(found).filter(|(output, _)| !output.is_limit());
        columns(py, named.map(|(output, values)| (output.name.as_str(), values.clone()))).map(Some)
    }

    /// First limit of each member as a place among those of `limits`.
    fn first_limits<'py>(&self, py: Python<'py>) -> Array<'py, u16> {
        Array(self.at_hand().collected.first_limits().to_vec().into_pyarray(py))
    }

    /// First limits with how many lives each ended; empty for members that failed.
    fn limits(&self) -> Vec<(String, u64)> {
        self.at_hand().collected.limits().map(|(name, count)| (name.to_owned(), count)).collect()
    }

    /// The first limit by the recipe's own numbers.
    fn limit_at_recipe(&self) -> Option<String> {
        self.at_hand().collected.limit_at_recipe().map(str::to_owned)
    }

    /// How each output is spread.
    fn statistics(&self) -> Made<Vec<OutputStatistics>> {
        Made(self.at_hand().collected.statistics(&self.plan))
    }

    /// The members that failed, and how many by the kind of error.
    fn failed(&self) -> (Made<Vec<FailedMember>>, BTreeMap<String, u64>) {
        let collected = &self.at_hand().collected;
        (Made(collected.failed(&self.plan)), collected.failures().clone())
    }

    /// Values of an output below which parts of the members lie.
    fn quantiles(&self, output: &str, parts: Vec<f64>) -> Vec<Option<f64>> {
        let place = self.place(output);
        place.map_or_else(Vec::new, |place| self.at_hand().collected.quantiles(place, &parts))
    }

    /// How far an output goes with each number, the strongest first.
    fn drivers(&self, py: Python<'_>, output: &str) -> Made<Vec<Driver>> {
        let Some(place) = self.place(output) else { return Made(Vec::new()) };
        Made(py.detach(|| self.at_hand().collected.drivers(&self.plan, place)))
    }

    /// Sobol's indices with intervals of this level, and the outputs that have none.
    fn variance_shares(&self, py: Python<'_>, level: f64) -> PyResult<Found<VarianceShare>> {
        let found = self.at_hand().collected.variance_shares(&self.plan, level);
        found.map(|(rows, silent)| (Made(rows), Made(silent))).map_err(|error| raise(py, &error))
    }

    /// Morris's effects, and the outputs that have none.
    fn elementary_effects(&self, py: Python<'_>) -> PyResult<Found<ElementaryEffects>> {
        let found = self.at_hand().collected.elementary_effects(&self.plan);
        found.map(|(rows, silent)| (Made(rows), Made(silent))).map_err(|error| raise(py, &error))
    }

    /// Edges and counts of a histogram of an output.
    fn histogram<'py>(&self, py: Python<'py>, output: &str, bins: usize) -> Histogram<'py> {
        let found = self.at_hand().collected.histogram(self.place(output)?, bins)?;
        Some((column(py, found.0), Array(found.1.into_pyarray(py))))
    }
}

impl Ensemble {
    fn at_hand(&self) -> MutexGuard<'_, AtHand> {
        self.at_hand.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The plan of some members of a table, or of whichever.
    fn part(&self, py: Python<'_>, rows: Option<Draws>) -> PyResult<EnsemblePlan> {
        let Some(rows) = rows else { return Ok(self.plan.clone()) };
        let design = rows.design(py, self.plan.recipe(), &self.plan.points.paths, self.plan.seed)?;
        Ok(self.plan.with_design(design))
    }

    fn place(&self, output: &str) -> Option<usize> {
        self.plan.points.outputs.iter().position(|known| known.name == output)
    }

    fn arguments<'py>(
        &self,
        draws: &Draws,
        members: Range<u64>,
        kept: Option<Bound<'py, PyBytes>>,
    ) -> Arguments<'py> {
        let recipe = Recipe { inner: self.plan.recipe().clone() };
        let (outputs, members) = (self.outputs(), (members.start, members.end));
        (recipe, self.paths(), draws.clone(), outputs, self.plan.seed, members, self.keep, kept)
    }

    /// Writes a chunk down before it counts as done.
    fn keep_chunk(&self, chunk: Chunk) -> io::Result<()> {
        let at_hand = &mut *self.at_hand();
        if let Some(file) = &mut at_hand.file {
            io::Write::write_all(file, &record(&chunk))?;
        }
        at_hand.collected.take(&self.plan, chunk);
        Ok(())
    }
}

/// Takes chunks that were computed before; how many members they hold.
fn taken(plan: &EnsemblePlan, at_hand: &mut AtHand, found: Vec<Chunk>) -> u64 {
    let members = found.iter().map(|chunk| chunk.members().count() as u64).sum();
    found.into_iter().for_each(|chunk| at_hand.collected.take(plan, chunk));
    members
}

fn raised(py: Python<'_>, ended: Ended, path: &str) -> PyErr {
    match ended {
        Ended::Core(error) => raise(py, &error),
        Ended::File(error) => PyOSError::new_err((error.raw_os_error(), format!("{path}: {error}"))),
    }
}
