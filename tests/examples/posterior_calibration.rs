//! Whether posteriors are right: numbers drawn from a prior, data simulated with them, and where they lie in the posterior.
//!
//! `cargo run --release -p tests --example posterior_calibration -- 200` prints for each number how far the places are from
//! uniform ones. Not part of the tests, which take 20 sets.

use rayon::prelude::*;
use support::calibration::{distance, place};

fn main() {
    let sets = std::env::args().nth(1).and_then(|text| text.parse().ok()).unwrap_or(200_u64);
    let found: Vec<[f64; 3]> = (0..sets).into_par_iter().map(place).collect();
    println!("{sets} sets; Kolmogorov's distance times the root of their number, 1.63 once in a hundred:");
    for (at, name) in ["rate", "activation energy", "pH order"].into_iter().enumerate() {
        let mut of: Vec<f64> = found.iter().map(|place| place[at]).collect();
        let mean = of.iter().sum::<f64>() / of.len() as f64;
        println!("{name}: mean place {mean:.3}, distance {:.2}", distance(&mut of));
    }
}
