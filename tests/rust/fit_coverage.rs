//! Simulated truth: 95 % intervals hold the truth 95 times of 100.

use std::f64::consts::PI;

use bathkin_fit::{Reference, fit_arrhenius};
use bathkin_statistics::{FitOptions, fit};
use num_dual::DualNum;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

use crate::curve::Curve;

const GAS_CONSTANT_KJ: f64 = 8.314_462_618_153_24e-3;
const REFERENCE_K: f64 = 355.0;
const LN_K: f64 = 2.5;
const ENERGY_KJ: f64 = 62.0;

/// Standard normal by Box and Muller.
pub fn normal(random: &mut ChaCha8Rng) -> f64 {
    let mut unit = || (random.next_u64() >> 11) as f64 * 2_f64.powi(-53);
    (-2.0 * (1.0 - unit()).ln()).sqrt() * (2.0 * PI * unit()).cos()
}

/// How many of `sets` intervals of (ln k_ref, Ea) hold the truth: eight temperatures, k with an error
/// of 8 %, fitted in k.
fn covered(sets: u64, seed: u64) -> [usize; 2] {
    let x: Vec<f64> = (0..8).map(|i| 335.0 + 5.0 * f64::from(i)).collect();
    let law: fn(&[num_dual::Dual64], f64) -> num_dual::Dual64 =
        |b, t| (b[0] - b[1] * ((1.0 / t - 1.0 / REFERENCE_K) / GAS_CONSTANT_KJ)).exp();
    let mut model = Curve::new(&["ln_k_ref", "activation_energy_kj_mol"], &x, &x, law);
    let truth: Vec<f64> = x.iter().map(|t| model.at(&[LN_K, ENERGY_KJ], *t).0).collect();
    model.sigma = truth.iter().map(|k| 0.08 * k).collect();
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let mut inside = [0; 2];
    for _ in 0..sets {
        model.y = truth.iter().map(|k| k * (1.0 + 0.08 * normal(&mut random))).collect();
        let found = fit(&model, &[1.0, 40.0], &FitOptions::default()).expect("a fit");
        for (i, truth) in [LN_K, ENERGY_KJ].into_iter().enumerate() {
            let [low, high] = found.parameters[i].interval.expect("an interval");
            inside[i] += usize::from(low <= truth && truth <= high);
        }
    }
    inside
}

#[test]
fn intervals_of_a_nonlinear_arrhenius_fit_cover_the_truth() {
    for inside in covered(200, 1) {
        assert!((184..=196).contains(&inside), "{inside} of 200");
    }
    // More sets tell more: the sampling error is 0.4 %.
    for inside in covered(3000, 2) {
        let part = inside as f64 / 3000.0;
        assert!((0.935..=0.965).contains(&part), "{part}");
    }
}

#[test]
fn intervals_of_the_arrhenius_line_cover_the_truth() {
    let t: Vec<f64> = (0..6).map(|i| 338.0 + 5.0 * f64::from(i)).collect();
    let mut random = ChaCha8Rng::seed_from_u64(3);
    let mut inside: usize = 0;
    for _ in 0..2000 {
        let k: Vec<f64> = t
            .iter()
            .map(|t| {
                let ln = LN_K - ENERGY_KJ / GAS_CONSTANT_KJ * (1.0 / t - 1.0 / REFERENCE_K);
                (ln + 0.05 * normal(&mut random)).exp()
            })
            .collect();
        let found = fit_arrhenius(&t, &k, Reference::HarmonicMean).expect("a fit");
        let [low, high] = found.activation_energy_kj_mol.interval95.expect("an interval");
        inside += usize::from(low <= ENERGY_KJ && ENERGY_KJ <= high);
    }
    let part = inside as f64 / 2000.0;
    assert!((0.935..=0.965).contains(&part), "{part}");
}
