//! The same load in several baths that differ a little, carried with the same steps: for derivatives.

use std::borrow::Cow;

use bathkin_numerics::{Lockstep, Options, advance};

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
    /// Whether nothing but the numbers of laws tells it from the first, and those by next to nothing.
    pub differs_by_laws_alone: bool,
}

/// What `area_m2` gets in `minutes` in each bath, nothing added; as [`super::single_load::plate`], but with
/// the steps of the first, so that differences between the baths are smooth.
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
    let tanks = solved_for_differences(
        alone.iter().zip(loads).map(|(tank, load)| (tank, load.differs_by_laws_alone)),
    );
    let reference = ReferenceBath::default();
    let balances: Vec<Balances> = tanks
        .iter()
        .zip(loads)
        .enumerate()
        .map(|(number, (tank, load))| {
            Balances::new(tank, load.totals_mol_l).related(relation(
                &reference,
                loads.len(),
                number,
                tank,
                load.differs_by_laws_alone,
            ))
        })
        .collect();
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
    advance(
        &Lockstep::new(&alone),
        0.0,
        &mut state,
        minutes * 60.0,
        None,
        &with_tolerance(relative_tolerance),
    )
    .map_err(|error| failed(error, &balances[0], each))?;
    let layer = |(balances, state): (&Balances, &[f64])| {
        let layout = balances.layout();
        let moles: Vec<f64> = layout.deposited().map(|slot| state[slot] * layout.scale()[slot]).collect();
        balances.tank().bath.layer(&moles)
    };
    Ok(balances.iter().zip(state.chunks_exact(each)).map(layer).collect())
}

/// What a bath has to do with the first of several.
pub(super) fn relation<'a>(
    reference: &'a ReferenceBath,
    baths: usize,
    number: usize,
    tank: &Tank,
    differs_by_laws_alone: bool,
) -> Option<Relation<'a>> {
    match number {
        _ if baths < 2 || !tank.reads_no_more_than_ph() => None,
        0 => Some(Relation::Reference(reference)),
        _ => differs_by_laws_alone.then_some(Relation::Linearised(reference)),
    }
}

/// Absolute tolerances stand for amounts of order one.
pub(super) fn with_tolerance(relative_tolerance: f64) -> Options {
    Options { relative_tolerance, absolute_tolerance: 1e-2 * relative_tolerance, ..Options::default() }
}

/// Tanks as they are where all are linearised about the first, or it is alone; else each solves its equilibrium to
/// rounding, since differences between them are wanted.
pub(super) fn solved_for_differences<'a>(
    tanks: impl Iterator<Item = (&'a Tank, bool)>,
) -> Vec<Cow<'a, Tank>> {
    let tanks: Vec<(&Tank, bool)> = tanks.collect();
    let linearised = |(tank, laws_alone): &(&Tank, bool)| *laws_alone && tank.reads_no_more_than_ph();
    if tanks.iter().skip(1).all(linearised) {
        return tanks.into_iter().map(|(tank, _)| Cow::Borrowed(tank)).collect();
    }
    let exactly =
        |(tank, _): (&Tank, bool)| Cow::Owned(tank.with_equilibrium(tank.bath.equilibrium.solved_exactly()));
    tanks.into_iter().map(exactly).collect()
}
