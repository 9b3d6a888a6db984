//! Warnings that a recipe gives about itself, raised by a bath or over a life.

use crate::error::Result;
use crate::flag::Flag;
use crate::life::Life;
use crate::life::simulate::fresh_state;
use crate::model::Model;
use crate::model::warnings::Warning;
use crate::solution::Speciation;
use crate::tank::quantity::Needs;
use crate::tank::{Balances, BathState, Readings};

impl Model {
    /// Warnings raised by a bath that is solved.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium of a cooled sample, where a warning asks for its pH.
    pub(crate) fn warnings_of(&self, observed: &BathState, liquid: &Speciation) -> Result<Vec<Flag>> {
        if self.warnings.is_empty() {
            return Ok(Vec::new());
        }
        let balances = Balances::new(&self.tank, &observed.totals_mol_l);
        let state = fresh_state(&balances, &observed.totals_mol_l);
        let mut readings = Readings::as_it_stands(&balances, &state, observed, Some(liquid));
        if self.warnings.iter().any(|warning| warning.needs(Needs::CooledSample)) {
            readings = readings.cooled(&balances)?;
        }
        Ok(self.warnings.iter().filter_map(|warning| warning.flag(&self.tank, &readings)).collect())
    }

    /// Warnings raised over a life, each where it was raised first: in its rows, or at the hottest moment between them.
    pub(crate) fn warnings_over(&self, life: &Life) -> Vec<Flag> {
        let mut moments: Vec<&Readings> = life.rows.iter().chain(&life.hottest).collect();
        moments.sort_by(|a, b| a.clock_h.total_cmp(&b.clock_h));
        let first = |warning: &Warning| moments.iter().find_map(|at| warning.flag(&self.tank, at));
        self.warnings.iter().filter_map(first).collect()
    }
}
