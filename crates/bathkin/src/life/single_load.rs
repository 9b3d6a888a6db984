//! One load in a bath that is left alone: what it gets and what it takes.

use bathkin_numerics::{Options, Problem, Stop, advance};
use serde::Serialize;

use super::readings::Readings;
use super::segment::used_up;
use super::simulate::{fresh_state, in_hours};
use crate::error::{Error, Result};
use crate::tank::{Balances, MetalPolicy, PhPolicy, Policies, Tank, Work};

/// One load, plated without additions.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SingleLoad {
    /// Time in the tank, min.
    pub minutes: f64,
    /// Area, dm².
    pub area_dm2: f64,
    /// Mean thickness, um.
    pub thickness_um: f64,
    /// Mass of the deposit, g.
    pub mass_g: f64,
    /// Metal in it, g.
    pub metal_g: f64,
    /// Alloying element, wt%.
    pub alloy_wt_pct: f64,
    /// Density of the deposit, g/cm³.
    pub density_g_cm3: f64,
    /// Rate at the start, um/h.
    pub deposition_start_um_h: f64,
    /// Rate at the end, um/h.
    pub deposition_end_um_h: f64,
    /// Metal left in the bath, g/L.
    pub metal_end_g_l: f64,
    /// Reductant left, mol/L.
    pub reductant_end_mol_l: f64,
    /// By-product made, mol/L.
    pub by_product_end_mol_l: f64,
    /// pH at the end, in the bath.
    pub ph_end: f64,
    /// When metal or reductant ran out, min; plating ended there.
    pub used_up_after_min: Option<f64>,
}

struct Alone<'a>(&'a Balances<'a>);

impl Problem for Alone<'_> {
    type Error = Error;

    fn dimension(&self) -> usize {
        self.0.layout().len()
    }

    fn derivative(&self, _time: f64, state: &[f64], derivative: &mut [f64]) -> Result<()> {
        self.0.derivative(state, derivative)
    }

    fn event_count(&self) -> usize {
        2
    }

    fn event_values(&self, _time: f64, state: &[f64], values: &mut [f64]) -> Result<()> {
        let (tank, scale) = (self.0.tank(), self.0.layout().scale());
        let total = |slot: usize| state[slot] * scale[slot] / tank.volume_l;
        values[0] = used_up(total(tank.roles.metal), tank.set_points.metal_mol_l);
        values[1] = used_up(total(tank.roles.reductant), tank.set_points.reductant_mol_l);
        Ok(())
    }
}

/// The (scaled) state of a tank after `seconds` with a steady area in it, pumps running, no dose.
///
/// # Errors
/// [`Error::Simulation`] and [`Error::Convergence`].
pub fn carry(
    tank: &Tank,
    totals_mol_l: &[f64],
    area_m2: f64,
    seconds: f64,
    relative_tolerance: f64,
) -> Result<Vec<f64>> {
    let balances = Balances::new(tank, totals_mol_l);
    balances.set_area_m2(area_m2);
    let mut state = fresh_state(&balances, totals_mol_l);
    let options =
        Options { relative_tolerance, absolute_tolerance: 1e-2 * relative_tolerance, ..Options::default() };
    advance(&Alone(&balances), 0.0, &mut state, seconds, None, &options).map_err(in_hours)?;
    Ok(state)
}

/// Plates `area_m2` for `minutes` in a bath of these totals (mol/L), adding nothing.
///
/// # Errors
/// [`Error::Simulation`] and [`Error::Convergence`].
pub fn plate(tank: &Tank, totals_mol_l: &[f64], area_m2: f64, minutes: f64) -> Result<SingleLoad> {
    let mut tank = tank.clone();
    tank.work = Work::Loads(Vec::new());
    tank.bleed_l_h = 0.0;
    tank.bleed_per_turnover = 0.0;
    tank.policies = Policies {
        metal: MetalPolicy::Threshold { fraction: 0.0 },
        reductant: tank.policies.reductant,
        ph: PhPolicy::Off,
    };
    let balances = Balances::new(&tank, totals_mol_l);
    balances.set_area_m2(area_m2);
    let mut state = fresh_state(&balances, totals_mol_l);
    let fresh_ph = balances.observe(&state, |observed, _, _| observed.ph)?;
    let start = Readings::take(&balances, &state, fresh_ph)?;
    let arrival = advance(&Alone(&balances), 0.0, &mut state, minutes * 60.0, None, &Options::default())
        .map_err(in_hours)?;
    let end = Readings::take(&balances, &state, fresh_ph)?;
    let layout = balances.layout();
    let moles: Vec<f64> = layout.deposited().map(|slot| state[slot] * layout.scale()[slot]).collect();
    let layer = tank.layer(&moles);
    Ok(SingleLoad {
        minutes,
        area_dm2: area_m2 * 100.0,
        thickness_um: layer.thickness_um(area_m2),
        mass_g: layer.mass_g,
        metal_g: layer.metal_g,
        alloy_wt_pct: layer.alloy_wt_pct,
        density_g_cm3: layer.density_g_cm3,
        deposition_start_um_h: start.deposition_now_um_h,
        deposition_end_um_h: end.deposition_now_um_h,
        metal_end_g_l: end.metal_g_l,
        reductant_end_mol_l: end.totals_mol_l[tank.roles.reductant],
        by_product_end_mol_l: end.by_product_mol_l,
        ph_end: end.ph,
        used_up_after_min: matches!(arrival.stop, Stop::Event { .. }).then_some(arrival.time / 60.0),
    })
}
