//! What the film before the surface came to in a life, and since when.

use schemars::JsonSchema;
use serde::Serialize;

use crate::constants::SECONDS_PER_HOUR;
use crate::error::Result;
use crate::tank::Balances;

/// What was seen of the surface behind a film, at every stop. Clock times are those of the first stop, h.
#[derive(Debug, Clone, Default, PartialEq, JsonSchema, Serialize)]
pub struct FilmStatus {
    /// Largest fall of the pH from bath to surface.
    pub largest_ph_drop: f64,
    /// Clock time of the largest, h.
    pub largest_at_h: f64,
    /// The film could not bring what the law asked for, from here on.
    pub starved_from_h: Option<f64>,
    /// The film could not bring the alkalinity used: an acid surface in an alkaline bath, from here on.
    pub acid_from_h: Option<f64>,
    /// Several steady states, from here on.
    pub several_from_h: Option<f64>,
    /// The most steady states at one stop.
    pub most_steady_states: usize,
}

impl FilmStatus {
    /// Looks at the surface at a stop; nothing to see without a film.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium.
    pub fn look(status: &mut Option<Self>, balances: &Balances, time_s: f64, state: &[f64]) -> Result<()> {
        let Some(status) = status else { return Ok(()) };
        let tank = balances.tank();
        let time_h = time_s / SECONDS_PER_HOUR;
        balances.observe(state, |observed, _, _| {
            let Some(surface) = &observed.behind_film else { return };
            let drop = observed.ph - surface.ph;
            if drop > status.largest_ph_drop {
                (status.largest_ph_drop, status.largest_at_h) = (drop, time_h);
            }
            let first = |since: &mut Option<f64>, seen: bool| {
                if seen && since.is_none() {
                    *since = Some(time_h);
                }
            };
            first(&mut status.starved_from_h, !surface.supplied);
            let acid = tank.bath.film.as_ref().is_some_and(|film| surface.is_acid_in_alkaline(film));
            first(&mut status.acid_from_h, acid);
            let states = observed.count_steady_states(tank);
            first(&mut status.several_from_h, states > 1);
            status.most_steady_states = status.most_steady_states.max(states);
        })
    }
}
