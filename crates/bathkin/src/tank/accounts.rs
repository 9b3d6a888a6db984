//! The mass balance: every element, the charge and the volume, in the liquid, in the deposit, in the gas,
//! settled as powder, gone, brought, and exchanged with the air.

use std::collections::BTreeMap;

use super::layout::{Layout, Volume};
use super::{Tank, WATER_MOL_L};
use crate::constants::SECONDS_PER_HOUR;
use crate::error::{Error, Result};
use crate::solution::Element;

/// Largest relative residual of a balance that is put down to round-off.
pub const ALLOWED_RESIDUAL: f64 = 1e-9;

/// Opening stock of a tank, and the residual of each balance since.
#[derive(Debug, Clone)]
pub struct Accounts {
    /// (element, atoms per mole of each slot of the liquid).
    elements: Vec<(Element, Vec<f64>)>,
    charges: Vec<f64>,
    /// The whole (unscaled) state: of a bath in use much has come and gone before.
    opening: Vec<f64>,
}

impl Accounts {
    /// Opens the accounts at an (unscaled) state.
    pub fn open(tank: &Tank, layout: &Layout, amounts: &[f64]) -> Self {
        let mut atoms: BTreeMap<Element, Vec<f64>> = BTreeMap::new();
        for (slot, formula) in tank.bath.liquid.iter().enumerate() {
            for (element, count) in &formula.elements {
                atoms.entry(*element).or_insert_with(|| vec![0.0; tank.bath.liquid.len()])[slot] = *count;
            }
        }
        Accounts {
            elements: atoms.into_iter().collect(),
            charges: tank.bath.liquid.iter().map(|formula| formula.charge).collect(),
            opening: amounts[..layout.len()].to_vec(),
        }
    }

    /// What [`Accounts::residual`] finds, or why the mass balance does not close.
    ///
    /// # Errors
    /// [`Error::Balance`] above [`ALLOWED_RESIDUAL`].
    pub fn check(&self, tank: &Tank, layout: &Layout, amounts: &[f64], time_s: f64) -> Result<(f64, String)> {
        let (residual, worst) = self.residual(tank, layout, amounts);
        if residual <= ALLOWED_RESIDUAL {
            return Ok((residual, worst));
        }
        Err(Error::Balance { worst, residual, allowed: ALLOWED_RESIDUAL, time_h: time_s / SECONDS_PER_HOUR })
    }

    /// The largest relative residual among the elements, the charge and the volume, with what it is of.
    ///
    /// Each element: liquid now + deposit + gas + powder + gone - brought - opening stock, over everything
    /// that came in; charge: the liquid's net charge over the ionic charge of the liquid and of what has gone.
    pub fn residual(&self, tank: &Tank, layout: &Layout, amounts: &[f64]) -> (f64, String) {
        let now = &amounts[layout.liquid()];
        let opening = &self.opening[layout.liquid()];
        let opening_l = self.opening[layout.volume(Volume::Bath)];
        let since: Vec<f64> = amounts.iter().zip(&self.opening).map(|(now, then)| now - then).collect();
        let gone = &since[layout.gone()];
        let mut brought = vec![0.0; now.len()];
        for (replenisher, volume) in tank.operation.replenishers.iter().zip(&since[layout.fed()]) {
            for (sum, moles) in brought.iter_mut().zip(&replenisher.per_litre) {
                *sum += moles * volume;
            }
        }
        for (exchange, taken_up) in tank.plant.exchanges.iter().zip(&since[layout.exchanged()]) {
            for (slot, moles) in &exchange.brings {
                brought[*slot] += moles * taken_up;
            }
        }
        let volume = |which| since[layout.volume(which)];
        let net_water_l = volume(Volume::Water) - volume(Volume::Evaporated);
        brought[tank.bath.water()] += net_water_l * WATER_MOL_L;

        let mut worst = (0.0, String::from("nothing"));
        for (element, atoms) in &self.elements {
            let dot = |amounts: &[f64]| atoms.iter().zip(amounts).map(|(a, n)| a * n).sum::<f64>();
            let left = |range: std::ops::Range<usize>, names: &[Element]| {
                names
                    .iter()
                    .zip(&since[range])
                    .filter(|(name, _)| *name == element)
                    .map(|(_, n)| n)
                    .sum::<f64>()
            };
            let came = dot(opening) + dot(&brought).abs();
            let residual = dot(now)
                + dot(gone)
                + left(layout.deposited(), &tank.bath.deposited)
                + left(layout.evolved(), &tank.bath.evolved)
                + left(layout.settled(), &tank.bath.settled)
                - dot(opening)
                - dot(&brought);
            keep_worse(&mut worst, residual.abs() / came.max(f64::MIN_POSITIVE), || element.symbol());
        }
        let net: f64 = self.charges.iter().zip(now).map(|(z, n)| z * n).sum();
        // With what has gone: what is left of a bath that was emptied carries the round-off of the whole.
        let ions =
            |amounts: &[f64]| self.charges.iter().zip(amounts).map(|(z, n)| (z * n).abs()).sum::<f64>();
        let ionic = ions(now) + ions(gone);
        keep_worse(&mut worst, net.abs() / ionic.max(f64::MIN_POSITIVE), || "charge".to_owned());
        let came_l = since[layout.fed()].iter().sum::<f64>() + net_water_l;
        let left_l = volume(Volume::DraggedOut) + volume(Volume::Bled) + volume(Volume::Overflowed);
        let missing_l = volume(Volume::Bath) + left_l - came_l;
        keep_worse(&mut worst, missing_l.abs() / (opening_l + left_l), || "volume".to_owned());
        worst
    }
}

fn keep_worse(worst: &mut (f64, String), residual: f64, name: impl FnOnce() -> String) {
    // A NaN must come out on top, never be skipped by the comparison.
    if residual > worst.0 || residual.is_nan() {
        *worst = (residual, name());
    }
}
