//! What the operator does at a stop: doses, corrections, racks in and out, water, declared events.

use super::ledger::{Ledger, LedgerTime};
use super::rounding::{Rounding, Size};
use super::watch::Watch;
use crate::constants::SECONDS_PER_HOUR;
use crate::error::{Error, Result};
use crate::solution::Speciation;
use crate::solution::ph::{Adjustment, LastAdjustment, adjust_ph_again};
use crate::tank::readings::turnovers;
use crate::tank::{Balances, Event, Level, PH, Volume, WATER_MOL_L};

/// Why a pump feeds, in the ledger.
pub(super) const PUMPED: &str = "pumped";

/// The operator of a tank: changes its state at stops and keeps the ledger.
pub struct Operator<'a> {
    pub(super) balances: &'a Balances<'a>,
    pub(super) reading: Speciation,
    last_correction: Option<LastAdjustment>,
    /// Every addition so far.
    pub ledger: Ledger,
    /// Volume of each solution fed before the ledger was opened, L.
    opened_l: Vec<f64>,
    /// Volume of each solution fed that stands in the ledger, or went in before it, L.
    booked_l: Vec<f64>,
    /// The measure doses are rounded to; none: not rounded.
    pub(super) rounding: Option<Rounding>,
    /// Looks at the bath before and after each dose, for a plan.
    pub(super) watch: Option<Watch>,
}

impl<'a> Operator<'a> {
    /// An operator of a tank at a state, with an empty ledger.
    pub fn new(balances: &'a Balances<'a>, state: &[f64]) -> Self {
        let reading = balances.tank().bath.equilibrium.speciation();
        let mut operator = Operator {
            balances,
            reading,
            last_correction: None,
            ledger: Ledger::default(),
            opened_l: Vec::new(),
            booked_l: Vec::new(),
            rounding: None,
            watch: None,
        };
        operator.opened_l = operator.fed_l(state);
        operator.booked_l.clone_from(&operator.opened_l);
        operator
    }

    /// Adds a dose of a fixed size.
    ///
    /// # Errors
    /// [`Error::Convergence`] from the equilibrium of a watched bath.
    pub fn add_dose(
        &mut self,
        time_s: f64,
        state: &mut [f64],
        solution: usize,
        volume_l: f64,
        reason: &str,
    ) -> Result<()> {
        self.add(time_s, state, solution, volume_l, Size::Counted, reason).map(|_| ())
    }

    /// Writes down what came in since the last time other than by doses.
    pub fn book_flows(&mut self, time_s: f64, state: &[f64]) {
        // Below this is round-off between the two sums.
        const ROUND_OFF: f64 = 1e-10;
        let tank = self.balances.tank();
        for (which, fed) in self.fed_l(state).into_iter().enumerate() {
            let volume = fed - self.booked_l[which];
            if tank.operation.flows_in(which) && volume > ROUND_OFF * fed {
                let carried = tank.operation.drag_in == Some(which);
                let reason = if carried { "carried in with the work" } else { PUMPED };
                self.ledger.write(self.moment(time_s, state), tank, which, volume, reason);
                self.booked_l[which] = fed;
            }
        }
    }

    /// Holds the ledger against what was fed since it was opened.
    ///
    /// # Errors
    /// [`Error::Ledger`].
    pub fn check_ledger(&self, state: &[f64]) -> Result<()> {
        let fed = self.fed_l(state).into_iter().zip(&self.opened_l).map(|(fed, opened)| fed - opened);
        let solutions: Vec<(&str, f64)> =
            self.balances.tank().operation.replenishers.iter().map(|of| of.name.as_str()).zip(fed).collect();
        self.ledger.check(&solutions)
    }

    /// Volume fed from each solution since make-up, L.
    pub(super) fn fed_l(&self, state: &[f64]) -> Vec<f64> {
        self.balances.layout().fed().map(|slot| self.amount(state, slot)).collect()
    }

    fn moment(&self, time_s: f64, state: &[f64]) -> LedgerTime {
        LedgerTime { time_s, turnovers: turnovers(self.balances, state).0 }
    }

    /// Brings the pH back to its set-point with the corrector; a pH above it is left alone.
    ///
    /// # Errors
    /// [`Error::Simulation`] when the corrector cannot, [`Error::Convergence`] from the
    /// equilibrium.
    pub fn correct_ph(&mut self, time_s: f64, state: &mut [f64], size: Size, reason: &str) -> Result<()> {
        let tank = self.balances.tank();
        let corrector = &tank.operation.replenishers[PH];
        let bath_l = self.balances.volume_l(state);
        let (mut totals, gives) = self.totals_and_gives(state);
        let adjustment = adjust_ph_again(
            &tank.bath.equilibrium,
            &mut self.reading,
            &mut totals,
            &gives,
            tank.operation.set_points.ph_temperature_k,
            tank.operation.set_points.ph,
            &mut self.last_correction,
        )?;
        match adjustment {
            Adjustment::Amount(part) => {
                let volume = self.volume_of_part(bath_l, part);
                self.add(time_s, state, PH, volume, size, reason).map(|_| ())
            }
            Adjustment::AlreadyPast(_) => Ok(()),
            Adjustment::OutOfReach(reached) => Err(Error::Simulation {
                time_h: time_s / SECONDS_PER_HOUR,
                reason: format!(
                    "{} cannot bring the bath back to its pH; it stays at {reached:.2}",
                    corrector.name
                ),
            }),
        }
    }

