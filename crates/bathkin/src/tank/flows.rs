//! The flows of liquid into and out of the tank, and what the pumps answer.
//!
//! What leaves takes the bath as it is, and what comes in dilutes it; what the pumps feed depends on
//! both, and both on what the pumps feed. All is linear in the dilution, so two trials find it.

use super::level::{LevelFlows, LevelStatus};
use super::policy::{MetalPolicy, PhPolicy, ReductantPolicy};
use super::temperature::evaporation_l_h;
use super::{BathState, METAL, Occasion, PH, REDUCTANT, Tank};
use crate::constants::SECONDS_PER_HOUR;
use crate::error::Result;
use crate::solution::Speciation;

/// Flows of liquid, L/s.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Flows {
    /// Carried out with the work.
    pub(super) dragged_out_l_s: f64,
    /// Carried in with the work.
    pub(super) dragged_in_l_s: f64,
    /// Bled off.
    pub(super) bled_l_s: f64,
    /// Evaporated.
    pub(super) evaporated_l_s: f64,
    /// Water made up, and what goes over the brim.
    pub(super) level: LevelFlows,
    /// By how much the volume grows.
    pub(super) growth_l_s: f64,
}

impl Flows {
    /// The flows that do not depend on the pumps. `area_rate` is the area finished, m²/s.
    pub(super) fn of_work(tank: &Tank, observed: &BathState, area: f64, area_rate: f64) -> Self {
        let turnovers_s = observed.rates_mol_m2_s[tank.bath.kinetics.metal()] * area
            / (tank.operation.set_points.metal_mol_l * tank.plant.volume_l);
        let evaporation =
            evaporation_l_h(tank.plant.evaporation_l_h, tank.operation.temperature_k, observed.temperature_k);
        Flows {
            dragged_out_l_s: tank.operation.drag_out.l_m2(None) * area_rate,
            dragged_in_l_s: tank.operation.drag_in_l_m2 * area_rate,
            bled_l_s: tank.operation.bleed_per_turnover * tank.plant.volume_l * turnovers_s
                + tank.operation.bleed_l_h / SECONDS_PER_HOUR,
            evaporated_l_s: evaporation / SECONDS_PER_HOUR,
            level: LevelFlows::default(),
            growth_l_s: 0.0,
        }
    }

    /// Bath that leaves, L/s.
    pub(super) fn lost_l_s(&self) -> f64 {
        self.dragged_out_l_s + self.bled_l_s + self.level.overflow_l_s
    }

    /// What comes in less what goes out, before water and overflow answer, L/s.
    fn net_l_s(&self, pumped_l_s: f64) -> f64 {
        pumped_l_s + self.dragged_in_l_s - self.dragged_out_l_s - self.bled_l_s - self.evaporated_l_s
    }
}

/// What the pumps need to know of the pH: its slopes by the totals, and by the corrector.
pub(super) struct PhPump<'a> {
    slopes: &'a [f64],
    cure: f64,
    /// By how much the pH is to move, in litres of the bath, L/s; none: it is held.
    follows_l_s: Option<f64>,
}

impl<'a> PhPump<'a> {
    /// The slopes of a liquid, when a pump holds its pH or moves it by `follows_l_s`, pH/s times the volume.
    pub(super) fn read(
        tank: &Tank,
        speciation: &mut Speciation,
        slopes: &'a mut [f64],
        follows_l_s: Option<f64>,
    ) -> Result<Option<Self>> {
        if tank.operation.policies.ph != PhPolicy::Continuous {
            return Ok(None);
        }
        speciation.ph_sensitivities(&tank.bath.equilibrium, slopes)?;
        let base = &tank.operation.replenishers[PH].per_litre;
        let cure = slopes.iter().zip(base).map(|(slope, moles)| slope * moles).sum();
        Ok(Some(PhPump { slopes, cure, follows_l_s }))
    }

    /// Flow of the corrector that holds the pH against a change, L/s.
    ///
    /// Only a fall is corrected: the corrector holds no acid against a rise. A measured pH is followed either way: below
    /// zero the flow stands for as much acid.
    fn flow_l_s(&self, change: &[f64]) -> f64 {
        let drift: f64 = self.slopes.iter().zip(change).map(|(slope, change)| slope * change).sum();
        if self.cure == 0.0 {
            return 0.0;
        }
        match self.follows_l_s {
            Some(follows_l_s) => (follows_l_s - drift) / self.cure,
            None => (-drift / self.cure).max(0.0),
        }
    }
}

