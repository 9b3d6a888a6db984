//! A fit through the simulation: five numbers of `power-law` from 24 weighed coupons and 3 logs of 60 rows
//! (`benches/data/`, invented), and a bootstrap of it; and rates of 100 coupons with their slopes by numbers that move the
//! liquid, beside the rates alone.

use std::hint::black_box;

use bathkin::{Recipe, Value};
use bathkin_fit::{Data, FitSpecification, Sheet, fit_recipe};
use bathkin_numerics::least_squares::Residuals;
use bathkin_statistics::bootstrap::{BootstrapOptions, Resampling};
use benches::{power_law, runs_and_logs};
use criterion::{Criterion, criterion_group, criterion_main};

fn fits(criterion: &mut Criterion) {
    let recipe = power_law();
    let (data, options) = runs_and_logs();
    criterion.bench_function("24 runs and 3 logs, five numbers", |bench| {
        bench.iter(|| fit_recipe(black_box(&recipe), &data, &options).expect("a fit"));
    });
    let found = fit_recipe(&recipe, &data, &options).expect("a fit");
    let hundred = BootstrapOptions { replicates: 100, seed: 1, resampling: Resampling::Residuals };
    let mut group = criterion.benchmark_group("24 runs and 3 logs");
    group.sample_size(10);
    group.bench_function("bootstrap of 100", |bench| {
        bench.iter(|| black_box(&found).bootstrap(&hundred).expect("a bootstrap"));
    });
    group.finish();
}

/// The rate of the built-in acid nickel follows free nickel, hydroxide, salt and pH.
fn through_the_equilibrium(criterion: &mut Criterion) {
    const CONSTANT: &str = "species.nickel_lactate_1.log_k_25c";
    let recipe = Recipe::built_in("nickel-acid").expect("built in");
    let recipe = recipe.with(CONSTANT, Value::Number(2.3), "the bench");
    let celsius: Vec<Option<f64>> = (0..100).map(|run| Some(75.0 + 0.15 * f64::from(run))).collect();
    let runs = Sheet {
        file: "runs".to_owned(),
        rows: (1..=100).collect(),
        columns: vec![
            ("temperature_c".to_owned(), celsius),
            ("deposition_um_h".to_owned(), vec![Some(15.0); 100]),
        ],
        ..Sheet::default()
    };
    let mut group = criterion.benchmark_group("100 coupons");
    for free in [CONSTANT, "make_up.lactic_acid_g_l", "operation.ph", "deposition.rate_mol_m2_s"] {
        let specification = FitSpecification { free: vec![free.to_owned()], ..FitSpecification::default() };
        let model = specification.build(&recipe, &[Data::Runs(runs.clone())]).expect("a model");
        let (mut residuals, mut jacobian) = (vec![0.0; 100], vec![0.0; 100]);
        let mut at = model.start();
        // Never where it was before: what was computed last is kept.
        group.bench_function(format!("rates at another {free}"), |bench| {
            bench.iter(|| {
                at[0] *= 1.0 + 1e-9;
                model.residuals(black_box(&at), &mut residuals).expect("rates");
            });
        });
        group.bench_function(format!("rates and slopes at another {free}"), |bench| {
            bench.iter(|| {
                at[0] *= 1.0 + 1e-9;
                model.linearise(black_box(&at), &mut residuals, &mut jacobian).expect("slopes");
            });
        });
    }
    group.finish();
}

criterion_group!(benches, fits, through_the_equilibrium);
criterion_main!(benches);
