//! Random numbers of simulated truths.

use std::f64::consts::PI;

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::Rng;

/// Standard normal by Box and Muller.
pub fn normal(random: &mut ChaCha8Rng) -> f64 {
    let mut unit = || (random.next_u64() >> 11) as f64 * 2_f64.powi(-53);
    (-2.0 * (1.0 - unit()).ln()).sqrt() * (2.0 * PI * unit()).cos()
}
