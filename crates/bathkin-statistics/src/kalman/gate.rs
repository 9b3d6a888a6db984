//! Leaving out a wild reading.
//!
//! A reading further than `beyond` standard deviations from what is expected is left out. If two of its kind in a row are off by
//! half as much on the same side, left out or not, it is the state that moved: the variance of its component is opened and
//! the second is taken. A gate without that locks itself out after a jump of the state, since every later reading is wild too.

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

/// Which kinds of reading were far off last, and on which side.
#[derive(Debug, Clone, Default)]
pub(super) struct Rejected(BTreeMap<usize, f64>);

impl Rejected {
    /// Whether a reading with a standardised innovation is taken; opens the variance of what moved.
    pub(super) fn takes(&mut self, gate: Gate, reading: &Reading, z: f64, belief: &mut Belief) -> bool {
        /// Part of the gate beyond which a reading is far off.
        const FAR: f64 = 0.5;
        let before = self.0.remove(&reading.channel);
        if z.abs() <= FAR * gate.beyond {
            return true;
        }
        if let (Some(side), Some((component, variance))) = (before, reading.released)
            && side * z > 0.0
        {
            belief.widen(component, variance);
            return true;
        }
        self.0.insert(reading.channel, z.signum());
        z.abs() < gate.beyond
    }
}
