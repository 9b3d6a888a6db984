//! Where the water of a held level goes.
//!
//! A held level takes out by evaporation what solutions bring beyond the losses. Nobody declares a tank of
//! 45 L/(m² h), yet a lean replenisher asks for it; an open tank evaporates
//!
//! q(T) = q_88 p(T)/p(88 degC), over A = V^(2/3) or a declared surface
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | q_88 | an open tank at 88 degC under a hood: 10, from memory | L/(m² h) |
//! | p | vapour pressure of water | Pa |
//! | V, A | volume, open surface: that of a cube where none is declared | m³, m² |

use crate::constants::ZERO_CELSIUS_K;
use crate::document::Document;
use crate::flag::Flag;
use crate::life::Life;
use crate::tank::temperature::vapour_pressure_ratio;
use crate::tank::{Level, Readings, Tank, Volume};

const PLACE: &str = "tank.level";
const L_PER_M3: f64 = 1e3;

/// Evaporation of an open tank, L/h.
fn open_tank_l_h(surface_m2: f64, temperature_k: f64) -> f64 {
    const L_M2_H: f64 = 10.0;
    const AT_K: f64 = 88.0 + ZERO_CELSIUS_K;
    L_M2_H * surface_m2 * vapour_pressure_ratio(temperature_k, AT_K)
}

/// Most water that leaves over a turnover and at least a day, since a tank has the night to make up for a shift, L/h; over
/// the whole life where no turnover is complete.
fn fastest_loss_l_h(rows: &[Readings]) -> Option<f64> {
    const DAY_H: f64 = 24.0;
    let hours = |from: &Readings, to: &Readings| to.clock_h - from.clock_h;
    let loss = |from: &Readings, to: &Readings| {
        (from.volume(Volume::Water) - to.volume(Volume::Water)) / hours(from, to).max(DAY_H)
    };
    // A row is written at the first stop past a turnover, so two rows may lie a part of a turnover apart.
    const NEARLY: f64 = 0.9;
    let (first, last) = (rows.first()?, rows.last()?);
    let mut fastest: Option<f64> = None;
    let mut from = first;
    for to in &rows[1..] {
        if to.turnovers - from.turnovers >= NEARLY && hours(from, to) >= DAY_H {
            fastest = Some(fastest.map_or(loss(from, to), |fastest| fastest.max(loss(from, to))));
            from = to;
        }
    }
    Some(fastest.unwrap_or_else(|| loss(first, last)))
}

/// The warning about a life whose held level lets go of more water than evaporates.
pub(crate) fn warning(document: &Document, tank: &Tank, life: &Life) -> Option<Flag> {
    let last = life.rows.last()?;
    let out_l = -last.volume(Volume::Water);
    // Below this part of the volume it is what stands between two doses.
    const WORTH_SAYING: f64 = 1e-3;
    if tank.plant.level != Level::Held || out_l <= WORTH_SAYING * tank.plant.volume_l {
        return None;
    }
    let flag = |what: String| Some(Flag { r#where: PLACE.to_owned(), what });
    if document.get("tank.evaporation_l_h").is_some() {
        let declared_l = last.volume(Volume::Evaporated);
        return flag(format!(
            "the level is held by taking {out_l:.0} L of water out beyond the {declared_l:.0} L that evaporate: \
             a free level would overflow"
        ));
    }
    let mut stated = tank
        .plant
        .exchanges
        .iter()
        .map(|exchange| exchange.open_surface_m2)
        .chain(tank.plant.open_surface_m2);
    let surface_m2 = stated.rfind(|m2| *m2 > 0.0);
    let surface_m2 = surface_m2.unwrap_or_else(|| (tank.plant.volume_l / L_PER_M3).powf(2.0 / 3.0));
    let open_l_h = open_tank_l_h(surface_m2, tank.operation.temperature_k);
    let fastest_l_h = fastest_loss_l_h(&life.rows)?;
    if fastest_l_h <= open_l_h {
        return None;
    }
    let celsius = tank.operation.temperature_k - ZERO_CELSIUS_K;
    flag(format!(
        "the level is held by taking {out_l:.0} L of water out, up to {fastest_l_h:.1} L/h over a turnover and a day; an open tank \
         of {surface_m2:.2} m2 at {celsius:.0} degC evaporates some {open_l_h:.1} L/h: a free level would overflow. Use \
         stronger solutions or a bleed, or state tank.evaporation_l_h, tank.open_surface_m2 or tank.level = \"free\""
    ))
}
