//! The same load in several baths that differ a little, carried with the same steps: for derivatives.

use std::borrow::Cow;

use bathkin_numerics::{Lockstep, Options, Stop, advance};

use super::batch::{BatchBath, unreplenished};
use super::settings::failed;
use crate::deposit::Layer;
use crate::error::Result;
use crate::surface::Start;
use crate::tank::{Balances, ReferenceBath, Relation, Tank};

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
/// the steps of the first, so that differences between the baths are smooth. The baths differ by next to nothing and
/// are linearised about the first ([`ReferenceBath`]). Where the first runs dry each is carried alone, and closer.
///
/// # Errors
/// [`crate::Error::Simulation`] and [`crate::Error::Convergence`].
pub fn plate_in_lockstep(
    loads: &[BareLoad],
    area_m2: f64,
    minutes: f64,
    relative_tolerance: f64,
) -> Result<Vec<Layer>> {
    let alone: Vec<Tank> = loads.iter().map(|load| unreplenished(load.tank)).collect();
    let close = CloseBaths::new(alone.iter(), false);
    let balances = close.balances(loads.iter().map(|load| load.totals_mol_l));
    let alone: Vec<BatchBath> = balances
        .iter()
        .zip(loads)
        .map(|(balances, load)| BatchBath::new(balances, area_m2, load.start))
        .collect();
    let mut state = Vec::new();
    for (member, load) in alone.iter().zip(loads) {
        state.extend(member.fresh_state(load.totals_mol_l));
    }
    let each = state.len() / loads.len().max(1);
    let options = with_tolerance(relative_tolerance);
    let arrival = advance(&Lockstep::new(&alone), 0.0, &mut state, minutes * 60.0, None, &options)
        .map_err(|error| failed(error, &balances[0], each))?;
    if loads.len() > 1 && arrival.stop != Stop::End {
        // Each runs dry at a time of its own, about which steps in common tell nothing.
        const CLOSER: f64 = 1e-2;
        let own = |load: &BareLoad| {
            let closely = CLOSER * relative_tolerance;
            plate_in_lockstep(std::slice::from_ref(load), area_m2, minutes, closely)
        };
        return loads.iter().map(own).collect::<Result<Vec<_>>>().map(|layers| layers.concat());
    }
    let layer = |(balances, state): (&Balances, &[f64])| {
        let layout = balances.layout();
        let moles: Vec<f64> = layout.deposited().map(|slot| state[slot] * layout.scale()[slot]).collect();
        balances.tank().bath.layer(&moles)
    };
    Ok(balances.iter().zip(state.chunks_exact(each)).map(layer).collect())
}

/// Baths that differ from the first by next to nothing, so that differences between them are derivatives.
pub(super) struct CloseBaths<'a> {
    tanks: Vec<Cow<'a, Tank>>,
    reference: Option<ReferenceBath>,
}

impl<'a> CloseBaths<'a> {
    /// Those that are as warm are linearised about the first, where only what their laws follow is wanted and not the
    /// whole liquid. Where any solves its own equilibrium, each does to rounding.
    pub fn new(tanks: impl Iterator<Item = &'a Tank>, whole_liquid: bool) -> Self {
        let tanks: Vec<&Tank> = tanks.collect();
        let reference = match tanks.as_slice() {
            [first, others @ ..] if !others.is_empty() && !whole_liquid => {
                ReferenceBath::of(first, others.iter().copied())
            }
            _ => None,
        };
        let own = |tank: &&Tank| reference.is_none() || tank.constants_moved_from(tanks[0]).is_none();
        let tanks = if tanks.iter().skip(1).any(own) {
            let exactly = |tank: &&Tank| tank.with_equilibrium(tank.bath.equilibrium.solved_exactly());
            tanks.iter().map(|tank| Cow::Owned(exactly(tank))).collect()
        } else {
            tanks.into_iter().map(Cow::Borrowed).collect()
        };
        CloseBaths { tanks, reference }
    }

    /// The balances of each, whose fresh bath has totals, mol/L.
    pub fn balances<'b>(&'b self, totals_mol_l: impl Iterator<Item = &'b [f64]>) -> Vec<Balances<'b>> {
        let related = |(number, (tank, totals)): (usize, (&'b Cow<Tank>, &[f64]))| {
            let relation = Relation::of(self.reference.as_ref(), number, tank, &self.tanks[0]);
            Balances::new(tank, totals).related(relation)
        };
        self.tanks.iter().zip(totals_mol_l).enumerate().map(related).collect()
    }
}

/// Absolute tolerances stand for amounts of order one.
pub(super) fn with_tolerance(relative_tolerance: f64) -> Options {
    Options { relative_tolerance, absolute_tolerance: 1e-2 * relative_tolerance, ..Options::default() }
}
