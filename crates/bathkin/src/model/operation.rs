//! Work as a recipe writes it.

use crate::constants::SECONDS_PER_HOUR;
use crate::document::reader::{Bounds, Reader};
use crate::document::table::{TableError, dates};
use crate::error::{Error, Place, Result};
use crate::model::calendar::read_calendar;
use crate::model::substrates::{Substrate, Surface, surface_for};
use crate::tank::{Load, Loads, Shifts, Work};

const DM2_PER_M2: f64 = 100.0;
const SECONDS_PER_MINUTE: f64 = 60.0;
const COUNT: Bounds = Bounds::between(1.0, 1e6, "a count from 1 to 1000000");

/// How racks start to plate in the fresh bath.
pub(crate) struct Starting<'a> {
    /// The recipe's own surface, for racks that say nothing.
    pub(crate) surface: &'a Surface,
    /// The substrates of the bath's family.
    pub(crate) substrates: &'a [Substrate],
    /// Rate of the fresh bath on covered surface, um/h.
    pub(crate) deposition_um_h: f64,
}

impl Starting<'_> {
    /// Induction time of a rack, s; refused where it does not start.
    fn induction_s(&self, substrate: Option<&str>, activation: Option<&str>, place: Place) -> Result<f64> {
        let on = Surface { place, ..surface_for(self.surface, substrate, activation)? };
        Ok(on.start(self.substrates)?.1.induction_at_s(self.deposition_um_h))
    }
}

/// The work: racks from a calendar or from `[load.<name>]`, or a steady load from `[work]`. Second, the moment of
/// clock zero, where a calendar tells it.
pub(crate) fn read_work(
    reader: &Reader,
    volume_l: f64,
    starting: &Starting,
) -> Result<(Work, Option<dates::Moment>)> {
    let mut loads = read_loads(reader, starting)?;
    let (on_calendar, zero) = read_calendar_loads(reader, starting)?;
    loads.extend(on_calendar);
    let steady = |key: &str| format!("work.{key}");
    if !loads.is_empty() {
        // A recipe may keep its steady load beside the racks; the racks are what counts then.
        for key in ["loading_dm2_l", "thickness_um", "hours_per_day", "days_per_week"] {
            reader.optional(&steady(key), Bounds::POSITIVE)?;
        }
        return Ok((Work::Loads(Loads::new(loads)), zero));
    }
    let loading = reader.number(&steady("loading_dm2_l"), Bounds::POSITIVE)?;
    const HOURS: Bounds = Bounds::between(0.1, 24.0, "hours per day up to 24");
    const DAYS: Bounds = Bounds::between(1.0, 7.0, "days per week from 1 to 7");
    let shifts = Shifts {
        area_m2: loading * volume_l / DM2_PER_M2,
        thickness_um: reader.number(&steady("thickness_um"), Bounds::POSITIVE)?,
        hours_per_day: reader.number_or(&steady("hours_per_day"), HOURS, 24.0)?,
        days_per_week: reader.number_or(&steady("days_per_week"), DAYS, 7.0)?,
    };
    Ok((Work::Steady(shifts), None))
}

