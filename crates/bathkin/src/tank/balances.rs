//! The right-hand side: how every amount in and around the tank changes.

use std::cell::{Cell, RefCell};

use super::layout::Layout;
use super::observe::Observed;
use super::policy::{MetalPolicy, PhPolicy, ReductantPolicy};
use super::{METAL, PH, REDUCTANT, Tank, WATER_MOL_L};
use crate::constants::SECONDS_PER_HOUR;
use crate::error::Result;
use crate::solution::Speciation;

/// The balances of a tank with its scratch memory; one per thread.
///
/// dn_j/dt = A sum_k nu_jk r_k + sum_i u_i c_ij - q n_j/V, with A the area in the tank, r_k the
/// rates of the half-reactions, u_i the volume flow from replenisher i with concentration c_ij,
/// and q the flow lost to drag-out and bleed. Water makes the level good. Gases exchanged with the
/// air add theirs ([`super::exchange`]), reactions of the liquid theirs ([`super::bulk`]).
#[derive(Debug)]
pub struct Balances<'a> {
    tank: &'a Tank,
    layout: Layout,
    scratch: RefCell<Scratch>,
    area_m2: Cell<f64>,
    evaluations: Cell<u64>,
}

#[derive(Debug)]
struct Scratch {
    speciation: Speciation,
    /// The same liquid at another temperature: a cooled sample.
    sample: Speciation,
    /// The same liquid at its set-points.
    held: Speciation,
    observed: Observed,
    /// Rate of change of each slot of the liquid, mol/s.
    change: Vec<f64>,
    ph_slopes: Vec<f64>,
}

impl<'a> Balances<'a> {
    /// The balances of a tank whose fresh bath has these totals.
    pub fn new(tank: &'a Tank, totals_mol_l: &[f64]) -> Self {
        Balances {
            tank,
            layout: Layout::new(tank, totals_mol_l),
            scratch: RefCell::new(Scratch {
                speciation: tank.equilibrium.speciation(),
                sample: tank.equilibrium.speciation(),
                held: tank.equilibrium.speciation(),
                observed: Observed::new(tank),
                change: vec![0.0; tank.liquid.len()],
                ph_slopes: vec![0.0; tank.components()],
            }),
            area_m2: Cell::new(0.0),
            evaluations: Cell::new(0),
        }
    }

