//! An Arrhenius fit in k, two parameters and twelve rows: the fit with its statistics, one profile interval,
//! and a bootstrap of a hundred.

use std::convert::Infallible;
use std::hint::black_box;

use bathkin_numerics::least_squares::Residuals;
use bathkin_statistics::bootstrap::{BootstrapOptions, Resampling, bootstrap};
use bathkin_statistics::profile::profile_interval;
use bathkin_statistics::{FitOptions, ResidualModel, fit};
use criterion::{Criterion, criterion_group, criterion_main};

const GAS_CONSTANT_KJ: f64 = 8.314_462_618e-3;
const REFERENCE_K: f64 = 355.0;

struct Arrhenius {
    temperature_k: Vec<f64>,
    k: Vec<f64>,
    names: Vec<String>,
}

impl Arrhenius {
    /// Invented: 12.2 at 355 K and 62 kJ/mol, scattered by 3 %.
    fn new() -> Self {
        let temperature_k: Vec<f64> = (0..12).map(|i| 333.0 + 3.0 * f64::from(i)).collect();
        let k = temperature_k
            .iter()
            .zip([3, -2, 1, -3, 2, 0, -1, 3, -2, 1, 2, -3])
            .map(|(t, scatter)| law(2.5, 62.0, *t).0 * (1.0 + 0.01 * f64::from(scatter)))
            .collect();
        let names = ["ln_k_ref", "activation_energy_kj_mol"].map(str::to_owned).to_vec();
        Arrhenius { temperature_k, k, names }
    }
}

/// k and the derivative of ln k by the energy.
fn law(ln_k: f64, energy_kj_mol: f64, temperature_k: f64) -> (f64, f64) {
    let lever = (1.0 / REFERENCE_K - 1.0 / temperature_k) / GAS_CONSTANT_KJ;
    ((ln_k + energy_kj_mol * lever).exp(), lever)
}

impl Residuals for Arrhenius {
    type Error = Infallible;

    fn parameters(&self) -> usize {
        2
    }

    fn rows(&self) -> usize {
        self.k.len()
    }

    fn residuals(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), Infallible> {
        for (row, residual) in residuals.iter_mut().enumerate() {
            *residual = law(at[0], at[1], self.temperature_k[row]).0 - self.k[row];
        }
        Ok(())
    }

    fn linearise(&self, at: &[f64], residuals: &mut [f64], jacobian: &mut [f64]) -> Result<(), Infallible> {
        for (row, residual) in residuals.iter_mut().enumerate() {
            let (k, lever) = law(at[0], at[1], self.temperature_k[row]);
            *residual = k - self.k[row];
            jacobian[2 * row..][..2].copy_from_slice(&[k, k * lever]);
        }
        Ok(())
    }
}

impl ResidualModel for Arrhenius {
    fn names(&self) -> &[String] {
        &self.names
    }
}

fn fits(criterion: &mut Criterion) {
    let model = Arrhenius::new();
    let options = FitOptions::default();
    let found = fit(&model, &[1.0, 40.0], &options).expect("a fit");
    criterion.bench_function("arrhenius fit", |bench| {
        bench.iter(|| fit(black_box(&model), &[1.0, 40.0], &options).expect("a fit"));
    });
    criterion.bench_function("arrhenius profile interval", |bench| {
        bench.iter(|| profile_interval(black_box(&model), &found, 1).expect("an interval"));
    });
    let hundred = BootstrapOptions { replicates: 100, seed: 1, resampling: Resampling::Residuals };
    criterion.bench_function("arrhenius bootstrap of 100", |bench| {
        bench.iter(|| bootstrap(black_box(&model), &found, &hundred).expect("a bootstrap"));
    });
}

criterion_group!(benches, fits);
criterion_main!(benches);
