//! The right-hand side: how every amount in and around the tank changes.

use std::cell::{Cell, RefCell};

use super::flows::{Flows, PhPump, Pumps};
use super::layout::{Layout, Volume};
use super::level::LevelStatus;
use super::observe::BathState;
use super::ph_line::PhLine;
use super::policy::PhPolicy;
use super::reference_bath::Relation;
use super::{Tank, WATER_MOL_L};
use crate::error::Result;
use crate::solution::Speciation;

/// The balances of a tank with its scratch memory; one per thread.
///
/// dn_j/dt = A sum_k nu_jk r_k + sum_i u_i c_ij - q n_j/V, with A the area in the tank, r_k the
/// rates of the half-reactions, u_i the volume flow of solution i with concentration c_ij, and q the
/// flow lost to drag-out, bleed and overflow. The volume V follows [`super::level`]. Gases exchanged
/// with the air add theirs ([`super::exchange`]), reactions of the liquid theirs ([`super::bulk`]).
#[derive(Debug)]
pub struct Balances<'a> {
    tank: &'a Tank,
    layout: Layout,
    scratch: RefCell<Scratch>,
    area_m2: Cell<f64>,
    /// Deposit laid down whatever the rate, um m²/s: the area is then what that takes.
    laid_um_m2_s: Cell<Option<f64>>,
    temperature_k: Cell<f64>,
    level_status: Cell<LevelStatus>,
    volume_l: Cell<f64>,
    ph_line: Cell<Option<PhLine>>,
    evaluations: Cell<u64>,
    /// None: it stands alone.
    relation: Option<Relation<'a>>,
}

#[derive(Debug)]
struct Scratch {
    speciation: Speciation,
    /// The same liquid at another temperature: a cooled sample.
    sample: Speciation,
    /// The same liquid at its set-points.
    held: Speciation,
    observed: BathState,
    /// Rate of change of each slot of the liquid, mol/s.
    change: Vec<f64>,
    /// The same with what the pumps bring.
    trial: Vec<f64>,
    /// Moles of each slot of the liquid.
    amounts: Vec<f64>,
    /// Feed of each solution, L/s.
    fed: Vec<f64>,
    ph_sensitivities: Vec<f64>,
}

impl<'a> Balances<'a> {
    /// The balances of a tank whose fresh bath has these totals.
    pub fn new(tank: &'a Tank, totals_mol_l: &[f64]) -> Self {
        Balances {
            tank,
            layout: Layout::new(tank, totals_mol_l),
            scratch: RefCell::new(Scratch {
                speciation: tank.bath.equilibrium.speciation(),
                sample: tank.bath.equilibrium.speciation(),
                held: tank.bath.equilibrium.speciation(),
                observed: BathState::new(tank),
                change: vec![0.0; tank.bath.liquid.len()],
                trial: vec![0.0; tank.bath.liquid.len()],
                amounts: vec![0.0; tank.bath.liquid.len()],
                fed: vec![0.0; tank.operation.replenishers.len()],
                ph_sensitivities: vec![0.0; tank.bath.components()],
            }),
            area_m2: Cell::new(0.0),
            laid_um_m2_s: Cell::new(None),
            temperature_k: Cell::new(tank.operation.temperature_k),
            level_status: Cell::new(tank.plant.level.status(tank.plant.volume_l)),
            volume_l: Cell::new(tank.plant.volume_l),
            ph_line: Cell::new(None),
            evaluations: Cell::new(0),
            relation: None,
        }
    }

    /// The same as one of several baths that are read one after the other. One that is linearised has the equilibrium
    /// of the reference.
    pub fn related(mut self, relation: Option<Relation<'a>>) -> Self {
        self.relation = relation;
        self
    }

