//! Simulated truth: 95 % intervals of Arrhenius lines hold the truth 95 times of 100.

use bathkin_fit::{Reference, fit_arrhenius};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;

use support::random::normal;

const GAS_CONSTANT_KJ: f64 = 8.314_462_618_153_24e-3;
const REFERENCE_K: f64 = 355.0;
const LN_K: f64 = 2.5;
const ENERGY_KJ: f64 = 62.0;

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
