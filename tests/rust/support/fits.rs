//! Fits of the power-law recipe that the tests share: data, questions, and what is said.

use bathkin::Recipe;
use bathkin::document::Value;
use bathkin_fit::objective::RecipeModel;
use bathkin_fit::{Data, FitSpecification, RecipeFit, RecipeFitOptions, Sheet, fit_recipe};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;

use crate::coupons;
use crate::random::normal;
use crate::recipes::power_law;

pub const RATE: &str = "deposition.rate_mol_m2_s";
pub const ENERGY: &str = "deposition.activation_energy_kj_mol";
pub const PH_ORDER: &str = "deposition.ph_order";

pub fn sheet(file: &str, columns: Vec<(&str, Vec<Option<f64>>)>) -> Sheet {
    Sheet {
        file: file.to_owned(),
        rows: (1..=columns[0].1.len()).collect(),
        columns: columns.into_iter().map(|(name, cells)| (name.to_owned(), cells)).collect(),
        ..Sheet::default()
    }
}

pub fn some(cells: &[f64]) -> Vec<Option<f64>> {
    cells.iter().map(|cell| Some(*cell)).collect()
}

pub fn runs(columns: &[(&str, &[f64])]) -> Data {
    Data::Runs(coupons::runs(columns))
}

pub fn fitted(data: &[Data], options: RecipeFitOptions) -> RecipeFit {
    fit_recipe(&power_law(), data, &options).expect("a fit")
}

pub fn of(specification: FitSpecification) -> RecipeFitOptions {
    RecipeFitOptions { specification, ..RecipeFitOptions::default() }
}

pub fn rates(celsius: &[f64], um_h: &[f64]) -> Data {
    runs(&[("temperature_c", celsius), ("deposition_um_h", um_h)])
}

pub fn asked(free: &[&str]) -> FitSpecification {
    FitSpecification {
        free: free.iter().map(|path| (*path).to_owned()).collect(),
        ..FitSpecification::default()
    }
}

/// The model of a log, and its values at the recipe's own numbers.
pub fn calculated(
    recipe: &Recipe,
    data: &[Data],
    specification: &FitSpecification,
) -> (RecipeModel, Vec<f64>) {
    let model = specification.build(recipe, data).expect("a model");
    let values = model.calculated(&model.start()).expect("values");
    (model, values)
}

/// Asserts |value/expected - 1| < relative.
#[track_caller]
pub fn close(value: f64, expected: f64, relative: f64, what: &str) {
    assert!((value / expected - 1.0).abs() < relative, "{what}: {value} and not {expected}");
}

/// Asserts that a fit says these words under a code.
#[track_caller]
pub fn has(found: &RecipeFit, code: &str, words: &str) {
    let said = found.remarks.iter().any(|remark| remark.code == code && remark.text.contains(words));
    assert!(said, "no {code} with '{words}' in {:?}", found.remarks);
}

/// A week's log of a tank that starts aged, with doses, water, bail-out and two temperatures.
pub fn week(recipe: &Recipe, file: &str, rows: usize, scatter: f64, seed: u64) -> Sheet {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let each =
        |of: &dyn Fn(usize) -> f64| -> Vec<Option<f64>> { (0..rows).map(|row| Some(of(row))).collect() };
    let mut columns = vec![
        ("time_h", each(&|row| row as f64)),
        ("temperature_c", each(&|row| 84.0 + 6.0 * ((row / 6) % 2) as f64)),
        ("area_in_tank_dm2", each(&|row| if row == 0 { 0.0 } else { 160.0 + 60.0 * (row % 3) as f64 })),
        ("metal_ml_l", each(&|row| if row > 0 { 3.2 } else { 0.0 })),
        ("reductant_ml_l", each(&|row| if row > 0 { 3.0 } else { 0.0 })),
        ("ph_ml_l", each(&|row| if row % 4 == 3 { 8.0 } else { 0.0 })),
        ("water_l", each(&|row| if row == 7 { 5.0 } else { 0.0 })),
        ("removed_l", each(&|row| if row == 11 { 20.0 } else { 0.0 })),
        ("nickel_g_l", each(&|_| 5.9)),
        ("hypophosphite_mol_l", each(&|_| 0.28)),
        ("orthophosphite_mol_l", each(&|_| 0.2)),
        ("ph", each(&|_| 4.8)),
        ("deposition_um_h", each(&|_| 15.0)),
    ];
    // What the recipe itself would have shown, from a start that is its own.
    let start = [5.9, 0.28, 0.4, 4.8];
    for (column, value) in columns[8..12].iter_mut().zip(start) {
        column.1[0] = Some(value);
    }
    let log = sheet(file, columns);
    let (model, values) = calculated(recipe, &[Data::Log(log.clone())], &asked(&[RATE]));
    let readings: Vec<(String, usize)> =
        model.observed().map(|(column, row, _)| (column.to_owned(), row)).collect();
    let mut log = log;
    for ((column, row), value) in readings.iter().zip(values) {
        let sigma = if column == "ph" { 0.02 } else { 0.015 * value };
        let cells = log.columns.iter_mut().find(|(name, _)| name == column).map(|(_, cells)| cells);
        cells.expect("a column")[row - 1] = Some(value + scatter * sigma * normal(&mut random));
    }
    log
}

/// A tank that is dumped after half a turnover, to be quick.
pub fn tank(longest_clock_h: f64) -> Recipe {
    power_law().with("limits.turnovers", Value::Number(0.5), "test").with(
        "life.longest_clock_h",
        Value::Number(longest_clock_h),
        "test",
    )
}

/// A log of a bath at the recipe's numbers, every reading off by up to 1 %, the nickel of one row doubled.
pub fn log_with(doubled: Option<usize>) -> Data {
    let hours: Vec<f64> = (0..21).map(f64::from).collect();
    let area: Vec<f64> = (0..21).map(|row| if row == 0 { 0.0 } else { 120.0 }).collect();
    let added: Vec<f64> = (0..21).map(|row| if row % 2 == 0 { 2.0 } else { 3.0 }).collect();
    let columns = |nickel: Vec<f64>, ph: Vec<f64>| {
        Data::Log(sheet(
            "log.csv",
            vec![
                ("time_h", some(&hours)),
                ("area_in_tank_dm2", some(&area)),
                ("metal_ml_l", some(&added)),
                ("reductant_ml_l", some(&added)),
                ("nickel_g_l", some(&nickel)),
                ("ph", some(&ph)),
            ],
        ))
    };
    let start = columns(vec![6.0; 21], vec![4.8; 21]);
    let (_, exact) = calculated(&power_law(), &[start], &asked(&[RATE]));
    let off = |row: usize| 1.0 + 0.01 * (7.0 * row as f64).sin();
    let nickel =
        (0..21).map(|row| exact[2 * row] * off(row) * if doubled == Some(row) { 2.0 } else { 1.0 }).collect();
    columns(nickel, (0..21).map(|row| exact[2 * row + 1] + 0.01 * (5.0 * row as f64).cos()).collect())
}
