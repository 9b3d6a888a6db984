//! How lives are computed: `[solver]`, and `life.longest_clock_h`.
//!
//! | key | meaning | range | default |
//! |---|---|---|---|
//! | `relative_tolerance` | local error of a step of the integration, relative; a hundredth of it absolute | 1e-12 to 1e-3 | 1e-8 |
//! | `event_time_tolerance_s` | time to which stops, doses and limits are located, s | 1e-6 to 60 | 1e-3 |
//! | `max_steps` | most steps between two stops, accepted or not: then the life fails and says where | 10 to 1e8 | 1e5 |

use crate::document::reader::{Bounds, Reader};
use crate::error::Result;
use crate::life::Settings;

/// The settings of a recipe.
pub(crate) fn read_settings(reader: &Reader) -> Result<Settings> {
    const TOLERANCE: Bounds = Bounds::between(1e-12, 1e-3, "a relative tolerance between 1e-12 and 1e-3");
    const EVENTS: Bounds = Bounds::between(1e-6, 60.0, "a time between 1e-6 and 60 s");
    const STEPS: Bounds = Bounds::between(10.0, 1e8, "a number of steps between 10 and 1e8");
    let usual = Settings::default();
    let max_steps = reader.number_or("solver.max_steps", STEPS, f64::from(usual.max_steps))?;
    Ok(Settings {
        longest_clock_h: reader.number_or("life.longest_clock_h", Bounds::POSITIVE, usual.longest_clock_h)?,
        relative_tolerance: reader.number_or(
            "solver.relative_tolerance",
            TOLERANCE,
            usual.relative_tolerance,
        )?,
        event_time_tolerance_s: reader.number_or(
            "solver.event_time_tolerance_s",
            EVENTS,
            usual.event_time_tolerance_s,
        )?,
        max_steps: max_steps.round() as u32,
    })
}
