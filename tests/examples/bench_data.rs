//! Writes `benches/data/`: invented runs and logs of a bath a little off `power-law`.
//!
//! Command: `cargo run --release -p tests --example bench_data`.

use std::fmt::Write;
use std::path::Path;

use bathkin::Recipe;
use bathkin::document::Value;
use bathkin_fit::{Data, FitSpecification, Sheet};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use support::{bench_data, read};

const TRUTH: [(&str, f64); 5] = [
    ("deposition.rate_mol_m2_s", 4.9e-4),
    ("deposition.activation_energy_kj_mol", 58.0),
    ("deposition.ph_order", 0.3),
    ("deposition.order.nickel", 0.2),
    ("deposition.order.hypophosphite", 0.5),
];

/// A standard normal number, by Box and Muller.
fn normal(random: &mut ChaCha8Rng) -> f64 {
    let mut uniform = || (f64::from(random.next_u32()) + 0.5) / 4_294_967_296.0;
    let (a, b) = (uniform(), uniform());
    (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
}

type Columns = Vec<(String, Vec<Option<f64>>)>;

fn columns(rows: usize, of: &[(&str, &dyn Fn(usize) -> f64)]) -> Columns {
    of.iter()
        .map(|(name, cell)| ((*name).to_owned(), (0..rows).map(|row| Some(cell(row))).collect()))
        .collect()
}

fn runs() -> Columns {
    columns(
        24,
        &[
            ("temperature_c", &|row| [80.0, 85.0, 90.0][row % 3]),
            ("ph", &|row| [4.4, 4.8, 5.2, 4.6][row / 3 % 4]),
            ("nickel_g_l", &|row| [4.5, 6.0, 7.0][row / 2 % 3]),
            ("hypophosphite_mol_l", &|row| [0.2, 0.28, 0.36][row / 4 % 3]),
            ("volume_l", &|_| 1.0),
            ("area_cm2", &|_| 50.0),
            ("time_min", &|row| [20.0, 40.0, 60.0][row % 3]),
            ("mass_gain_mg", &|_| 1.0),
        ],
    )
}

fn log(start: [f64; 4], shift: usize) -> Columns {
    let mut made = columns(
        60,
        &[
            ("time_h", &|row| row as f64),
            ("temperature_c", &|row| 84.0 + 3.0 * ((row / 8 + shift) % 3) as f64),
            ("area_in_tank_dm2", &|row| {
                if row == 0 { 0.0 } else { 150.0 + 40.0 * ((row + shift) % 4) as f64 }
            }),
            ("metal_ml_l", &|row| if row == 0 { 0.0 } else { 3.0 }),
            ("reductant_ml_l", &|row| if row == 0 { 0.0 } else { 2.9 }),
            ("ph_ml_l", &|row| if row % 4 == 3 { 8.0 } else { 0.0 }),
            ("nickel_g_l", &|_| 1.0),
            ("hypophosphite_mol_l", &|_| 1.0),
            ("orthophosphite_mol_l", &|_| 1.0),
            ("ph", &|_| 1.0),
            ("deposition_um_h", &|_| 1.0),
        ],
    );
    for (column, value) in made[6..10].iter_mut().zip(start) {
        column.1[0] = Some(value);
    }
    made
}

/// Puts what the bath would have shown in the place of every reading, with scatter.
fn observe(truth: &Recipe, sheet: Sheet, is_log: bool, random: &mut ChaCha8Rng) -> Sheet {
    let specification = FitSpecification { free: vec![TRUTH[0].0.to_owned()], ..FitSpecification::default() };
    let data = if is_log { Data::Log(sheet.clone()) } else { Data::Runs(sheet.clone()) };
    let model = specification.build(truth, &[data]).expect("a model");
    let values = model.calculated(&model.start()).expect("values");
    let mut made = sheet;
    for ((column, row, _), value) in model.observed().zip(values) {
        let sigma = if column == "ph" { 0.02 } else { 0.015 * value };
        if let Some((_, cells)) = made.columns.iter_mut().find(|(name, _)| name == column) {
            cells[row - 1] = Some(value + sigma * normal(random));
        }
    }
    made
}

fn main() {
    let recipe = Recipe::from_toml("power-law", &read(&bench_data("power-law.toml"))).expect("a recipe");
    let truth =
        TRUTH.iter().fold(recipe, |recipe, (path, value)| recipe.with(path, Value::Number(*value), "truth"));
    let mut random = ChaCha8Rng::seed_from_u64(2026);
    let sheets = [
        ("runs.csv", runs(), false),
        ("log_a.csv", log([5.9, 0.28, 0.1, 4.8], 0), true),
        ("log_b.csv", log([6.1, 0.27, 0.5, 4.75], 1), true),
        ("log_c.csv", log([5.8, 0.29, 0.9, 4.85], 2), true),
    ];
    for (name, columns, is_log) in sheets {
        let rows = (1..=columns[0].1.len()).collect();
        let sheet = Sheet { file: name.to_owned(), rows, columns, ..Sheet::default() };
        let made = observe(&truth, sheet, is_log, &mut random);
        let mut text = "# Invented: power-law with other kinetics, scatter 1.5 % and 0.02 pH.\n\
                        # Command: cargo run --release -p tests --example bench_data\n"
            .to_owned();
        let names: Vec<&str> = made.columns.iter().map(|(name, _)| name.as_str()).collect();
        let _ = writeln!(text, "{}", names.join(","));
        for row in 0..made.rows.len() {
            let cell = |(_, cells): &(String, Vec<Option<f64>>)| {
                cells[row].map_or(String::new(), |value| format!("{}", (value * 1e5).round() / 1e5))
            };
            let _ = writeln!(text, "{}", made.columns.iter().map(cell).collect::<Vec<_>>().join(","));
        }
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../benches/data").join(name);
        std::fs::write(path, text).expect("a file");
    }
}