/// Racks of the file `work.calendar` names, with what repeats it.
fn read_calendar_loads(reader: &Reader, starting: &Starting) -> Result<(Vec<Load>, Option<dates::Moment>)> {
    let path = "work.calendar";
    let Some(name) = reader.optional_text(path)? else { return Ok((Vec::new(), None)) };
    let start = reader.optional_text("work.calendar_start")?;
    let start = start.map(|text| read_start(reader, text)).transpose()?;
    let repeat_s =
        reader.optional("work.calendar_repeat_h", Bounds::INTERVAL_H)?.map(|h| h * SECONDS_PER_HOUR);
    let repeats = reader.optional("work.calendar_repeats", COUNT)?;
    let (every_s, count) = match (repeat_s, repeats) {
        (None, None) => (0.0, 1),
        // For ever, when nobody counts.
        (Some(every_s), count) => (every_s, count.map_or(u32::MAX, |count| count as u32)),
        (None, Some(_)) => {
            let expected = "the hours after which the calendar begins again, 168 for a week";
            return Err(reader.refuse("work.calendar_repeat_h", expected, None));
        }
    };
    let mut loads = Vec::new();
    let calendar = read_calendar(name, &reader.place(path), start)?;
    for assumed in &calendar.assumed {
        reader.flag(path, format!("{}: {assumed}", calendar.file));
    }
    for row in calendar.rows {
        if every_s > 0.0 && row.in_s >= every_s {
            return Err(Error::Recipe {
                place: row.place,
                key: "in".to_owned(),
                value: format!("{} h", row.in_s / SECONDS_PER_HOUR),
                expected: format!(
                    "before the calendar begins again, at {} h (work.calendar_repeat_h)",
                    every_s / SECONDS_PER_HOUR
                ),
                hint: None,
            });
        }
        let induction_s =
            starting.induction_s(row.substrate.as_deref(), row.activation.as_deref(), row.place)?;
        loads.push(Load {
            name: row.name,
            area_m2: row.area_m2,
            weighed_g: row.weighed_g,
            in_s: row.in_s,
            stay_s: row.stay_s,
            every_s,
            count,
            substrate: row.substrate,
            induction_s,
            drain_s: row.drain_s,
        });
    }
    Ok((loads, calendar.zero))
}

/// The moment of clock zero.
fn read_start(reader: &Reader, text: &str) -> Result<dates::Moment> {
    let path = "work.calendar_start";
    let refuse = |error| match error {
        TableError::Cell { expected, .. } => reader.refuse(path, &expected, None),
        _ => reader.refuse(path, dates::EXPECTED, None),
    };
    let mut assumed = Vec::new();
    let found = dates::moments(&[(1, path, text)], &mut assumed).map_err(refuse)?;
    for one in assumed.iter().filter(|one| one.taken != "midnight") {
        reader.flag(path, format!("'{}' taken as {}", one.raw, one.taken));
    }
    found.first().copied().ok_or_else(|| reader.refuse(path, dates::EXPECTED, None))
}

/// Racks of `[load.<name>]`.
fn read_loads(reader: &Reader, starting: &Starting) -> Result<Vec<Load>> {
    let mut loads = Vec::new();
    for name in reader.document().children("load") {
        let path = |key: &str| format!("load.{name}.{key}");
        let substrate = reader.optional_text(&path("substrate"))?;
        let activation = reader.optional_text(&path("activation"))?;
        let induction_s = starting.induction_s(substrate, activation, reader.place(&path("substrate")))?;
        let stay_s = reader.number(&path("minutes"), Bounds::POSITIVE)? * SECONDS_PER_MINUTE;
        let count = reader.number_or(&path("count"), COUNT, 1.0)?;
        let every_h = if count > 1.0 {
            reader.number(&path("every_h"), Bounds::INTERVAL_H)?
        } else {
            reader.number_or(&path("every_h"), Bounds::NOT_NEGATIVE, 0.0)?
        };
        loads.push(Load {
            area_m2: reader.number(&path("area_dm2"), Bounds::POSITIVE)? / DM2_PER_M2,
            weighed_g: None,
            in_s: reader.number(&path("in_h"), Bounds::NOT_NEGATIVE)? * SECONDS_PER_HOUR,
            stay_s,
            every_s: every_h * SECONDS_PER_HOUR,
            count: count as u32,
            substrate: substrate.map(str::to_owned),
            induction_s,
            drain_s: reader.optional(&path("drain_s"), Bounds::POSITIVE)?,
            name,
        });
    }
    Ok(loads)
}

/// Path of the activation energy that a card states.
pub(crate) const STATED_ENERGY: &str = "operation.apparent_activation_energy_kj_mol";

/// What the card states is checked like any number; no rate follows it.
pub(crate) fn read_stated_energy(reader: &Reader) -> Result<()> {
    const ENERGY: Bounds =
        Bounds::between(-300.0, 300.0, "an energy between -300 and 300 kJ/mol (kJ, not J)").linear();
    reader.optional(STATED_ENERGY, ENERGY).map(|_| ())
}
