//! The level: what additions and losses do to the volume.
//!
//! dV/dt = sum of inflows + water made up - evaporation - drag-out - bleed - overflow
//!
//! Volumes are taken as additive. A tank filled to its brim loses bath, not the addition: what makes
//! room is the liquid as it stood before.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | V | volume of the bath | L |
//! | net | inflows - evaporation - drag-out - bleed | L/s |
//!
//! Source: volume balance; the rules for water are common practice.

/// How the volume of the bath is ruled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Level {
    /// Held: any change is made good at once by water added or evaporated, whichever it takes.
    Held,
    /// Free between a brim and, if water is fed by a float, a mark.
    Free {
        /// Volume at which the tank overflows, L.
        brim_l: f64,
        /// Volume below which a float adds water, L; none: water comes by hand or not at all.
        float_l: Option<f64>,
    },
}

/// Where the level stands, settled at each stop.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct LevelStatus {
    /// At the brim: what comes in drives as much bath out.
    pub at_brim: bool,
    /// At the float: what goes out is made good with water.
    pub at_float: bool,
}

/// Water in (or, at a held level, out when negative) and bath over the brim, L/s.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LevelFlows {
    /// Water made up.
    pub water_l_s: f64,
    /// Bath over the brim.
    pub overflow_l_s: f64,
}

impl Level {
    /// Volumes within this part of a bound are at it: where events are located to.
    const AT: f64 = 1e-9;

    /// Where a volume stands.
    pub fn status(self, volume_l: f64) -> LevelStatus {
        match self {
            Level::Held => LevelStatus::default(),
            Level::Free { brim_l, float_l } => LevelStatus {
                at_brim: volume_l >= brim_l * (1.0 - Self::AT),
                at_float: float_l.is_some_and(|float| volume_l <= float * (1.0 + Self::AT)),
            },
        }
    }

    /// The flows that answer a net flow, L/s.
    pub fn flows(self, status: LevelStatus, net_l_s: f64) -> LevelFlows {
        match self {
            Level::Held => LevelFlows { water_l_s: -net_l_s, overflow_l_s: 0.0 },
            Level::Free { .. } => LevelFlows {
                water_l_s: if status.at_float { (-net_l_s).max(0.0) } else { 0.0 },
                overflow_l_s: if status.at_brim { net_l_s.max(0.0) } else { 0.0 },
            },
        }
    }

    /// What the bath is of itself at its working level: below one where it stands low and somebody fills it up
    /// with water by hand; where nobody does, and where level or float hold it, it is judged as it stands.
    pub fn working_share(self, volume_l: f64, working_l: f64, filled_up_by_hand: bool) -> f64 {
        match self {
            Level::Free { float_l: None, .. } if filled_up_by_hand => (volume_l / working_l).min(1.0),
            _ => 1.0,
        }
    }

    /// The volume that is kept up with water of its own, L; none where water comes by hand or not at all.
    pub fn kept_l(self, volume_l: f64) -> Option<f64> {
        match self {
            Level::Held => Some(volume_l),
            Level::Free { float_l, .. } => float_l,
        }
    }

    /// Room for an addition before bath has to go, L.
    pub fn room_l(self, volume_l: f64) -> f64 {
        match self {
            Level::Held => f64::INFINITY,
            Level::Free { brim_l, .. } => (brim_l - volume_l).max(0.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_full_tank_overflows_and_a_float_makes_good() {
        let full = Level::Free { brim_l: 100.0, float_l: Some(100.0) };
        let status = full.status(100.0);
        assert_eq!(full.flows(status, 0.5), LevelFlows { water_l_s: 0.0, overflow_l_s: 0.5 });
        assert_eq!(full.flows(status, -0.5), LevelFlows { water_l_s: 0.5, overflow_l_s: 0.0 });
        let between = Level::Free { brim_l: 110.0, float_l: Some(100.0) };
        assert_eq!(between.flows(between.status(105.0), 0.5), LevelFlows::default());
        assert_eq!(between.room_l(105.0), 5.0);
    }
}
