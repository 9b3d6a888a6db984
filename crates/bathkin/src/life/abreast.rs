//! The same load in several baths that differ a little, carried with the same steps: for derivatives.

use bathkin_numerics::{Abreast, Options, advance};

use super::alone::{Alone, left_alone};
use super::simulate::in_hours;
use crate::deposit::Layer;
use crate::error::Result;
use crate::surface::Start;
use crate::tank::{Balances, Tank};

/// A bath, and how deposition starts on a load in it.
#[derive(Debug, Clone)]
pub struct BareLoad<'a> {
    /// The tank.
    pub tank: &'a Tank,
    /// Totals of its fresh bath, mol/L.
    pub totals_mol_l: &'a [f64],
    /// How deposition starts.
    pub start: Start,
}

/// What `area_m2` gets in `minutes` in each bath, nothing added; as [`super::single_load::plate`], but with
/// the steps of the first, so that differences between the baths are smooth.
///
/// # Errors
/// [`crate::Error::Simulation`] and [`crate::Error::Convergence`].
pub fn plate_abreast(loads: &[BareLoad], area_m2: f64, minutes: f64) -> Result<Vec<Layer>> {
    let tanks: Vec<Tank> = loads.iter().map(|load| exactly(left_alone(load.tank))).collect();
    let balances: Vec<Balances> =
        tanks.iter().zip(loads).map(|(tank, load)| Balances::new(tank, load.totals_mol_l)).collect();
    let alone: Vec<Alone> = balances
        .iter()
        .zip(loads)
        .map(|(balances, load)| Alone::new(balances, area_m2, load.start))
        .collect();
    let mut state = Vec::new();
    for (member, load) in alone.iter().zip(loads) {
        state.extend(member.fresh_state(load.totals_mol_l));
    }
    let each = state.len() / loads.len().max(1);
    advance(&Abreast::new(&alone), 0.0, &mut state, minutes * 60.0, None, &Options::default())
        .map_err(in_hours)?;
    let layer = |(balances, state): (&Balances, &[f64])| {
        let layout = balances.layout();
        let moles: Vec<f64> = layout.deposited().map(|slot| state[slot] * layout.scale()[slot]).collect();
        balances.tank().layer(&moles)
    };
    Ok(balances.iter().zip(state.chunks_exact(each)).map(layer).collect())
}

/// The tank with its equilibrium solved to rounding.
pub(super) fn exactly(mut tank: Tank) -> Tank {
    tank.equilibrium = tank.equilibrium.solved_exactly();
    tank
}