    /// The tank.
    pub fn tank(&self) -> &'a Tank {
        self.tank
    }

    /// The layout of the state.
    pub fn layout(&self) -> &Layout {
        &self.layout
    }

    /// Area in the tank from now on, m².
    pub fn set_area_m2(&self, area_m2: f64) {
        self.area_m2.set(area_m2);
    }

    /// Area in the tank, m².
    pub fn area_m2(&self) -> f64 {
        self.area_m2.get()
    }

    /// Right-hand sides evaluated so far.
    pub fn evaluations(&self) -> u64 {
        self.evaluations.get()
    }

    /// Growth on the surface at the last reading, um/s.
    pub fn growth_um_s(&self) -> f64 {
        self.scratch.borrow().observed.growth_um_s
    }

    /// Reads the bath at a (scaled) state and hands the readings to `look`, with a spare liquid to solve
    /// at set-points: a reading must not move where the next one starts from.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium.
    pub fn observe<T>(
        &self,
        state: &[f64],
        look: impl FnOnce(&mut Observed, &Speciation, &mut Speciation) -> T,
    ) -> Result<T> {
        let Scratch { speciation, observed, held, .. } = &mut *self.scratch.borrow_mut();
        self.read(state, observed, speciation)?;
        Ok(look(observed, speciation, held))
    }

    /// pH of a sample of the liquid at another temperature.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium.
    pub fn ph_at(&self, totals_mol_l: &[f64], temperature_k: f64) -> Result<f64> {
        let sample = &mut self.scratch.borrow_mut().sample;
        sample.solve(&self.tank.equilibrium, totals_mol_l, temperature_k)?;
        Ok(sample.ph())
    }

    /// pH as the operator reads it, given the pH in the bath.
    ///
    /// # Errors
    /// As [`Balances::ph_at`].
    pub fn ph_read(&self, totals_mol_l: &[f64], ph_in_bath: f64) -> Result<f64> {
        let at = self.tank.set_points.ph_temperature_k;
        if at == self.tank.temperature_k { Ok(ph_in_bath) } else { self.ph_at(totals_mol_l, at) }
    }

    fn read(&self, state: &[f64], observed: &mut Observed, speciation: &mut Speciation) -> Result<()> {
        for (position, total) in observed.totals_mol_l.iter_mut().enumerate() {
            *total = state[position] * self.layout.scale()[position] / self.tank.volume_l;
        }
        observed.update(self.tank, speciation)
    }

    /// Time derivative of the (scaled) state, 1/s. Allocates nothing.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium.
    pub fn derivative(&self, state: &[f64], derivative: &mut [f64]) -> Result<()> {
        self.evaluations.set(self.evaluations.get() + 1);
        let scratch = &mut *self.scratch.borrow_mut();
        self.read(state, &mut scratch.observed, &mut scratch.speciation)?;
        let (tank, layout, area) = (self.tank, &self.layout, self.area_m2.get());
        let Scratch { observed, change, speciation, sample, ph_slopes, .. } = scratch;

        derivative.fill(0.0);
        change.fill(0.0);
        for (reaction, rate) in tank.reactions.iter().zip(&observed.rates_mol_m2_s) {
            let extent = rate * area;
            for (slot, moles) in &reaction.liquid {
                change[*slot] += moles * extent;
            }
            for (element, atoms) in &reaction.deposit {
                derivative[layout.deposited().start + element] += atoms * extent;
            }
            for (element, atoms) in &reaction.gas {
                derivative[layout.evolved().start + element] += atoms * extent;
            }
        }

        for (reaction, rate) in tank.bulk.iter().zip(&observed.bulk_mol_l_s) {
            let extent = rate * tank.volume_l;
            for (slot, moles) in &reaction.liquid {
                change[*slot] += moles * extent;
            }
            for (element, atoms) in &reaction.gas {
                derivative[layout.evolved().start + element] += atoms * extent;
            }
            for (element, atoms) in &reaction.solid {
                derivative[layout.settled().start + element] += atoms * extent;
            }
        }

        for (exchange, slot) in tank.exchanges.iter().zip(layout.exchanged()) {
            let uptake = exchange.uptake_mol_s(&tank.equilibrium, speciation);
            derivative[slot] = uptake;
            for (of_liquid, moles) in &exchange.brings {
                change[*of_liquid] += moles * uptake;
            }
        }

        let area_rate =
            tank.work.thickness_um().map_or(0.0, |thickness| area * observed.growth_um_s / thickness);
        let lost = self.flow_lost_l_s(observed, area, area_rate);
        for slot in layout.liquid() {
            let gone = lost / tank.volume_l * state[slot] * layout.scale()[slot];
            change[slot] -= gone;
            derivative[layout.gone().start + slot] = gone;
        }

        // The pump follows the reading the set-point is stated for.
        let reading = if tank.set_points.ph_temperature_k == tank.temperature_k {
            speciation
        } else {
            if tank.policies.ph == PhPolicy::Continuous {
                sample.solve(&tank.equilibrium, &observed.totals_mol_l, tank.set_points.ph_temperature_k)?;
            }
            sample
        };
        let fed = self.pump(change, reading, ph_slopes)?;
        let water = tank.water();
        change[water] += (lost - fed.iter().sum::<f64>()) * WATER_MOL_L;

        derivative[layout.liquid()].copy_from_slice(change);
        derivative[layout.area()] = area_rate;
        derivative[layout.fed()].copy_from_slice(&fed);
        derivative[layout.volume_gone()] = lost;
        for (value, scale) in derivative.iter_mut().zip(layout.scale()) {
            *value /= scale;
        }
        Ok(())
    }

    /// Volume lost to drag-out and bleed, L/s.
    fn flow_lost_l_s(&self, observed: &Observed, area: f64, area_rate: f64) -> f64 {
        let tank = self.tank;
        let turnovers_s = observed.rates_mol_m2_s[tank.kinetics.metal()] * area
            / (tank.set_points.metal_mol_l * tank.volume_l);
        tank.drag_out_l_m2 * area_rate
            + tank.bleed_per_turnover * tank.volume_l * turnovers_s
            + tank.bleed_l_h / SECONDS_PER_HOUR
    }

    /// Flows of the pumps, L/s; what they bring is added to `change`.
    fn pump(
        &self,
        change: &mut [f64],
        speciation: &mut Speciation,
        ph_slopes: &mut [f64],
    ) -> Result<[f64; 3]> {
        let tank = self.tank;
        let mut fed = [0.0; 3];
        if tank.policies.metal == MetalPolicy::Continuous {
            let missing = -change[tank.roles.metal];
            fed[METAL] = self.feed(METAL, tank.roles.metal, missing, change);
            let missing = match tank.policies.reductant {
                ReductantPolicy::Restore => -change[tank.roles.reductant],
                ReductantPolicy::Ratio { per_metal_mol } => per_metal_mol * missing,
            };
            fed[REDUCTANT] = self.feed(REDUCTANT, tank.roles.reductant, missing, change);
        }
        if tank.policies.ph == PhPolicy::Continuous {
            speciation.ph_slopes(&tank.equilibrium, ph_slopes)?;
            let base = &tank.replenishers[PH].per_litre;
            // Adding water to hold the level dilutes nothing: amounts, not volumes, change.
            let drift: f64 = ph_slopes.iter().zip(change.iter()).map(|(slope, change)| slope * change).sum();
            let cure: f64 = ph_slopes.iter().zip(base).map(|(slope, moles)| slope * moles).sum();
            // Only a fall is corrected: the corrector holds no acid against a rise.
            if cure != 0.0 && -drift / cure > 0.0 {
                fed[PH] = -drift / cure;
                for (slot, moles) in base.iter().enumerate() {
                    change[slot] += fed[PH] * moles;
                }
            }
        }
        Ok(fed)
    }

    fn feed(&self, which: usize, slot: usize, missing: f64, change: &mut [f64]) -> f64 {
        let replenisher = &self.tank.replenishers[which];
        let flow = replenisher.volume_for(slot, missing).max(0.0);
        for (value, moles) in change.iter_mut().zip(&replenisher.per_litre) {
            *value += flow * moles;
        }
        flow
    }
}
