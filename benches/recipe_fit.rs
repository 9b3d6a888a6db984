//! A fit through the simulation: five numbers of `power-law` from 24 weighed coupons and 3 logs of 60 rows
//! (`benches/data/`, invented), and a bootstrap of it.

use std::hint::black_box;
use std::path::Path;

use bathkin_fit::{Data, FitSpecification, RecipeFitOptions, Sheet, fit_recipe};
use bathkin_statistics::bootstrap::{BootstrapOptions, Resampling};
use benches::power_law;
use criterion::{Criterion, criterion_group, criterion_main};

const FREE: [&str; 5] = [
    "deposition.rate_mol_m2_s",
    "deposition.activation_energy_kj_mol",
    "deposition.ph_order",
    "deposition.order.nickel",
    "deposition.order.hypophosphite",
];

/// A sheet of `benches/data`: plain numbers separated by commas.
fn sheet(name: &str) -> Sheet {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("data").join(name);
    let text = std::fs::read_to_string(path).expect("bench data");
    let mut lines = text.lines().filter(|line| !line.starts_with('#'));
    let names: Vec<&str> = lines.next().expect("a heading").split(',').collect();
    let rows: Vec<Vec<Option<f64>>> =
        lines.map(|line| line.split(',').map(|cell| cell.parse().ok()).collect()).collect();
    Sheet {
        file: name.to_owned(),
        rows: (1..=rows.len()).collect(),
        columns: names
            .iter()
            .enumerate()
            .map(|(at, name)| ((*name).to_owned(), rows.iter().map(|row| row[at]).collect()))
            .collect(),
        ..Sheet::default()
    }
}

fn fits(criterion: &mut Criterion) {
    let recipe = power_law();
    let mut data = vec![Data::Runs(sheet("runs.csv"))];
    data.extend(["log_a.csv", "log_b.csv", "log_c.csv"].map(|name| Data::Log(sheet(name))));
    let specification =
        FitSpecification { free: FREE.map(str::to_owned).to_vec(), ..FitSpecification::default() };
    let options = RecipeFitOptions { specification, ..RecipeFitOptions::default() };
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

criterion_group!(benches, fits);
criterion_main!(benches);
