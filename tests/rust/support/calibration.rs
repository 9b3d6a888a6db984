//! Simulation-based calibration: numbers drawn from a prior, data simulated with them, and where they lie in the posterior
//! of those data. Over many sets the places are uniform in 0 to 1 where the posterior is right, whatever the prior.
//!
//! Source: S. R. Cook, A. Gelman and D. B. Rubin, *Validation of software for Bayesian models using posterior quantiles*,
//! Journal of Computational and Graphical Statistics 15 (2006) 675-692.

use bathkin_fit::data::ErrorModel;
use bathkin_fit::estimate::Prior;
use bathkin_fit::{FitSpecification, RecipeFitOptions, fit_recipe};
use bathkin_statistics::Scale;
use bathkin_statistics::importance::SamplingOptions;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;

use crate::fits::{ENERGY, PH_ORDER, RATE, asked, runs};
use crate::random::normal;
use crate::recipes::power_law;

// Invented: settings of twelve coupons, and what is believed before.
const CELSIUS: [f64; 12] = [76.0, 80.0, 84.0, 88.0, 90.0, 92.0, 78.0, 82.0, 86.0, 89.0, 91.0, 85.0];
const PH: [f64; 12] = [4.4, 4.8, 5.0, 4.6, 4.5, 4.9, 5.1, 4.7, 4.4, 5.0, 4.8, 4.6];
const SIGMA: f64 = 0.05;
const PRIORS: [(&str, f64, f64); 3] = [(RATE, 6e-4, 1.2e-4), (ENERGY, 62.0, 8.0), (PH_ORDER, 0.4, 0.15)];

/// Where the numbers of a set lie in their posterior.
pub fn place(set: u64) -> [f64; 3] {
    let mut random = ChaCha8Rng::seed_from_u64(set);
    // The rate has a lognormal prior, the others normal ones.
    let inside: Vec<f64> = PRIORS
        .iter()
        .map(|(path, mean, sd)| {
            let z = normal(&mut random);
            if *path == RATE { mean.ln() + sd / mean * z } else { mean + sd * z }
        })
        .collect();
    let ones = [1.0; 12];
    let rows = |rates: &[f64]| runs(&[("temperature_c", &CELSIUS), ("ph", &PH), ("deposition_um_h", rates)]);
    let errors = Some(ErrorModel::Relative { sigma: SIGMA });
    let specification = FitSpecification { errors, ..asked(&[RATE, ENERGY, PH_ORDER]) };
    let model = specification.build(&power_law(), &[rows(&ones)]).expect("a model");
    let true_rates = model.calculated(&inside).expect("rates");
    let measured: Vec<f64> =
        true_rates.iter().map(|rate| rate * (SIGMA * normal(&mut random)).exp()).collect();
    let prior = |(path, mean, standard_deviation): &(&str, f64, f64)| Prior {
        path: (*path).to_owned(),
        mean: *mean,
        standard_deviation: *standard_deviation,
    };
    let priors = PRIORS.iter().map(prior).collect();
    let options =
        RecipeFitOptions { specification, scale: Scale::Known, priors, ..RecipeFitOptions::default() };
    let found = fit_recipe(&power_law(), &[rows(&measured)], &options).expect("a fit");
    let asked = SamplingOptions { effective: 1000, most: 20_000, seed: set };
    let drawn = found.posterior_draws(&asked, &|_| {}).expect("draws");
    assert!(drawn.pareto_k <= drawn.largest_trusted_k, "set {set}: {:?}", drawn.remarks);
    [0, 1, 2].map(|at| {
        let truth = if at == 0 { inside[0].exp() } else { inside[at] };
        let below = drawn.draws.iter().zip(&drawn.weights).filter(|(draw, _)| draw[at] < truth);
        below.map(|(_, weight)| weight).sum()
    })
}

/// Greatest distance of ordered places from the uniform distribution, times the root of their number: above 1.63 once in a
/// hundred sets of many places, above 1.95 once in a thousand (Kolmogorov).
pub fn distance(places: &mut [f64]) -> f64 {
    places.sort_by(f64::total_cmp);
    let count = places.len() as f64;
    let apart = places
        .iter()
        .enumerate()
        .map(|(at, place)| (place - at as f64 / count).abs().max((place - (at as f64 + 1.0) / count).abs()));
    apart.fold(0.0, f64::max) * count.sqrt()
}