    /// The tank.
    pub fn tank(&self) -> &'a Tank {
        self.tank
    }

    /// The layout of the state.
    pub fn layout(&self) -> &Layout {
        &self.layout
    }

    /// What a slot of the state stands for, and of a component its total as it was read last, mol/L.
    pub fn slot(&self, slot: usize) -> (String, Option<f64>) {
        let (layout, names) = (&self.layout, self.tank.bath.equilibrium.component_names());
        let name = match slot {
            _ if slot < names.len() => {
                return (names[slot].clone(), Some(self.scratch.borrow().observed.totals_mol_l[slot]));
            }
            _ if slot == self.tank.bath.proton() => "proton",
            _ if layout.liquid().contains(&slot) => "water",
            _ if layout.deposited().contains(&slot) => "the deposit",
            _ if layout.deposited_per_area().contains(&slot) => "the deposit per area",
            _ if layout.evolved().contains(&slot) => "the gas evolved",
            _ if slot == layout.volume(Volume::Bath) => "the volume of the bath",
            _ if slot < layout.len() => "the accounts of what came and went",
            _ => "the coverage of the work",
        };
        (name.to_owned(), None)
    }

    /// Area in the tank from now on, m².
    pub fn set_area_m2(&self, area_m2: f64) {
        self.area_m2.set(area_m2);
        self.laid_um_m2_s.set(None);
    }

    /// Deposit laid down from now on, um m²/s, whatever the rate: A = laid/growth, none where nothing grows.
    pub fn set_laid_um_m2_s(&self, laid: f64) {
        self.laid_um_m2_s.set(Some(laid));
    }

    /// Area in the tank, m².
    pub fn area_m2(&self) -> f64 {
        self.area_m2.get()
    }

    /// Temperature of the bath from now on, K.
    pub fn set_temperature_k(&self, temperature_k: f64) {
        self.temperature_k.set(temperature_k);
    }

    /// Temperature of the bath, K.
    pub fn temperature_k(&self) -> f64 {
        self.temperature_k.get()
    }

    /// The measured course that the pumped pH follows from now on; none: it is held where it stands.
    pub fn set_ph_line(&self, line: Option<PhLine>) {
        self.ph_line.set(line);
    }

    /// Settles whether the tank is at its brim or its float until the next stop.
    pub fn set_level_status(&self, status: LevelStatus) {
        self.level_status.set(status);
    }

    /// Whether the tank is at its brim or its float.
    pub fn level_status(&self) -> LevelStatus {
        self.level_status.get()
    }

    /// Volume of the bath at a (scaled) state, L.
    pub fn volume_l(&self, state: &[f64]) -> f64 {
        let slot = self.layout.volume(Volume::Bath);
        state[slot] * self.layout.scale()[slot]
    }

    /// Total of a component at a (scaled) state, mol/L.
    pub fn total_mol_l(&self, state: &[f64], component: usize) -> f64 {
        state[component] * self.layout.scale()[component] / self.volume_l(state)
    }

    /// Volume of the bath at the last reading, L.
    pub(super) fn now_volume_l(&self) -> f64 {
        self.volume_l.get()
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
        look: impl FnOnce(&mut BathState, &Speciation, &mut Speciation) -> T,
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
        if let Some(Relation::Linearised(bath)) = self.relation
            && let Some(ph) = bath.ph_of_sample(self.tank, totals_mol_l, temperature_k)
        {
            return Ok(ph);
        }
        let sample = &mut self.scratch.borrow_mut().sample;
        sample.solve(&self.tank.bath.equilibrium, totals_mol_l, temperature_k)?;
        let ph = sample.ph();
        if let Some(Relation::Reference(bath)) = self.relation {
            bath.keep_sample(self.tank, totals_mol_l, sample)?;
        }
        Ok(ph)
    }

    /// pH as the operator reads it, given the pH in the bath.
    ///
    /// # Errors
    /// As [`Balances::ph_at`].
    pub fn ph_read(&self, totals_mol_l: &[f64], ph_in_bath: f64) -> Result<f64> {
        let at = self.tank.operation.set_points.ph_temperature_k;
        if at == self.temperature_k() { Ok(ph_in_bath) } else { self.ph_at(totals_mol_l, at) }
    }

    /// pH as the operator reads it at a (scaled) state of a bath that stands alone: the surface is left out.
    ///
    /// # Errors
    /// As [`Balances::ph_at`].
    pub fn ph_read_of_state(&self, state: &[f64]) -> Result<f64> {
        let Scratch { speciation, sample, observed, .. } = &mut *self.scratch.borrow_mut();
        self.take_totals(state, observed);
        let at = self.tank.operation.set_points.ph_temperature_k;
        let liquid = if at == self.temperature_k() { speciation } else { sample };
        liquid.solve(&self.tank.bath.equilibrium, &observed.totals_mol_l, at)?;
        Ok(liquid.ph())
    }

    fn take_totals(&self, state: &[f64], observed: &mut BathState) {
        self.volume_l.set(self.volume_l(state));
        for (position, total) in observed.totals_mol_l.iter_mut().enumerate() {
            *total = self.total_mol_l(state, position);
        }
    }

    fn read(&self, state: &[f64], observed: &mut BathState, speciation: &mut Speciation) -> Result<()> {
        self.take_totals(state, observed);
        observed.temperature_k = self.temperature_k();
        match self.relation {
            Some(Relation::Linearised(bath)) => {
                if bath.answer(self.tank, observed) {
                    observed.evaluate_rates(self.tank);
                    return Ok(());
                }
                observed.update(self.tank, speciation)
            }
            Some(Relation::Reference(bath)) => {
                observed.update(self.tank, speciation)?;
                bath.keep(self.tank, &observed.totals_mol_l, speciation)
            }
            None => observed.update(self.tank, speciation),
        }
    }

    /// Time derivative of the (scaled) state, 1/s. Allocates nothing.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium.
    pub fn derivative(&self, state: &[f64], derivative: &mut [f64]) -> Result<()> {
        self.evaluations.set(self.evaluations.get() + 1);
        let scratch = &mut *self.scratch.borrow_mut();
        self.read(state, &mut scratch.observed, &mut scratch.speciation)?;
        let (tank, layout) = (self.tank, &self.layout);
        let area = self.laid_um_m2_s.get().map_or(self.area_m2.get(), |laid| {
            let growth = scratch.observed.growth_um_s;
            if growth > 0.0 { laid / growth } else { 0.0 }
        });
        let Scratch { observed, change, trial, amounts, fed, speciation, sample, ph_sensitivities, .. } =
            scratch;
        let volume = self.now_volume_l();

        derivative.fill(0.0);
        change.fill(0.0);
        for (reaction, rate) in tank.bath.reactions.iter().zip(&observed.rates_mol_m2_s) {
            let extent = rate * area;
            for (slot, moles) in &reaction.liquid {
                change[*slot] += moles * extent;
            }
            for (element, atoms) in &reaction.deposit {
                derivative[layout.deposited().start + element] += atoms * extent;
                derivative[layout.deposited_per_area().start + element] += atoms * rate;
            }
            for (element, atoms) in &reaction.gas {
                derivative[layout.evolved().start + element] += atoms * extent;
            }
        }

        for (reaction, rate) in tank.bath.bulk.iter().zip(&observed.bulk_mol_l_s) {
            let extent = rate * volume;
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

        for (exchange, slot) in tank.plant.exchanges.iter().zip(layout.exchanged()) {
            let uptake = exchange.uptake_mol_s(observed);
            derivative[slot] = uptake;
            for (of_liquid, moles) in &exchange.brings {
                change[*of_liquid] += moles * uptake;
            }
        }

        let area_rate = tank
            .operation
            .work
            .thickness_um()
            .map_or(0.0, |thickness| area * observed.growth_um_s / thickness);
        for (slot, amount) in amounts.iter_mut().enumerate() {
            *amount = state[slot] * layout.scale()[slot];
        }
        if let Some(drag_in) = tank.operation.drag_in {
            let flow = tank.operation.drag_in_l_m2 * area_rate;
            for (value, moles) in change.iter_mut().zip(&tank.operation.replenishers[drag_in].per_litre) {
                *value += flow * moles;
            }
        }
        // The pump follows the reading the set-point is stated for.
        let line = self.ph_line.get();
        let bath_k = self.temperature_k();
        let read_at_k =
            line.map_or(tank.operation.set_points.ph_temperature_k, |line| line.read_at_k(tank, bath_k));
        let reading = if read_at_k == bath_k {
            speciation
        } else {
            if tank.operation.policies.ph == PhPolicy::Continuous {
                sample.solve(&tank.bath.equilibrium, &observed.totals_mol_l, read_at_k)?;
            }
            sample
        };
        let ph = PhPump::read(tank, reading, ph_sensitivities, line.map(|line| line.slope_s * volume))?;
        let flows = Flows::of_work(tank, observed, area, area_rate);
        let pumps =
            Pumps { tank, level: self.level_status(), volume_l: self.now_volume_l(), ph: ph.as_ref() };
        let flows = pumps.settle(flows, amounts, change, trial, fed);
        let lost = flows.lost_l_s();
        for (gone, amount) in derivative[layout.gone()].iter_mut().zip(amounts.iter()) {
            *gone = lost / volume * amount;
        }
        change[tank.bath.water()] += (flows.level.water_l_s - flows.evaporated_l_s) * WATER_MOL_L;

        derivative[layout.liquid()].copy_from_slice(change);
        derivative[layout.area()] = area_rate;
        derivative[layout.fed()].copy_from_slice(fed);
        for (which, flow) in [
            (Volume::Bath, flows.growth_l_s),
            (Volume::DraggedOut, flows.dragged_out_l_s),
            (Volume::Bled, flows.bled_l_s),
            (Volume::Overflowed, flows.level.overflow_l_s),
            (Volume::Evaporated, flows.evaporated_l_s),
            (Volume::Water, flows.level.water_l_s),
        ] {
            derivative[layout.volume(which)] = flow;
        }
        for (value, scale) in derivative.iter_mut().zip(layout.scale()) {
            *value /= scale;
        }
        Ok(())
    }
}
