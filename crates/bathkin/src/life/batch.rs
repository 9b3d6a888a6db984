//! A bath left alone with a load: balances, and the start of deposition on the load.

use bathkin_numerics::Problem;

use super::segment::used_up;
use super::simulate::fresh_state;
use crate::constants::SECONDS_PER_HOUR;
use crate::error::{Error, Result};
use crate::surface::{Coverage, Start};
use crate::tank::{Balances, Hours, Level, Loads, MetalPolicy, PhPolicy, Policies, Programme, Tank, Work};

/// The balances of a tank with a steady area in it, of which the catalytic part plates.
///
/// A surface that is not covered from the start has one state more, the extended coverage y of
/// [`Coverage`], and plates with the area theta A.
pub(super) struct BatchBath<'a> {
    balances: &'a Balances<'a>,
    area_m2: f64,
    start: Option<Start>,
}

impl<'a> BatchBath<'a> {
    pub(super) fn new(balances: &'a Balances<'a>, area_m2: f64, start: Start) -> Self {
        balances.set_area_m2(area_m2);
        BatchBath { balances, area_m2, start: (!start.coverage.is_complete()).then_some(start) }
    }

    /// The (scaled) state of the fresh bath and the bare load.
    pub(super) fn fresh_state(&self, totals_mol_l: &[f64]) -> Vec<f64> {
        let mut state = fresh_state(self.balances, totals_mol_l);
        state.extend(self.start.map(|start| start.coverage.extended_at_start()));
        state
    }

    /// The part of a state that is the tank's.
    pub(super) fn of_tank<'s>(&self, state: &'s [f64]) -> &'s [f64] {
        &state[..self.balances.layout().len()]
    }

    /// Part of the surface that is catalytic.
    pub(super) fn covered(&self, state: &[f64]) -> f64 {
        match (self.start, state.last()) {
            (Some(_), Some(extended)) => Coverage::fraction_of(*extended),
            _ => 1.0,
        }
    }
}

/// A tank in which nothing is added, pumped or bled.
pub(super) fn unreplenished(tank: &Tank) -> Tank {
    let mut tank = tank.clone();
    tank.operation.work = Work::Loads(Loads::new(Vec::new()));
    tank.operation.bleed_l_h = 0.0;
    tank.plant.evaporation_l_h = 0.0;
    tank.plant.level = Level::Held;
    tank.operation.programme = Programme::default();
    tank.operation.bleed_per_turnover = 0.0;
    tank.operation.policies = Policies {
        metal: MetalPolicy::Threshold { fraction: 0.0 },
        reductant: tank.operation.policies.reductant,
        ph: PhPolicy::Off,
        hours: Hours::Any,
    };
    tank.operation.feeds.clear();
    tank
}

impl Problem for BatchBath<'_> {
    type Error = Error;

    fn dimension(&self) -> usize {
        self.balances.layout().len() + usize::from(self.start.is_some())
    }

    fn derivative(&self, _time: f64, state: &[f64], derivative: &mut [f64]) -> Result<()> {
        let Some(start) = self.start else { return self.balances.derivative(state, derivative) };
        let of_tank = self.balances.layout().len();
        self.balances.set_area_m2(self.area_m2 * self.covered(state));
        self.balances.derivative(&state[..of_tank], &mut derivative[..of_tank])?;
        let relative_rate = self.balances.growth_um_s() * SECONDS_PER_HOUR / start.reference_deposition_um_h;
        derivative[of_tank] = start.coverage.extended_rate_1_s(state[of_tank], relative_rate);
        Ok(())
    }

    fn event_count(&self) -> usize {
        2
    }

    fn event_values(&self, _time: f64, state: &[f64], values: &mut [f64]) -> Result<()> {
        let (tank, scale) = (self.balances.tank(), self.balances.layout().scale());
        let total = |slot: usize| state[slot] * scale[slot] / tank.plant.volume_l;
        values[0] = used_up(total(tank.bath.roles.metal), tank.operation.set_points.metal_mol_l);
        values[1] = used_up(total(tank.bath.roles.reductant), tank.operation.set_points.reductant_mol_l);
        Ok(())
    }
}
