//! The course of one load: thickness against time.

use bathkin_numerics::{Options, Stop, advance};
use schemars::JsonSchema;
use serde::Serialize;

use super::batch::{BatchBath, unreplenished};
use super::settings::failed;
use crate::constants::SECONDS_PER_HOUR;
use crate::error::Result;
use crate::surface::Start;
use crate::tank::{Balances, Tank};

/// Columns of a load against time, a point per row.
#[derive(Debug, Clone, Default, PartialEq, JsonSchema, Serialize)]
pub struct LoadCurve {
    /// Time in the tank, min.
    pub minutes: Vec<f64>,
    /// Mean thickness, um.
    pub thickness_um: Vec<f64>,
    /// Part of the surface that is catalytic.
    pub coverage: Vec<f64>,
    /// Growth of the mean thickness, um/h.
    pub deposition_um_h: Vec<f64>,
    /// Metal in the bath, g/L.
    pub metal_g_l: Vec<f64>,
}

/// Points along the whole time, and again as many along the start of deposition.
const POINTS: u32 = 60;
/// The start is over after so many induction times.
const STARTED: f64 = 4.0;

/// The course of `area_m2` in a bath of these totals (mol/L) for `minutes`, adding nothing. It ends
/// earlier where metal or reductant runs out.
///
/// # Errors
/// [`crate::Error::Simulation`] and [`crate::Error::Convergence`].
pub fn load_curve(
    tank: &Tank,
    totals_mol_l: &[f64],
    area_m2: f64,
    minutes: f64,
    start: Start,
) -> Result<LoadCurve> {
    let tank = unreplenished(tank);
    let balances = Balances::new(&tank, totals_mol_l);
    let alone = BatchBath::new(&balances, area_m2, start);
    let mut state = alone.fresh_state(totals_mol_l);
    let mut curve = LoadCurve::default();
    let mut take = |seconds: f64, state: &[f64]| -> Result<f64> {
        let of_tank = alone.of_tank(state);
        let layout = balances.layout();
        let moles: Vec<f64> = layout.deposited().map(|slot| of_tank[slot] * layout.scale()[slot]).collect();
        let (growth_um_s, metal_mol_l) = balances.observe(of_tank, |observed, _, _| {
            (observed.growth_um_s, observed.totals_mol_l[tank.bath.roles.metal])
        })?;
        curve.minutes.push(seconds / 60.0);
        curve.thickness_um.push(tank.bath.layer(&moles).thickness_um(area_m2));
        curve.coverage.push(alone.covered(state));
        curve.deposition_um_h.push(growth_um_s * SECONDS_PER_HOUR * alone.covered(state));
        curve.metal_g_l.push(tank.bath.metal_g_l(metal_mol_l));
        Ok(growth_um_s * SECONDS_PER_HOUR)
    };
    let induction_s = start.induction_at_s(take(0.0, &state)?);
    let (mut now, mut step) = (0.0, None);
    for stop in stops_s(minutes * 60.0, induction_s) {
        let each = state.len();
        let arrival = advance(&alone, now, &mut state, stop, step, &Options::default())
            .map_err(|error| failed(error, &balances, each))?;
        (now, step) = (arrival.time, Some(arrival.next_step));
        take(now, &state).map_err(|error| error.at_time(now / SECONDS_PER_HOUR))?;
        if arrival.stop != Stop::End {
            break;
        }
    }
    Ok(curve)
}

/// Where the points lie, s: evenly along the whole, and closer along the start.
fn stops_s(end: f64, induction_s: f64) -> Vec<f64> {
    let even = |to: f64| (1..=POINTS).map(move |n| to * f64::from(n) / f64::from(POINTS));
    let mut stops: Vec<f64> = even(end).collect();
    if induction_s > 0.0 {
        stops.extend(even((STARTED * induction_s).min(end)));
    }
    stops.sort_unstable_by(f64::total_cmp);
    // Two points closer than rounding are one.
    stops.dedup_by(|later, earlier| *later - *earlier < 1e-9 * end);
    stops
}
