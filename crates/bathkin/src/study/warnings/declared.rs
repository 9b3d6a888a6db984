//! Warnings that a recipe gives about itself, raised by a bath or over a life.

use crate::error::Result;
use crate::flag::Flag;
use crate::life::Life;
use crate::life::simulate::fresh_state;
use crate::model::Model;
use crate::model::warnings::Warning;
use crate::tank::{Balances, Readings};

impl Model {
    /// Warnings raised by a bath of these totals, mol/L, at a temperature.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium.
    pub(crate) fn warnings_of(&self, totals_mol_l: &[f64], temperature_k: f64) -> Result<Vec<Flag>> {
        if self.warnings.is_empty() {
            return Ok(Vec::new());
        }
        let balances = Balances::new(&self.tank, totals_mol_l);
        balances.set_temperature_k(temperature_k);
        let state = fresh_state(&balances, totals_mol_l);
        let fresh_ph = balances.observe(&state, |observed, _, _| observed.ph)?;
        let readings = Readings::take(&balances, &state, fresh_ph)?.cooled(&balances)?;
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
