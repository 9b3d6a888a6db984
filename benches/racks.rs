//! Racks of a calendar: what one costs among ten thousand, and among a hundred thousand.

use std::fmt::Write as _;

use bathkin::Recipe;
use bathkin::document::Value;
use benches::power_law;
use criterion::{BenchmarkId, Criterion, SamplingMode, Throughput, criterion_group, criterion_main};

/// Hours from rack to rack.
const EVERY_H: f64 = 0.1;

/// Acid nickel, pumped, with so many racks of 4 dm2 one after the other, three minutes each; a law of plate-out asks
/// for the least rack at every reading.
fn line(racks: u32) -> Recipe {
    let mut rows = String::from("in_h,minutes,area_dm2\n");
    for rack in 0..racks {
        writeln!(rows, "{},3,4", f64::from(rack) * EVERY_H).expect("written");
    }
    let file = std::env::temp_dir().join(format!("bathkin-bench-{}-{racks}.csv", std::process::id()));
    std::fs::write(&file, rows).expect("written");
    let text = |value: &str| Value::Text(value.to_owned());
    let settings = [
        ("work.calendar", text(file.to_str().expect("a path"))),
        ("replenishment.policy", text("continuous")),
        ("ph_control.policy", text("continuous")),
        ("decomposition.rate_mol_l_h", Value::Number(1e-9)),
        ("decomposition.flag_above_pct", Value::Number(5.0)),
        ("limits.clock_h", Value::Number(f64::from(racks) * EVERY_H)),
        ("limits.turnovers", Value::Number(1e6)),
        ("limits.orthophosphite_g_l_as_hpo3", Value::Number(1e6)),
        ("limits.deposition_pct_of_fresh", Value::Number(0.0)),
        ("limits.phosphorus_wt_pct_max", Value::Number(100.0)),
        ("life.longest_clock_h", Value::Number(1e6)),
    ];
    let bath =
        settings.into_iter().fold(power_law(), |bath, (path, value)| bath.with(path, value, "the bench"));
    bath.model().expect("resolves");
    std::fs::remove_file(&file).ok();
    bath
}

fn bench(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("racks");
    group.sampling_mode(SamplingMode::Flat).sample_size(10);
    for racks in [10_000, 100_000] {
        let bath = line(racks);
        group.throughput(Throughput::Elements(u64::from(racks)));
        group.bench_function(BenchmarkId::from_parameter(racks), |b| {
            b.iter(|| bath.simulate_life().expect("runs").loads.len());
        });
    }
    group.finish();
}

criterion_group!(benches, bench);
criterion_main!(benches);
