//! Which solids a bath came to be oversaturated with, and since when.

use schemars::JsonSchema;
use serde::Serialize;

use crate::constants::SECONDS_PER_HOUR;
use crate::solution::solids::OVERSATURATED;
use crate::tank::{Readings, Tank};

/// How far a solid went towards falling out over a life, seen at every stop.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct SolidStatus {
    /// Name of the solid.
    pub name: String,
    /// Name for people.
    pub title: String,
    /// Largest saturation index.
    pub largest_saturation_index: f64,
    /// Clock time of the largest, h.
    pub largest_at_h: f64,
    /// Clock time of the first stop at which the bath was oversaturated, h; `None` while it stayed clear.
    pub oversaturated_from_h: Option<f64>,
}

impl SolidStatus {
    /// Nothing seen yet of the solids of a tank.
    pub fn of_tank(tank: &Tank) -> Vec<Self> {
        tank.bath
            .solids
            .iter()
            .map(|solid| SolidStatus {
                name: solid.name.clone(),
                title: solid.title.clone(),
                largest_saturation_index: f64::NEG_INFINITY,
                largest_at_h: 0.0,
                oversaturated_from_h: None,
            })
            .collect()
    }

    /// Looks at the bath at a stop.
    pub fn look(statuses: &mut [Self], time_s: f64, readings: &Readings) {
        let time_h = time_s / SECONDS_PER_HOUR;
        for (status, index) in statuses.iter_mut().zip(&readings.saturation_index) {
            if *index > status.largest_saturation_index {
                status.largest_saturation_index = *index;
                status.largest_at_h = time_h;
            }
            if *index > OVERSATURATED && status.oversaturated_from_h.is_none() {
                status.oversaturated_from_h = Some(time_h);
            }
        }
    }
}
