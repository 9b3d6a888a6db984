//! How the tank is run beside plating: level, water, evaporation, drag-out and drag-in, temperature.

use crate::constants::{SECONDS_PER_HOUR, ZERO_CELSIUS_K};
use crate::document::Dependence;
use crate::document::reader::{Bounds, Reader, Role};
use crate::error::Result;
use crate::model::amounts::Amounts;
use crate::model::make_up::read_amounts;
use crate::solution::Chemistry;
use crate::tank::{DragOut, Draining, Idle, Level, Programme, Step};
use bathkin_numerics::short;

pub(crate) const TEMPERATURE: Bounds =
    Bounds::between(0.0, 100.0, "a temperature between 0 and 100 degC, the boiling point of an open bath")
        .linear();

/// `tank.level` and what rules it.
pub(crate) fn read_level(reader: &Reader, volume_l: f64) -> Result<Level> {
    let held = reader.choice("tank.level", &[("held", true), ("free", false)])?;
    let brim_l = reader.number_or("tank.brim_l", Bounds::POSITIVE, volume_l)?;
    let float = reader.choice("tank.water", &[("float", true), ("by-hand", false)])?;
    if held {
        return Ok(Level::Held);
    }
    if brim_l < volume_l {
        return Err(reader.refuse(
            "tank.brim_l",
            &format!("at least the {} L of the make-up", short(volume_l)),
            None,
        ));
    }
    Ok(Level::Free { brim_l, float_l: float.then_some(volume_l) })
}

/// Time between fillings up with water by hand, s.
pub(crate) fn read_water_interval_s(reader: &Reader) -> Result<Option<f64>> {
    let hours = reader.optional("tank.water_interval_h", Bounds::INTERVAL_H)?;
    Ok(hours.map(|hours| hours * SECONDS_PER_HOUR))
}

/// Drag-out, with its law of the drain time when `tank.drain_s` is given.
pub(crate) fn read_drag_out(reader: &Reader) -> Result<DragOut> {
    let reference_l_m2 = reader.number_or("tank.drag_out_l_m2", Bounds::NOT_NEGATIVE, 0.0)?;
    let drain_s = reader.optional("tank.drain_s", Bounds::POSITIVE)?;
    let reference_drain_s = reader.number_or("tank.drag_out_at_drain_s", Bounds::POSITIVE, 10.0)?;
    let exponent = reader.number_or(
        "tank.drain_exponent",
        Bounds::between(0.0, 2.0, "an exponent from 0 to 2").slope(Dependence::Exponent),
        0.5,
    )?;
    let rate_1_s = reader.optional("tank.drain_rate_1_s", Bounds::POSITIVE)?;
    let draining = rate_1_s.map_or(Draining::Film { exponent }, |rate_1_s| Draining::Drops { rate_1_s });
    let least_l_m2 = reader.number_or("tank.drag_out_least_l_m2", Bounds::NOT_NEGATIVE, 0.0)?;
    if rate_1_s.is_some() && least_l_m2 > reference_l_m2 {
        let expected = format!("at most what is left at first, tank.drag_out_l_m2 = {reference_l_m2}");
        return Err(reader.refuse("tank.drag_out_least_l_m2", &expected, None));
    }
    Ok(match drain_s {
        None => DragOut::constant(reference_l_m2),
        Some(drain_s) => DragOut { reference_l_m2, reference_drain_s, draining, least_l_m2, drain_s },
    })
}

/// Liquid carried in, L/m², and what it holds beside water.
pub(crate) fn read_drag_in(reader: &Reader, chemistry: &Chemistry) -> Result<(f64, Amounts)> {
    let l_m2 =
        reader.with_role(Role::Tank, || reader.number_or("tank.drag_in_l_m2", Bounds::NOT_NEGATIVE, 0.0))?;
    let amounts = if reader.document().children("drag_in").is_empty() {
        Amounts::default()
    } else {
        read_amounts(reader, chemistry, "drag_in")?
    };
    Ok((l_m2, amounts))
}

/// `operation.idle_temperature_c` and `[temperature.NAME]`.
pub(crate) fn read_programme(reader: &Reader) -> Result<Programme> {
    let kelvin = |celsius: f64| celsius + ZERO_CELSIUS_K;
    let hours = |path: &str, default: f64| -> Result<f64> {
        Ok(reader.number_or(path, Bounds::POSITIVE, default)? * SECONDS_PER_HOUR)
    };
    let idle_c = reader.optional("operation.idle_temperature_c", TEMPERATURE)?;
    let (heat_up_s, cool_down_s) = (hours("operation.heat_up_h", 2.0)?, hours("operation.cool_down_h", 4.0)?);
    let idle = idle_c.map(|celsius| Idle { temperature_k: kelvin(celsius), heat_up_s, cool_down_s });
    let mut steps = Vec::new();
    for name in reader.document().children("temperature") {
        let path = |key: &str| format!("temperature.{name}.{key}");
        let at_s = reader.number(&path("at_h"), Bounds::NOT_NEGATIVE)? * SECONDS_PER_HOUR;
        let over_s = hours(&path("over_h"), 1.0)?;
        let temperature_k = kelvin(reader.number(&path("temperature_c"), TEMPERATURE)?);
        steps.push((path("at_h"), Step { name, at_s, over_s, temperature_k }));
    }
    steps.sort_by(|a, b| a.1.at_s.total_cmp(&b.1.at_s));
    for pair in steps.windows(2) {
        let (before, (path, after)) = (&pair[0].1, &pair[1]);
        if before.at_s + before.over_s > after.at_s {
            let ends_h = (before.at_s + before.over_s) / SECONDS_PER_HOUR;
            let expected = format!("{} h or later, when the step '{}' is over", short(ends_h), before.name);
            return Err(reader.refuse(path, &expected, None));
        }
    }
    Ok(Programme { idle, steps: steps.into_iter().map(|(_, step)| step).collect() })
}
