//! When a bath that is followed by its log raises an alarm: `[alarms]`.
//!
//! | key | meaning | range | default |
//! |---|---|---|---|
//! | `metal_pct_of_set_point_min` | metal below this, % of its set-point | 0 to 100 | 70 |
//! | `stabilizer_pct_of_fresh_min`, `_max` | stabilizer outside, % of the make-up | above 0 | 70, 130 |
//! | `complexant_pct_of_fresh_min`, `_max` | complexant outside, % of the make-up | above 0 | 70, 130 |
//! | `within_h` | a limit within these hours, as a shift | above 0 | 8 |
//! | `probability_pct` | with at least this probability | 0 to 100 | 10 |
//!
//! The first default is what shops report: trouble below 70 % of the set-point (a public discussion of skip plating). The
//! others are common practice without a source.

use crate::document::reader::{Bounds, Reader};
use crate::error::Result;

/// When to raise an alarm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Alarms {
    /// Metal, % of its set-point.
    pub metal_pct_of_set_point_min: f64,
    /// Stabilizers, % of the make-up: least and most.
    pub stabilizer_pct_of_fresh: [f64; 2],
    /// Complexants likewise.
    pub complexant_pct_of_fresh: [f64; 2],
    /// Hours within which a limit is near.
    pub within_h: f64,
    /// Probability with which it is, %.
    pub probability_pct: f64,
}

pub(crate) fn read_alarms(reader: &Reader) -> Result<Alarms> {
    const PERCENT: Bounds = Bounds::between(0.0, 100.0, "per cent between 0 and 100");
    let band = |name: &str| -> Result<[f64; 2]> {
        let low = reader.number_or(&format!("alarms.{name}_pct_of_fresh_min"), Bounds::NOT_NEGATIVE, 70.0)?;
        let path = format!("alarms.{name}_pct_of_fresh_max");
        let high = reader.number_or(&path, Bounds::POSITIVE, 130.0)?;
        if high <= low {
            return Err(reader.refuse(&path, &format!("more than {low}, the least"), None));
        }
        Ok([low, high])
    };
    Ok(Alarms {
        metal_pct_of_set_point_min: reader.number_or("alarms.metal_pct_of_set_point_min", PERCENT, 70.0)?,
        stabilizer_pct_of_fresh: band("stabilizer")?,
        complexant_pct_of_fresh: band("complexant")?,
        within_h: reader.number_or("alarms.within_h", Bounds::INTERVAL_H, 8.0)?,
        probability_pct: reader.number_or("alarms.probability_pct", PERCENT, 10.0)?,
    })
}
