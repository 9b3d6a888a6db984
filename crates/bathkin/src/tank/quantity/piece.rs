//! A piece that was plated: a coupon, or what hung in the tank since the row before of a log.

/// A piece that was plated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Piece {
    /// Mass gained, g.
    pub mass_g: f64,
    /// Thickness, um.
    pub thickness_um: f64,
    /// Time in the bath, min.
    pub minutes: f64,
}
