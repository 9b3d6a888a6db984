//! One load in a bath that is left alone: what it gets and what it takes.

use bathkin_numerics::{Options, Stop, advance};
use schemars::JsonSchema;
use serde::Serialize;

use super::batch::{BatchBath, unreplenished};
use super::lockstep::with_tolerance;
use super::settings::failed;
use crate::constants::SECONDS_PER_HOUR;
use crate::error::Result;
use crate::surface::Start;
use crate::tank::{Balances, Quantity, Readings, Tank};

/// One load, plated without additions.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct SingleLoad {
    /// Time in the tank, min.
    pub minutes: f64,
    /// Area, dm².
    pub area_dm2: f64,
    /// Time lost to the start, s: where the late straight line of thickness meets zero at the rate of the
    /// fresh bath.
    pub induction_s: f64,
    /// The same, min.
    pub induction_min: f64,
    /// Part of the surface that plates at the end.
    pub coverage_end: f64,
    /// Mean thickness, um.
    pub thickness_um: f64,
    /// Mass of the deposit, g.
    pub mass_g: f64,
    /// Metal in it, g.
    pub metal_g: f64,
    /// Alloying element, wt%.
    pub alloy_wt_pct: f64,
    /// Name of the alloying element's column, `phosphorus_wt_pct`; none for a pure metal.
    pub alloy_column: Option<String>,
    /// Density of the deposit, g/cm³.
    pub density_g_cm3: f64,
    /// Rate at the start on covered surface, um/h.
    pub deposition_start_um_h: f64,
    /// Rate at the end on covered surface, um/h.
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

/// The (scaled) state of a tank after `seconds` with a steady area in it, pumps running, no dose.
///
/// # Errors
/// [`crate::Error::Simulation`] and [`crate::Error::Convergence`].
pub fn carry(
    tank: &Tank,
    totals_mol_l: &[f64],
    area_m2: f64,
    seconds: f64,
    relative_tolerance: f64,
) -> Result<Vec<f64>> {
    let balances = Balances::new(tank, totals_mol_l);
    let alone = BatchBath::new(&balances, area_m2, Start::AT_ONCE);
    let mut state = alone.fresh_state(totals_mol_l);
    let each = state.len();
    advance(&alone, 0.0, &mut state, seconds, None, &with_tolerance(relative_tolerance))
        .map_err(|error| failed(error, &balances, each))?;
    Ok(state)
}

/// Plates `area_m2` for `minutes` in a bath of these totals (mol/L), adding nothing; `how` deposition
/// starts on it.
///
/// # Errors
/// [`crate::Error::Simulation`] and [`crate::Error::Convergence`].
pub fn plate(
    tank: &Tank,
    totals_mol_l: &[f64],
    area_m2: f64,
    minutes: f64,
    how: Start,
) -> Result<SingleLoad> {
    let tank = unreplenished(tank);
    let balances = Balances::new(&tank, totals_mol_l);
    let alone = BatchBath::new(&balances, area_m2, how);
    let mut state = alone.fresh_state(totals_mol_l);
    let fresh_ph = balances.observe(alone.of_tank(&state), |observed, _, _| observed.ph)?;
    let start = Readings::take(&balances, alone.of_tank(&state), fresh_ph)?;
    let each = state.len();
    let arrival = advance(&alone, 0.0, &mut state, minutes * 60.0, None, &Options::default())
        .map_err(|error| failed(error, &balances, each))?;
    let coverage_end = alone.covered(&state);
    let of_tank = alone.of_tank(&state);
    let end = Readings::take(&balances, of_tank, fresh_ph)
        .map_err(|error| error.at_time(arrival.time / SECONDS_PER_HOUR))?;
    let layout = balances.layout();
    let moles: Vec<f64> = layout.deposited().map(|slot| of_tank[slot] * layout.scale()[slot]).collect();
    let layer = tank.bath.layer(&moles);
    let induction_s = how.induction_at_s(start.deposition_now_um_h);
    Ok(SingleLoad {
        minutes,
        area_dm2: area_m2 * 100.0,
        induction_s,
        induction_min: induction_s / 60.0,
        coverage_end,
        thickness_um: layer.thickness_um(area_m2),
        mass_g: layer.mass_g,
        metal_g: layer.metal_g,
        alloy_wt_pct: layer.alloy_wt_pct,
        alloy_column: Quantity::alloy(&tank).map(|alloy| alloy.name(&tank)),
        density_g_cm3: layer.density_g_cm3,
        deposition_start_um_h: start.deposition_now_um_h,
        deposition_end_um_h: end.deposition_now_um_h,
        metal_end_g_l: tank.bath.metal_g_l(end.totals_mol_l[tank.bath.roles.metal]),
        reductant_end_mol_l: end.totals_mol_l[tank.bath.roles.reductant],
        by_product_end_mol_l: end.totals_mol_l[tank.bath.roles.by_product],
        ph_end: end.ph,
        used_up_after_min: matches!(arrival.stop, Stop::Event { .. }).then_some(arrival.time / 60.0),
    })
}
