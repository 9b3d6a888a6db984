//! The life of a model's bath, and how it begins.

use crate::error::Result;
use crate::life::simulate::{fresh_readings, fresh_state, simulate};
use crate::life::{Life, Limit};
use crate::model::Model;
use crate::tank::{Balances, Readings};

impl Model {
    /// The life of its bath to the first of these limits, calling `report` with the turnovers so far; `false` from it
    /// ends the run.
    ///
    /// # Errors
    /// [`crate::Error::Recipe`] for work that does not start, and those of [`simulate()`].
    pub fn life_to(&self, limits: &[Limit], report: &mut dyn FnMut(f64) -> bool) -> Result<Life> {
        // Work that does not start never ages a bath.
        self.surface.start(&self.substrates)?;
        simulate(&self.tank, &self.fresh_totals_mol_l, limits, &self.settings, report)
    }

    /// What can be read off the fresh bath: the first row of its life.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium.
    pub fn fresh_readings(&self) -> Result<Readings> {
        let balances = Balances::new(&self.tank, &self.fresh_totals_mol_l);
        let made_up = fresh_state(&balances, &self.fresh_totals_mol_l);
        fresh_readings(&balances, &made_up).map(|(readings, _)| readings)
    }
}
