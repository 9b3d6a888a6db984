//! Simulated truth: 95 % intervals hold the truth 95 times of 100.

use bathkin_statistics::{FitOptions, fit};
use num_dual::DualNum;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;

use support::curve::Curve;
use support::random::normal;

const GAS_CONSTANT_KJ: f64 = 8.314_462_618_153_24e-3;
const REFERENCE_K: f64 = 355.0;
const LN_K: f64 = 2.5;
const ENERGY_KJ: f64 = 62.0;

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
