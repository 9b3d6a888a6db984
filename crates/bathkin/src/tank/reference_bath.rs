//! Baths that differ from one of them by next to nothing: what their laws follow is linearised about it.
//!
//! y(n) = y(n_0) + sum_j dy/dn_j (n_j - n_0j), with the derivatives of the implicit function theorem at the reference bath
//! (`solution/answer_slopes.rs`), for the pH and every ionic strength and dissolved substance that a law or an exchange with
//! the air follows; and the same by ln K where constants differ. Between two baths to either side of it the second order cancels, so that their difference is the
//! derivative through the equilibrium itself, without solving it again.

use std::cell::RefCell;

use super::{BathState, PhPolicy, Tank};
use crate::error::Result;
use crate::solution::{Answer, Speciation};

/// The liquid of the reference bath as it was read last, and a sample of it at another temperature.
#[derive(Debug)]
pub struct ReferenceBath {
    liquid: RefCell<Liquid>,
    sample: RefCell<Liquid>,
}

#[derive(Debug)]
struct Liquid {
    answers: Vec<Answer>,
    /// Species whose constants tell others from it.
    moved: Vec<usize>,
    temperature_k: f64,
    totals_mol_l: Vec<f64>,
    /// ln K of the moved species.
    ln_k: Vec<f64>,
    values: Vec<f64>,
    /// d answer / d total, then d answer / d ln K of the moved, a row for each answer.
    slopes: Vec<f64>,
}

/// What a bath has to do with a reference bath.
#[derive(Debug, Clone, Copy)]
pub enum Relation<'a> {
    /// It is the reference.
    Reference(&'a ReferenceBath),
    /// Its liquid is linearised about the reference, which is read before it.
    Linearised(&'a ReferenceBath),
}

impl ReferenceBath {
    /// The first of several tanks as the reference of the others; `None` where they may not be linearised: behind a film,
    /// and where a pump follows the slope of the pH.
    pub fn of<'t>(first: &Tank, others: impl Iterator<Item = &'t Tank>) -> Option<Self> {
        let answers = first.answers_read()?;
        let mut moved: Vec<usize> =
            others.filter_map(|tank| tank.constants_moved_from(first)).flatten().collect();
        moved.sort_unstable();
        moved.dedup();
        Some(ReferenceBath {
            sample: RefCell::new(Liquid::new(first, vec![Answer::Ph], moved.clone())),
            liquid: RefCell::new(Liquid::new(first, answers, moved)),
        })
    }

    /// Keeps a solved liquid and its derivatives.
    pub(super) fn keep(&self, tank: &Tank, totals_mol_l: &[f64], speciation: &mut Speciation) -> Result<()> {
        self.liquid.borrow_mut().keep(tank, totals_mol_l, speciation)
    }

    /// Keeps a sample of it.
    pub(super) fn keep_sample(
        &self,
        tank: &Tank,
        totals_mol_l: &[f64],
        speciation: &mut Speciation,
    ) -> Result<()> {
        self.sample.borrow_mut().keep(tank, totals_mol_l, speciation)
    }

    /// Tells a bath close by what its laws follow; `false` at another temperature.
    pub(super) fn answer(&self, tank: &Tank, observed: &mut BathState) -> bool {
        let liquid = self.liquid.borrow();
        if liquid.temperature_k != observed.temperature_k {
            return false;
        }
        for (row, answer) in liquid.answers.iter().enumerate() {
            let value = liquid.value(row, tank, &observed.totals_mol_l);
            observed.take(*answer, value);
        }
        true
    }

    /// pH of a sample close by; `None` at another temperature.
    pub(super) fn ph_of_sample(&self, tank: &Tank, totals_mol_l: &[f64], temperature_k: f64) -> Option<f64> {
        let sample = self.sample.borrow();
        (sample.temperature_k == temperature_k).then(|| sample.value(0, tank, totals_mol_l))
    }
}

