//! How far the fits of the 27 NIST sets agree with the certified values, as CSV:
//! `cargo run --release -p tests --example nist_table > shared/expected/nist_strd.csv`

use bathkin_statistics::{FitOptions, fit};
use support::strd::{SETS, Set, digits};

fn main() {
    println!(
        "# NIST StRD nonlinear regression, fitted by bathkin-fit from both starts. Producer: tests/examples/nist_table.rs."
    );
    println!("# digits_*: -log10 of the largest relative difference from the certified values, 11 at most.");
    println!(
        "# Lanczos1 is free of noise: its residuals are half rounding, and so are the last two of its digits."
    );
    println!(
        "dataset,start,rows,parameters,evaluations,refused,not_finite,ended_by,condition,digits_parameters,digits_standard_deviations,digits_sum_of_squares"
    );
    for name in SETS {
        let set = Set::read(name);
        for (at, start) in set.starts.iter().enumerate() {
            match fit(&set, start, &FitOptions::default()) {
                Ok(fit) => {
                    let errors: Vec<f64> =
                        fit.parameters.iter().map(|p| p.standard_error.unwrap_or(f64::INFINITY)).collect();
                    let m = &fit.minimum;
                    println!(
                        "{name},{},{},{},{},{},{},{},{:.1e},{:.1},{:.1},{:.1}",
                        at + 1,
                        m.residuals.len(),
                        start.len(),
                        m.evaluations,
                        m.refused,
                        m.failures,
                        m.termination.code(),
                        m.spectrum.condition(),
                        digits(fit.values(), &set.certified),
                        digits(&errors, &set.deviations),
                        digits(&[fit.sum_of_squares()], &[set.sum_of_squares]),
                    );
                }
                Err(error) => println!("# {name}, start {}: {error}", at + 1),
            }
        }
    }
}