/// The tank at the moment its pumps answer.
pub(super) struct Pumps<'a> {
    pub(super) tank: &'a Tank,
    /// Where the level stands.
    pub(super) level: LevelStatus,
    /// Volume of the bath, L.
    pub(super) volume_l: f64,
    /// Holds the pH, where a pump does.
    pub(super) ph: Option<&'a PhPump<'a>>,
}

impl Pumps<'_> {
    /// Settles overflow, water and pumps, adds what leaves and what the pumps bring to `change`
    /// (mol/s of each slot of the liquid), and gives the flows and the feed of each solution, L/s.
    ///
    /// `amounts` are the moles of the liquid; `trial` and `fed` are memory of the right size.
    pub(super) fn settle(
        &self,
        mut flows: Flows,
        amounts: &[f64],
        change: &mut [f64],
        trial: &mut [f64],
        fed: &mut [f64],
    ) -> Flows {
        let volume_l = self.volume_l;
        let left_l_s = flows.dragged_out_l_s + flows.bled_l_s;
        // Secant on the dilution, the flow by which the bath grows or overflows: exact at the second
        // trial while no pump starts or stops.
        const TRIALS: usize = 20;
        const CLOSED: f64 = 1e-14;
        let (mut dilution, mut growth) = (0.0, 0.0);
        let mut before: Option<(f64, f64)> = None;
        for _ in 0..TRIALS {
            trial.copy_from_slice(change);
            fed.fill(0.0);
            let thinned = (left_l_s + dilution) / volume_l;
            for (rate, moles) in trial.iter_mut().zip(amounts) {
                *rate -= thinned * moles;
            }
            self.pump(trial, fed);
            let pumped: f64 = fed.iter().sum();
            let net = flows.net_l_s(pumped);
            flows.level = self.tank.plant.level.flows(self.level, net);
            growth = net + flows.level.water_l_s - flows.level.overflow_l_s;
            let found = growth + flows.level.overflow_l_s;
            let missed = found - dilution;
            if missed.abs() <= CLOSED * (pumped.abs() + net.abs()) {
                break;
            }
            let next = match before {
                Some((at, by)) if by != missed => dilution - missed * (dilution - at) / (missed - by),
                _ => found,
            };
            before = Some((dilution, missed));
            dilution = next;
        }
        // Growth thins the bath but takes nothing away.
        for ((rate, trial), moles) in change.iter_mut().zip(trial.iter()).zip(amounts) {
            *rate = trial + (dilution - flows.level.overflow_l_s) / volume_l * moles;
        }
        if let Some(drag_in) = self.tank.operation.drag_in {
            fed[drag_in] += flows.dragged_in_l_s;
        }
        flows.growth_l_s = growth;
        flows
    }

    /// Flows of the pumps into `fed`, L/s; what they bring is added to `change`.
    fn pump(&self, change: &mut [f64], fed: &mut [f64]) {
        let tank = self.tank;
        if tank.operation.policies.metal == MetalPolicy::Continuous {
            let missing = -change[tank.bath.roles.metal];
            fed[METAL] = feed(tank, METAL, tank.bath.roles.metal, missing, change);
            let missing = match tank.operation.policies.reductant {
                ReductantPolicy::Restore => -change[tank.bath.roles.reductant],
                ReductantPolicy::Ratio { per_metal_mol } => per_metal_mol * missing,
            };
            fed[REDUCTANT] = feed(tank, REDUCTANT, tank.bath.roles.reductant, missing, change);
            for (solution, occasion) in tank.operation.occasions() {
                let flow = match occasion {
                    Occasion::WithMetal { per_litre } => per_litre * fed[METAL],
                    Occasion::Hold { slot, .. } => {
                        tank.operation.replenishers[solution].volume_for(slot, -change[slot]).max(0.0)
                    }
                    _ => continue,
                };
                fed[solution] += flow;
                bring(tank, solution, flow, change);
            }
        }
        if let Some(ph) = self.ph {
            fed[PH] = ph.flow_l_s(change);
            bring(tank, PH, fed[PH], change);
        }
    }
}

/// Flow of a solution that brings what is missing of a slot, L/s; what it brings is added to `change`.
fn feed(tank: &Tank, which: usize, slot: usize, missing: f64, change: &mut [f64]) -> f64 {
    let flow = tank.operation.replenishers[which].volume_for(slot, missing).max(0.0);
    bring(tank, which, flow, change);
    flow
}

/// Adds what a flow of a solution brings, L/s, to `change`.
fn bring(tank: &Tank, which: usize, flow_l_s: f64, change: &mut [f64]) {
    for (value, moles) in change.iter_mut().zip(&tank.operation.replenishers[which].per_litre) {
        *value += flow_l_s * moles;
    }
}
