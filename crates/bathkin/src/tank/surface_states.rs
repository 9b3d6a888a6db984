//! Every steady state the surface of a bath may take behind its film.

use super::{BathState, Tank};
use crate::surface::{Conditions, FilmSurface, SteadyState};

impl BathState {
    /// The steady states of the surface in this bath, slowest first; none without a film.
    pub fn steady_states(&self, tank: &Tank) -> Vec<SteadyState> {
        let Some(film) = &tank.bath.film else { return Vec::new() };
        let conditions = Conditions {
            temperature_k: self.temperature_k,
            ph: self.ph,
            totals_mol_l: &self.totals_mol_l,
            ionic_strength_mol_l: self.ionic_strength_mol_l,
            dissolved_mol_l: &self.dissolved_mol_l,
        };
        FilmSurface::new(film).steady_states(film, &tank.bath.kinetics, &conditions)
    }
}
