//! Declared events as a recipe writes them: `[event.NAME]`.

use crate::constants::SECONDS_PER_HOUR;
use crate::document::reader::{Bounds, Reader};
use crate::error::Result;
use crate::model::amounts::Amounts;
use crate::model::make_up::read_amounts;
use crate::model::slots::Slots;
use crate::solution::chemistry::PROTON;
use crate::solution::{Chemistry, Formula};
use crate::tank::{Dose, Event, Replenisher, WATER_MOL_L, When};

const PERCENT: Bounds = Bounds::between(0.0, 100.0, "a percentage between 0 and 100");

/// Name of a fresh fill in the ledger.
pub(crate) const MAKE_UP: &str = "make-up";

/// What an event pours in, before it is known which components the bath has.
#[derive(Debug)]
pub(crate) struct EventSolution {
    name: String,
    amounts: Amounts,
}

impl EventSolution {
    /// Name of its event.
    pub(crate) fn name(&self) -> &str {
        &self.name
    }

    /// What it holds.
    pub(crate) fn amounts(&self) -> &Amounts {
        &self.amounts
    }
}

/// The solutions of all events that pour one in.
pub(crate) fn event_solutions(reader: &Reader, chemistry: &Chemistry) -> Result<Vec<EventSolution>> {
    let mut found = Vec::new();
    for name in reader.document().children("event") {
        let table = format!("event.{name}.solution");
        if !reader.document().children(&table).is_empty() {
            found.push(EventSolution { amounts: read_amounts(reader, chemistry, &table)?, name });
        }
    }
    Ok(found)
}

/// The events of a recipe; the solutions they pour in are added to `replenishers`.
///
/// `fresh` are the moles per litre of the bath as made up.
pub(crate) fn read_events(
    reader: &Reader,
    slots: &Slots,
    solutions: &[EventSolution],
    fresh: Vec<f64>,
    liquid: &[Formula],
    volume_l: f64,
    replenishers: &mut Vec<Replenisher>,
) -> Result<Vec<Event>> {
    let mut make_up = None;
    let mut events = Vec::new();
    for name in reader.document().children("event") {
        let path = |key: &str| format!("event.{name}.{key}");
        let dumped = reader.number_or(&path("dump_pct"), PERCENT, 0.0)? / 100.0;
        let fresh_fill = reader.choice(&path("fill_with"), &[("make-up", true), ("water", false)])?;
        let filled_with = (dumped > 0.0 && fresh_fill).then(|| {
            *make_up.get_or_insert_with(|| {
                replenishers.push(Replenisher::plain("make-up", fresh.clone()));
                replenishers.len() - 1
            })
        });
        let counter = reader.optional_text(&path("removed_with"))?.unwrap_or(PROTON).to_owned();
        let mut removed = Vec::new();
        let mut exchanged = 0.0;
        for (component, pct) in reader.numbers_under(&path("removed_pct"), PERCENT)? {
            let slot = slots.named(reader, &path(&format!("removed_pct.{component}")), &component)?;
            removed.push((slot, pct / 100.0));
            exchanged += liquid[slot].charge.abs();
        }
        let counter_slot = if counter == PROTON {
            slots.names.len()
        } else {
            slots.named(reader, &path("removed_with"), &counter)?
        };
        if exchanged > 0.0 && liquid[counter_slot].charge == 0.0 {
            return Err(reader.refuse(&path("removed_with"), "an ion, to take the charge along", None));
        }
        let solution = solutions.iter().find(|solution| solution.name == name);
        let volume = reader.optional(&path("dose_ml_l"), Bounds::POSITIVE)?;
        let doses = match (solution, volume) {
            (None, None) => Vec::new(),
            (Some(_), Some(_)) if replenishers.iter().any(|known| known.name == name) => {
                let expected = "a name that no solution of the bath has: the ledger goes by it";
                return Err(reader.refuse(&format!("event.{name}"), expected, None));
            }
            (Some(solution), Some(ml_l)) => {
                let mut per_litre = slots.sum(&solution.amounts);
                per_litre[slots.names.len() + 1] += WATER_MOL_L;
                replenishers.push(Replenisher::plain(&name, per_litre));
                vec![Dose { solution: replenishers.len() - 1, volume_l: ml_l / 1e3 * volume_l }]
            }
            (Some(_), None) => {
                return Err(reader.refuse(&path("dose_ml_l"), "mL of the solution per litre of bath", None));
            }
            (None, Some(_)) => {
                let table = format!("a table event.{name}.solution of reagents");
                return Err(reader.refuse(&path("solution"), &table, None));
            }
        };
        let listed = reader.boolean_or(&path("listed"), false)?;
        let note = reader.optional_text(&path("note"))?.map(str::to_owned);
        // Words alone tell of something the model knows nothing of: what comes after is doubtful.
        let only_words = dumped == 0.0 && removed.is_empty() && doses.is_empty();
        if only_words && note.is_none() {
            let expected =
                "dump_pct, removed_pct, a solution with dose_ml_l, or a note: this event does nothing";
            return Err(reader.refuse(&format!("event.{name}"), expected, None));
        }
        let (when, count) = read_when(reader, &name)?;
        events.push(Event {
            when,
            count,
            dumped,
            filled_with,
            removed,
            removed_with: counter_slot,
            note,
            unlisted: (only_words || !doses.is_empty()) && !listed,
            doses,
            name,
        });
    }
    Ok(events)
}

/// `at_h` or `at_turnovers`, with `every_h` or `every_turnovers`, and `count`.
fn read_when(reader: &Reader, name: &str) -> Result<(When, u32)> {
    let path = |key: &str| format!("event.{name}.{key}");
    let number = |key: &str, bounds| reader.optional(&path(key), bounds);
    let clock = (number("at_h", Bounds::NOT_NEGATIVE)?, number("every_h", Bounds::INTERVAL_H)?);
    let turnovers =
        (number("at_turnovers", Bounds::POSITIVE)?, number("every_turnovers", Bounds::INTERVAL_TURNOVERS)?);
    const COUNT: Bounds = Bounds::between(1.0, 1e6, "a count from 1 to 1000000");
    let count = number("count", COUNT)?;
    let (when, repeats) = match (clock, turnovers) {
        ((Some(at), every), (None, None)) => {
            let seconds = |hours: f64| hours * SECONDS_PER_HOUR;
            (When::Clock { at_s: seconds(at), every_s: every.map_or(0.0, seconds) }, every.is_some())
        }
        ((None, Some(every)), (None, None)) => {
            let every_s = every * SECONDS_PER_HOUR;
            (When::Clock { at_s: every_s, every_s }, true)
        }
        ((None, None), (Some(at), every)) => {
            (When::Turnovers { at, every: every.unwrap_or(0.0) }, every.is_some())
        }
        ((None, None), (None, Some(every))) => (When::Turnovers { at: every, every }, true),
        _ => {
            let expected = "either at_h and every_h, or at_turnovers and every_turnovers";
            return Err(reader.refuse(&format!("event.{name}"), expected, None));
        }
    };
    // An event that repeats goes on for ever unless it is counted.
    let count = count.map_or(if repeats { u32::MAX } else { 1 }, |count| count as u32);
    if !repeats && count > 1 {
        let expected = "every_h or every_turnovers for an event that comes more than once";
        return Err(reader.refuse(&path("count"), expected, None));
    }
    Ok((when, count))
}
