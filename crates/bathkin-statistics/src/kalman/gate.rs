//! Leaving out a wild reading.
//!
//! A reading further than `beyond` standard deviations from what is expected is left out. One that is off by half as much and
//! more is remembered, left out or not. If the next of its kind is off on the same side too, it is the state that moved: by half as
//! much where the one before was left out; where that was taken, and has pulled the state along, by so much that both together
//! are off by `beyond`. Then the variance of its component is opened and the reading is taken. A gate without that locks itself
//! out after a jump of the state, since every later reading is wild too.

use std::collections::BTreeMap;

use super::belief::Belief;
use super::followed::Reading;

/// Standard deviations beyond which a reading is left out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gate {
    /// Its size; infinite takes every reading.
    pub beyond: f64,
}

impl Gate {
    /// Takes every reading.
    pub const OPEN: Gate = Gate { beyond: f64::INFINITY };
}

/// Which kinds of reading were far off last, in standard deviations.
#[derive(Debug, Clone, Default)]
pub(super) struct Rejected(BTreeMap<usize, f64>);

impl Rejected {
    /// Whether a reading with a standardised innovation is taken; opens the variance of what moved.
    pub(super) fn takes(&mut self, gate: Gate, reading: &Reading, z: f64, belief: &mut Belief) -> bool {
        /// Part of the gate beyond which a reading is far off.
        const FAR: f64 = 0.5;
        let far = FAR * gate.beyond;
        if let (Some(before), Some((component, variance))) =
            (self.0.remove(&reading.channel), reading.released)
        {
            let together = if before.abs() < gate.beyond { gate.beyond - before.abs() } else { far };
            if before * z > 0.0 && z.abs() > together {
                belief.widen(component, variance);
                return true;
            }
        }
        if z.abs() > far {
            self.0.insert(reading.channel, z);
        }
        z.abs() < gate.beyond
    }
}
