//! What it takes to read a recipe, and to read it again where a number of it has moved. Read the numbers against each
//! other: absolute times depend on the machine.

use std::hint::black_box;

use bathkin::Recipe;
use bathkin::document::Value;
use criterion::{Criterion, criterion_group, criterion_main};

fn bench(criterion: &mut Criterion) {
    let recipe = Recipe::built_in("nickel-acid").expect("built in");
    recipe.model().expect("resolves");
    criterion.bench_function("a recipe read and resolved", |b| {
        b.iter(|| {
            Recipe::built_in("nickel-acid").expect("built in").model().expect("resolves").tank.plant.volume_l
        });
    });
    // Each moved again and again, so that nothing is kept but what does not follow from it.
    for (path, value) in [
        ("deposition.rate_mol_m2_s", 5e-4),
        ("operation.temperature_c", 85.0),
        ("operation.ph", 4.7),
        ("make_up.lactic_acid_g_l", 27.0),
        ("tank.volume_l", 100.0),
        ("species.nickel_lactate_1.log_k_25c", 2.0),
    ] {
        let mut step = 0.0;
        criterion.bench_function(&format!("resolved at another {path}"), |b| {
            b.iter(|| {
                step = (step + 1.0) % 100.0;
                let moved = recipe.with(path, Value::Number(value * (1.0 + step * 1e-5)), "the bench");
                black_box(moved.model().expect("resolves").tank.plant.volume_l)
            });
        });
    }
}

criterion_group!(benches, bench);
criterion_main!(benches);
