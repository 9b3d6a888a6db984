//! A year of a three-shift line: some ten thousand stops for racks, doses, corrections and events.

use bathkin::Recipe;
use bathkin::document::Value;
use criterion::{Criterion, criterion_group, criterion_main};

/// The scenario of `shared/scenarios/captive-line.toml`, for a year whatever its limits say.
fn line() -> Recipe {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../shared/scenarios/captive-line.toml");
    Recipe::load(path).expect("the scenario").with("life.longest_clock_h", Value::Number(8760.0), "the bench")
}

fn bench(criterion: &mut Criterion) {
    let line = line();
    let life = line.simulate_life().expect("runs");
    let (stops, hours) = (life.effort.stops, life.verdict.clock_h);
    println!(
        "captive line: {hours:.0} h, {stops} stops, {} racks, {} right-hand sides",
        life.loads.len(),
        life.effort.right_hand_sides
    );
    criterion.bench_function("a year of a three-shift line", |b| {
        b.iter(|| line.simulate_life().expect("runs").verdict.clock_h);
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10);
    targets = bench
}
criterion_main!(benches);
