//! Baths that differ from one of them by next to nothing: what their laws follow is linearised about it.
//!
//! y(n) = y(n_0) + sum_j dy/dn_j (n_j - n_0j), with the derivatives of the implicit function theorem at the reference bath
//! (`solution/answer_slopes.rs`), for the pH and every ionic strength and dissolved substance that a law or an exchange with
//! the air follows. Between two baths to either side of it the second order cancels, so that their difference is the
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
    temperature_k: f64,
    totals_mol_l: Vec<f64>,
    values: Vec<f64>,
    /// d answer / d total, a row for each answer.
    by_total: Vec<f64>,
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
    /// A reference for baths with the equilibrium of a tank; `None` where they may not be linearised: behind a film, and
    /// where a pump follows the slope of the pH.
    pub fn of(tank: &Tank) -> Option<Self> {
        let answers = tank.answers_read()?;
        Some(ReferenceBath {
            liquid: RefCell::new(Liquid::new(tank, answers)),
            sample: RefCell::new(Liquid::new(tank, vec![Answer::Ph])),
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
    pub(super) fn answer(&self, observed: &mut BathState) -> bool {
        let liquid = self.liquid.borrow();
        if liquid.temperature_k != observed.temperature_k {
            return false;
        }
        for (row, answer) in liquid.answers.iter().enumerate() {
            let value = liquid.value(row, &observed.totals_mol_l);
            observed.take(*answer, value);
        }
        true
    }

    /// pH of a sample close by; `None` at another temperature.
    pub(super) fn ph_of_sample(&self, totals_mol_l: &[f64], temperature_k: f64) -> Option<f64> {
        let sample = self.sample.borrow();
        (sample.temperature_k == temperature_k).then(|| sample.value(0, totals_mol_l))
    }
}

impl Liquid {
    fn new(tank: &Tank, answers: Vec<Answer>) -> Self {
        let components = tank.bath.components();
        Liquid {
            temperature_k: f64::NAN,
            totals_mol_l: vec![0.0; components],
            values: vec![0.0; answers.len()],
            by_total: vec![0.0; answers.len() * components],
            answers,
        }
    }

    fn keep(&mut self, tank: &Tank, totals_mol_l: &[f64], speciation: &mut Speciation) -> Result<()> {
        let equilibrium = &tank.bath.equilibrium;
        speciation.answer_slopes(equilibrium, &self.answers, &mut self.by_total)?;
        for (value, answer) in self.values.iter_mut().zip(&self.answers) {
            *value = speciation.answer(equilibrium, *answer);
        }
        self.temperature_k = speciation.temperature_k;
        self.totals_mol_l.copy_from_slice(totals_mol_l);
        Ok(())
    }

    fn value(&self, row: usize, totals_mol_l: &[f64]) -> f64 {
        let slopes = self.by_total.chunks_exact(totals_mol_l.len()).nth(row).unwrap_or_default();
        let moved = |(slope, (now, then)): (&f64, (&f64, &f64))| slope * (now - then);
        self.values[row]
            + slopes.iter().zip(totals_mol_l.iter().zip(&self.totals_mol_l)).map(moved).sum::<f64>()
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
            _ => tank.is_linearised_about(first).then_some(Relation::Linearised(reference)),
        }
    }
}

impl Tank {
    /// Whether its liquid is that of another tank where the totals are the same.
    pub fn is_linearised_about(&self, first: &Tank) -> bool {
        let read_at = |tank: &Tank| tank.operation.set_points.ph_temperature_k;
        self.operation.temperature_k == first.operation.temperature_k
            && read_at(self) == read_at(first)
            && self.bath.equilibrium.has_numbers_of(&first.bath.equilibrium)
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