    /// Totals, mol/L, and what a part of the bath that is pH corrector moves them by: at a held level amounts change; else
    /// the corrector takes the place of bath.
    pub(super) fn totals_and_gives(&self, state: &[f64]) -> (Vec<f64>, Vec<f64>) {
        let tank = self.balances.tank();
        let totals: Vec<f64> =
            (0..tank.bath.components()).map(|slot| self.content_mol_l(state, slot)).collect();
        let thinned = if tank.plant.level == Level::Held { 0.0 } else { 1.0 };
        let brings = tank.operation.replenishers[PH].per_litre.iter();
        let gives = brings.zip(&totals).map(|(brings, total)| brings - thinned * total).collect();
        (totals, gives)
    }

    /// Lifts racks out: what clings to `area_m2` goes with them. A held level or a float makes it good.
    pub fn lift_out(&mut self, state: &mut [f64], area_m2: f64, drain_s: Option<f64>) {
        let (tank, layout) = (self.balances.tank(), self.balances.layout());
        state[layout.area()] += area_m2 / layout.scale()[layout.area()];
        self.take_out(state, tank.operation.drag_out.l_m2(drain_s) * area_m2, Volume::DraggedOut);
        self.make_good(state);
    }

    /// Puts racks in: what clings to `area_m2` comes with them.
    pub fn put_in(&mut self, state: &mut [f64], area_m2: f64) {
        let tank = self.balances.tank();
        if let Some(drag_in) = tank.operation.drag_in {
            self.pour(state, drag_in, tank.operation.drag_in_l_m2 * area_m2);
        }
    }

    /// Does a declared event.
    ///
    /// # Errors
    /// As [`Operator::add_dose`].
    pub fn apply_event(&mut self, time_s: f64, state: &mut [f64], event: &Event) -> Result<()> {
        let (layout, bath_l) = (self.balances.layout(), self.balances.volume_l(state));
        let amounts: Vec<f64> = layout.liquid().map(|slot| self.amount(state, slot)).collect();
        let charge = |slot: usize| self.balances.tank().bath.liquid[slot].charge;
        let mut take = |slot: usize, moles: f64| {
            state[slot] -= moles / layout.scale()[slot];
            // Both slots have the same scale.
            state[layout.gone().start + slot] += moles / layout.scale()[slot];
        };
        for (slot, part) in &event.removed {
            let moles = amounts[*slot] * part;
            take(*slot, moles);
            if charge(*slot) != 0.0 {
                take(event.removed_with, -moles * charge(*slot) / charge(event.removed_with));
            }
        }
        if event.dumped > 0.0 {
            self.take_out(state, event.dumped * bath_l, Volume::Bled);
            match event.filled_with {
                Some(solution) => {
                    self.add_dose(time_s, state, solution, event.dumped * bath_l, &event.name)?;
                }
                None => self.make_good(state),
            }
        }
        for dose in &event.doses {
            self.add_dose(time_s, state, dose.solution, dose.volume_l, &event.name)?;
        }
        Ok(())
    }

    /// Fills up with water by hand to the volume at make-up.
    pub fn fill_up(&mut self, time_s: f64, state: &mut [f64]) {
        let missing = self.balances.tank().plant.volume_l - self.balances.volume_l(state);
        if missing > 0.0 {
            self.water(state, missing);
            let at = self.moment(time_s, state);
            self.ledger.write_water(at, self.balances.tank(), missing, "level low");
        }
    }

    pub(super) fn content_mol_l(&self, state: &[f64], slot: usize) -> f64 {
        self.amount(state, slot) / self.balances.volume_l(state)
    }

    /// Lets go over the brim what stands above it by as much as the brim is located to.
    pub fn spill(&self, state: &mut [f64]) {
        if let Level::Free { brim_l, .. } = self.balances.tank().plant.level {
            let over_l = self.balances.volume_l(state) - brim_l;
            if over_l > 0.0 {
                self.take_out(state, over_l, Volume::Overflowed);
            }
        }
    }

    fn amount(&self, state: &[f64], slot: usize) -> f64 {
        state[slot] * self.balances.layout().scale()[slot]
    }

    /// Volume of a solution that brings a component from its content to its set-point, L; it thins what is
    /// there unless the level is held, and drives bath over the brim when there is no room.
    pub(super) fn volume_to_restore(
        &self,
        state: &[f64],
        which: usize,
        slot: usize,
        content_mol_l: f64,
        set_point_mol_l: f64,
    ) -> f64 {
        let tank = self.balances.tank();
        let bath_l = self.balances.volume_l(state);
        let missing = (set_point_mol_l - content_mol_l) * bath_l;
        let replenisher = &tank.operation.replenishers[which];
        if missing <= 0.0 {
            return 0.0;
        }
        if tank.plant.level == Level::Held {
            return replenisher.volume_for(slot, missing);
        }
        let part = missing / bath_l / (replenisher.per_litre[slot] - content_mol_l);
        self.volume_of_part(bath_l, part)
    }

