//! What the film before the surface does to a bath's rate, in words.

use crate::constants::SECONDS_PER_HOUR;
use crate::flag::Flag;
use crate::life::Life;
use crate::surface::SteadyState;
use crate::tank::{BathState, Tank};

/// pH by which surface and bath may differ unsaid.
const UNSAID_PH: f64 = 0.3;

/// Warnings about the surface behind a film; none without a film.
pub(crate) fn warnings(tank: &Tank, observed: &BathState, states: &[SteadyState]) -> Vec<Flag> {
    let Some(surface) = &observed.behind_film else { return Vec::new() };
    let um_h = |rates: &[f64]| tank.bath.growth(rates).0 * SECONDS_PER_HOUR;
    let mut said = Vec::new();
    let drop = observed.ph - surface.ph;
    if drop.abs() > UNSAID_PH {
        let side = if drop > 0.0 { "below" } else { "above" };
        said.push(format!(
            "surface pH {:.2} is {:.1} {side} the bath's {:.2}",
            surface.ph,
            drop.abs(),
            observed.ph
        ));
    }
    if !surface.supplied {
        said.push(format!(
            "the film cannot supply what the law asks for: no solution above {:.3} um/h, which is the rate given",
            um_h(&observed.rates_mol_m2_s)
        ));
    }
    let metal = observed.rates_mol_m2_s[tank.bath.kinetics.metal()];
    let distance = |state: &SteadyState| (state.metal_mol_m2_s - metal).abs();
    let here = states.iter().min_by(|a, b| distance(a).total_cmp(&distance(b)));
    if let Some((state, most)) = here.and_then(|state| Some((state, state.alkaline_up_to_mol_m2_s?))) {
        said.push(format!(
            "the film cannot supply the alkalinity used: the surface is acid (pH {:.1}), no solution with an alkaline \
             surface above {:.3} um/h",
            state.ph,
            um_h(&state.rates_mol_m2_s) * most / state.metal_mol_m2_s
        ));
    }
    if states.len() > 1 {
        let rates: Vec<String> = states
            .iter()
            .map(|state| {
                let unstable = if state.stable { "" } else { " (unstable)" };
                format!("{:.2}{unstable}", um_h(&state.rates_mol_m2_s))
            })
            .collect();
        let count = if states.len() == 3 { "three".to_owned() } else { states.len().to_string() };
        said.push(format!(
            "{count} steady states: {} um/h; film.first_state says where a fresh surface goes, then it stays in its steady state",
            rates.join(", ")
        ));
    }
    said.into_iter().map(|what| Flag { r#where: "film".to_owned(), what }).collect()
}

/// The same over a life, each warning once with the clock time it was first seen.
pub(crate) fn over(life: &Life) -> Vec<Flag> {
    let Some(film) = &life.film else { return Vec::new() };
    let mut said = Vec::new();
    if film.largest_ph_drop > UNSAID_PH {
        let (drop, at_h) = (film.largest_ph_drop, film.largest_at_h);
        said.push(format!("surface pH up to {drop:.1} below the bath's (most at {at_h:.1} h)"));
    }
    if let Some(from_h) = film.starved_from_h {
        said.push(format!("the film cannot supply what the law asks for, first at {from_h:.1} h"));
    }
    if let Some(from_h) = film.acid_from_h {
        said.push(format!(
            "the film cannot supply the alkalinity used: the surface is acid, first at {from_h:.1} h"
        ));
    }
    if let Some(from_h) = film.several_from_h {
        said.push(format!(
            "{} steady states, first at {from_h:.1} h; the surface stays in its steady state",
            film.most_steady_states
        ));
    }
    said.into_iter().map(|what| Flag { r#where: "film".to_owned(), what }).collect()
}
