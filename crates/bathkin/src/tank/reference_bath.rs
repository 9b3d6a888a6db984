//! Baths that differ from one of them by next to nothing: their pH is linearised about it.
//!
//! pH(n) = pH(n_0) + sum_j dpH/dn_j (n_j - n_0j), with the derivatives of the implicit function theorem at
//! the reference bath (`solution/sensitivities.rs`). Between two baths to either side of it the
//! second order cancels, so that their difference is the derivative through the equilibrium itself, without solving it
//! again.

use std::cell::RefCell;

use super::{PhPolicy, Tank};
use crate::error::Result;
use crate::solution::Speciation;

/// The liquid of the reference bath as it was read last, and a sample of it at another temperature.
#[derive(Debug, Default)]
pub struct ReferenceBath {
    liquid: RefCell<Liquid>,
    sample: RefCell<Liquid>,
}

#[derive(Debug, Default)]
struct Liquid {
    temperature_k: f64,
    totals_mol_l: Vec<f64>,
    ph: f64,
    by_total: Vec<f64>,
}

/// What a bath has to do with a reference bath.
#[derive(Debug, Clone, Copy)]
pub enum Relation<'a> {
    /// It is the reference.
    Reference(&'a ReferenceBath),
    /// Its pH is linearised about the reference, which is read before it.
    Linearised(&'a ReferenceBath),
}

impl ReferenceBath {
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

    /// pH of a bath close by; `None` at another temperature.
    pub(super) fn ph_of(&self, totals_mol_l: &[f64], temperature_k: f64) -> Option<f64> {
        self.liquid.borrow().ph_of(totals_mol_l, temperature_k)
    }

    /// pH of a sample close by; `None` at another temperature.
    pub(super) fn ph_of_sample(&self, totals_mol_l: &[f64], temperature_k: f64) -> Option<f64> {
        self.sample.borrow().ph_of(totals_mol_l, temperature_k)
    }
}

impl Liquid {
    fn keep(&mut self, tank: &Tank, totals_mol_l: &[f64], speciation: &mut Speciation) -> Result<()> {
        self.by_total.resize(totals_mol_l.len(), 0.0);
        speciation.ph_sensitivities(&tank.bath.equilibrium, &mut self.by_total)?;
        self.temperature_k = speciation.temperature_k;
        self.ph = speciation.ph();
        self.totals_mol_l.clear();
        self.totals_mol_l.extend_from_slice(totals_mol_l);
        Ok(())
    }

    fn ph_of(&self, totals_mol_l: &[f64], temperature_k: f64) -> Option<f64> {
        let moved = |(derivative, (now, then)): (&f64, (&f64, &f64))| derivative * (now - then);
        let shift = || -> f64 {
            self.by_total.iter().zip(totals_mol_l.iter().zip(&self.totals_mol_l)).map(moved).sum()
        };
        (self.temperature_k == temperature_k).then(|| self.ph + shift())
    }
}

impl Tank {
    /// Whether totals, temperature and pH are all that its right-hand side reads off the liquid, so that it
    /// may be linearised about a bath close by.
    pub fn reads_no_more_than_ph(&self) -> bool {
        let laws = self.bath.kinetics.follows_no_more_than_ph()
            && self.bath.bulk.iter().all(|reaction| reaction.law.follows_no_more_than_ph());
        laws && self.bath.film.is_none()
            && self.plant.exchanges.is_empty()
            && self.operation.policies.ph != PhPolicy::Continuous
    }
}
