//! By what contents are known again: FNV-1a of 64 bits (G. Fowler, L. C. Noll, K.-P. Vo).

use std::fmt;

/// A digest of all that it was given, in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Digest(u64);

impl Default for Digest {
    fn default() -> Self {
        const BASIS: u64 = 0xcbf2_9ce4_8422_2325;
        Digest(BASIS)
    }
}

impl Digest {
    /// Takes bytes.
    pub fn take(&mut self, bytes: &[u8]) {
        const PRIME: u64 = 0x0000_0100_0000_01b3;
        bytes.iter().for_each(|byte| self.0 = (self.0 ^ u64::from(*byte)).wrapping_mul(PRIME));
    }

    /// Takes a text with its end, which is a byte of no text, so that two cannot run into each other.
    pub fn take_text(&mut self, text: &str) {
        self.take(text.as_bytes());
        self.take(&[0xff]);
    }

    /// Takes a number by its bits.
    pub fn take_number(&mut self, number: f64) {
        self.take(&number.to_bits().to_le_bytes());
    }

    /// As a number.
    pub fn value(self) -> u64 {
        self.0
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(to, "fnv1a-{:016x}", self.0)
    }
}
