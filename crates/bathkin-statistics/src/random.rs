//! Random numbers that depend on a seed and a stream, and on nothing else.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use std::f64::consts::PI;

/// An independent stream of a seed: one for each replicate, so that the order of work does not matter.
pub struct Stream(ChaCha8Rng);

impl Stream {
    /// The stream of this number, of a seed.
    pub fn new(seed: u64, stream: u64) -> Self {
        let mut generator = ChaCha8Rng::seed_from_u64(seed);
        generator.set_stream(stream);
        Stream(generator)
    }

    /// Uniform in [0, 1), in steps of 2⁻⁵³.
    pub fn unit(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 * 2_f64.powi(-53)
    }

    /// Uniform inside (0, 1), neither end included.
    pub fn inside_unit(&mut self) -> f64 {
        ((self.0.next_u64() >> 12) as f64 + 0.5) * 2_f64.powi(-52)
    }

    /// Standard normal: G. E. P. Box and M. E. Muller, Annals of Mathematical Statistics 29 (1958) 610-611.
    pub fn normal(&mut self) -> f64 {
        let (radius, angle) = (1.0 - self.unit(), self.unit());
        (-2.0 * radius.ln()).sqrt() * (2.0 * PI * angle).cos()
    }

    /// √(ν/χ²) with χ² of `freedom` degrees of freedom: what makes a normal deviate one of Student's t.
    pub fn student_widening(&mut self, freedom: usize) -> f64 {
        let chi: f64 = (0..freedom).map(|_| self.normal().powi(2)).sum();
        (freedom as f64 / chi).sqrt()
    }

    /// Uniform among 0..count. The bias, count/2⁶⁴, is far below anything that can be seen.
    pub fn below(&mut self, count: usize) -> usize {
        let wide = u128::from(self.0.next_u64()) * count as u128;
        usize::try_from(wide >> 64).unwrap_or(0)
    }

    /// A permutation of 0..count.
    pub fn permutation(&mut self, count: usize) -> Vec<usize> {
        let mut order: Vec<usize> = (0..count).collect();
        for last in (1..count).rev() {
            order.swap(last, self.below(last + 1));
        }
        order
    }
}

/// A number of 64 bits that depends on two others in no simple way: the finaliser of SplitMix64, G. L. Steele, D. Lea and
/// C. H. Flood, *Fast splittable pseudorandom number generators*, OOPSLA (2014) 453-472.
pub(crate) fn mixed(key: u64, number: u64) -> u64 {
    const GOLDEN: u64 = 0x9e37_79b9_7f4a_7c15;
    let mut z = key.wrapping_add(number.wrapping_add(1).wrapping_mul(GOLDEN));
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}