    /// Volume of a solution that makes up a part of the bath after it is in, L.
    pub(super) fn volume_of_part(&self, bath_l: f64, part: f64) -> f64 {
        match self.balances.tank().plant.level {
            Level::Held => part * bath_l,
            level @ Level::Free { brim_l, .. } => {
                let poured = bath_l * part / (1.0 - part);
                if poured <= level.room_l(bath_l) { poured } else { part * brim_l }
            }
        }
    }

    /// Adds a solution and writes it down; gives the volume poured, L. What a pump brings is written down with
    /// all it fed since its last line.
    pub(super) fn add(
        &mut self,
        time_s: f64,
        state: &mut [f64],
        which: usize,
        exact_l: f64,
        size: Size,
        reason: &str,
    ) -> Result<f64> {
        if size == Size::Pumped {
            self.pour(state, which, exact_l);
            return Ok(exact_l);
        }
        let volume_l = match &mut self.rounding {
            Some(rounding) => rounding.round_l(which, exact_l, size),
            None => exact_l,
        };
        if let Some(watch) = &mut self.watch {
            watch.before(self.balances, state)?;
        }
        self.pour(state, which, volume_l);
        self.booked_l[which] += volume_l;
        let at = self.moment(time_s, state);
        self.ledger.write(at, self.balances.tank(), which, volume_l, reason);
        if volume_l > 0.0
            && let Some(watch) = &mut self.watch
        {
            watch.after(self.balances, state, exact_l, self.ledger.additions.len() - 1)?;
        }
        Ok(volume_l)
    }

    /// Pours a solution in. At the brim bath goes first; at a held level as much water evaporates.
    pub(super) fn pour(&self, state: &mut [f64], which: usize, volume_l: f64) {
        let (tank, layout) = (self.balances.tank(), self.balances.layout());
        let over = volume_l - tank.plant.level.room_l(self.balances.volume_l(state));
        if over > 0.0 {
            self.take_out(state, over, Volume::Overflowed);
        }
        for (slot, moles) in tank.operation.replenishers[which].per_litre.iter().enumerate() {
            state[slot] += volume_l * moles / layout.scale()[slot];
        }
        self.count(state, Volume::Bath, volume_l);
        let fed = layout.fed().start + which;
        state[fed] += volume_l / layout.scale()[fed];
        if tank.plant.level == Level::Held {
            self.water(state, tank.plant.volume_l - self.balances.volume_l(state));
        }
    }

    /// Takes bath out, at most what there is but a drop: what is left of it still is a bath.
    pub(super) fn take_out(&self, state: &mut [f64], volume_l: f64, to: Volume) {
        const A_DROP: f64 = 1e-9;
        let layout = self.balances.layout();
        let there_l = self.balances.volume_l(state) - A_DROP * self.balances.tank().plant.volume_l;
        let volume_l = volume_l.min(there_l.max(0.0));
        let part = volume_l / self.balances.volume_l(state);
        for (slot, gone) in layout.liquid().zip(layout.gone()) {
            // Both slots have the same scale.
            let carried = state[slot] * part;
            state[slot] -= carried;
            state[gone] += carried;
        }
        self.count(state, Volume::Bath, -volume_l);
        self.count(state, to, volume_l);
    }

    /// What a held level or a float adds after a loss.
    fn make_good(&self, state: &mut [f64]) {
        let tank = self.balances.tank();
        let to_l = match tank.plant.level {
            Level::Held => tank.plant.volume_l,
            Level::Free { float_l, .. } => float_l.unwrap_or(0.0),
        };
        self.water(state, (to_l - self.balances.volume_l(state)).max(0.0));
    }

    /// Adds water by hand, where the level is kept without it up to there only.
    pub(super) fn refill(&self, state: &mut [f64], volume_l: f64) {
        let tank = self.balances.tank();
        let room_l =
            tank.plant.level.kept_l(tank.plant.volume_l).map(|kept_l| kept_l - self.balances.volume_l(state));
        self.water(state, room_l.map_or(volume_l, |room_l| volume_l.min(room_l.max(0.0))));
    }

    /// Adds water, or lets it evaporate when negative.
    pub(super) fn water(&self, state: &mut [f64], volume_l: f64) {
        let tank = self.balances.tank();
        state[tank.bath.water()] +=
            volume_l * WATER_MOL_L / self.balances.layout().scale()[tank.bath.water()];
        self.count(state, Volume::Bath, volume_l);
        self.count(state, Volume::Water, volume_l);
    }

    fn count(&self, state: &mut [f64], which: Volume, volume_l: f64) {
        let layout = self.balances.layout();
        let slot = layout.volume(which);
        state[slot] += volume_l / layout.scale()[slot];
    }
}
