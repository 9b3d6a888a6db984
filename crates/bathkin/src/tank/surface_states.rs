//! Every steady state the surface of a bath may take behind its film.

use super::{BathState, Tank};
use crate::surface::{FilmSurface, SteadyState};

impl BathState {
    /// The steady states of the surface in this bath, slowest first; none without a film.
    pub fn steady_states(&self, tank: &Tank) -> Vec<SteadyState> {
        let Some(film) = &tank.bath.film else { return Vec::new() };
        FilmSurface::new(film).steady_states(film, &tank.bath.kinetics, &self.conditions())
    }

    /// How many there are.
    pub fn count_steady_states(&self, tank: &Tank) -> usize {
        let Some(film) = &tank.bath.film else { return 0 };
        FilmSurface::new(film).count_steady_states(film, &tank.bath.kinetics, &self.conditions())
    }
}
