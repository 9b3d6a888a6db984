//! The plant: the vessel that holds the bath.
//!
//! Here belongs what stands in the shop and goes on without anybody's decision: how much the vessel holds, how its level
//! is ruled, and what passes between its open surface and the air.

use super::exchange::Exchange;
use super::level::Level;

/// The vessel, and what passes between it and the air.
#[derive(Debug, Clone)]
pub struct Plant {
    /// Volume of the bath at make-up, L.
    pub volume_l: f64,
    /// How its level is ruled.
    pub level: Level,
    /// Open surface, m²; none where nobody states it.
    pub open_surface_m2: Option<f64>,
    /// Evaporation at the working temperature, L/h.
    pub evaporation_l_h: f64,
    /// Gases exchanged with the air.
    pub exchanges: Vec<Exchange>,
}