impl Liquid {
    fn new(tank: &Tank, answers: Vec<Answer>, moved: Vec<usize>) -> Self {
        let components = tank.bath.components();
        Liquid {
            temperature_k: f64::NAN,
            totals_mol_l: vec![0.0; components],
            ln_k: vec![0.0; moved.len()],
            values: vec![0.0; answers.len()],
            slopes: vec![0.0; answers.len() * (components + moved.len())],
            moved,
            answers,
        }
    }

    fn keep(&mut self, tank: &Tank, totals_mol_l: &[f64], speciation: &mut Speciation) -> Result<()> {
        let equilibrium = &tank.bath.equilibrium;
        speciation.answer_slopes(equilibrium, &self.answers, &self.moved, &mut self.slopes)?;
        for (value, answer) in self.values.iter_mut().zip(&self.answers) {
            *value = speciation.answer(equilibrium, *answer);
        }
        if self.temperature_k != speciation.temperature_k {
            self.temperature_k = speciation.temperature_k;
            for (ln_k, species) in self.ln_k.iter_mut().zip(&self.moved) {
                *ln_k = equilibrium.ln_k(*species, self.temperature_k);
            }
        }
        self.totals_mol_l.copy_from_slice(totals_mol_l);
        Ok(())
    }

    fn value(&self, row: usize, tank: &Tank, totals_mol_l: &[f64]) -> f64 {
        let components = totals_mol_l.len();
        let columns = components + self.moved.len();
        let slopes = &self.slopes[row * columns..(row + 1) * columns];
        let (by_total, by_constant) = slopes.split_at(components);
        let mut value = self.values[row];
        for (slope, (now, then)) in by_total.iter().zip(totals_mol_l.iter().zip(&self.totals_mol_l)) {
            value += slope * (now - then);
        }
        for (slope, (species, then)) in by_constant.iter().zip(self.moved.iter().zip(&self.ln_k)) {
            value += slope * (tank.bath.equilibrium.ln_k(*species, self.temperature_k) - then);
        }
        value
    }
}

impl<'a> Relation<'a> {
    /// That of a bath, by its number, to the first of several that differ by next to nothing; `None` where it stands
    /// alone.
    pub fn of(
        reference: Option<&'a ReferenceBath>,
        number: usize,
        tank: &Tank,
        first: &Tank,
    ) -> Option<Self> {
        let reference = reference?;
        match number {
            0 => Some(Relation::Reference(reference)),
            _ => tank.constants_moved_from(first).map(|_| Relation::Linearised(reference)),
        }
    }
}

impl Tank {
    /// The species whose constants alone tell its liquid from that of another tank where the totals are the same; `None`
    /// where more does.
    pub fn constants_moved_from(&self, first: &Tank) -> Option<Vec<usize>> {
        let read_at = |tank: &Tank| tank.operation.set_points.ph_temperature_k;
        let as_warm =
            self.operation.temperature_k == first.operation.temperature_k && read_at(self) == read_at(first);
        self.bath.equilibrium.constants_moved_from(&first.bath.equilibrium).filter(|_| as_warm)
    }

    /// What its right-hand side asks of the liquid; `None` where that is more than answers: behind a film, and where a
    /// pump follows the slope of the pH.
    fn answers_read(&self) -> Option<Vec<Answer>> {
        if self.bath.film.is_some() || self.operation.policies.ph == PhPolicy::Continuous {
            return None;
        }
        let bulk = self.bath.bulk.iter().flat_map(|reaction| reaction.law.answers());
        let gases = self
            .plant
            .exchanges
            .iter()
            .flat_map(|exchange| [Answer::Dissolved(exchange.gas.dissolved), Answer::Water]);
        let mut read = vec![Answer::Ph];
        for answer in self.bath.kinetics.answers().into_iter().chain(bulk).chain(gases) {
            if !read.contains(&answer) {
                read.push(answer);
            }
        }
        Some(read)
    }
}
