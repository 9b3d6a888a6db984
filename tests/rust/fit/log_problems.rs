//! All problems of a log in one answer.

use bathkin_fit::error::SheetProblem;
use bathkin_fit::{Data, DataError, RecipeFitOptions, fit_recipe};

use support::fits::{RATE, asked, sheet, some};
use support::recipes::power_law;

fn refused(columns: Vec<(&str, Vec<Option<f64>>)>) -> DataError {
    let options = RecipeFitOptions { specification: asked(&[RATE]), ..RecipeFitOptions::default() };
    fit_recipe(&power_law(), &[Data::Log(sheet("log.csv", columns))], &options).unwrap_err()
}

fn several(error: DataError) -> Vec<String> {
    let DataError::Sheet { problem: SheetProblem::Several(all), .. } = error else {
        unreachable!("{error}");
    };
    all.iter().map(DataError::to_string).collect()
}

#[test]
fn a_bad_column_bad_cells_and_rows_out_of_order_are_one_answer() {
    let told = several(refused(vec![
        ("time_h", some(&[0.0, 2.0, 1.0, 4.0])),
        ("nickle_g_l", some(&[6.0, 5.0, 5.0, 5.0])),
        ("nickel_g_l", some(&[6.0, -5.0, 5.0, 500.0])),
        ("metal_l", some(&[0.0, 1e9, 0.0, -1.0])),
        ("removed_l", some(&[0.0, 0.0, -2.0, 0.0])),
    ]));
    let expected = [
        "did you mean nickel_g_l",
        "row 3, time_h = 1: expected a time after that of the row before",
        "row 2, metal_l = 1e9: expected at most the",
        "row 3, removed_l = -2: expected zero or more",
        "row 4, metal_l = -1: expected zero or more",
        "row 2, nickel_g_l = -5: expected zero or more",
        "row 4, nickel_g_l = 500: expected a value nearer to the make-up's",
    ];
    assert_eq!(told.len(), expected.len(), "{told:#?}");
    for (told, expected) in told.iter().zip(expected) {
        assert!(told.contains(expected), "{told} without {expected}");
    }
}

#[test]
fn twenty_are_named_and_the_rest_counted() {
    let rows = 30;
    let error = refused(vec![
        ("time_h", (0..rows).map(|row| Some(f64::from(row))).collect()),
        ("nickel_g_l", vec![Some(-1.0); rows as usize]),
    ]);
    let text = error.to_string();
    assert!(text.starts_with("log.csv: 30 problems:\n  row 1, nickel_g_l = -1"), "{text}");
    assert!(text.ends_with("\n  and 10 more"), "{text}");
    assert_eq!(text.lines().count(), 22);
    assert_eq!(several(error).len(), 30);
}

#[test]
fn the_log_of_another_bath_is_named() {
    let litres = power_law().model().expect("resolves").tank.plant.volume_l;
    let added = |metal_l: f64, reductant_l: f64| {
        refused(vec![
            ("time_h", some(&[0.0, 8.0])),
            ("nickel_g_l", some(&[6.0, 5.5])),
            ("metal_l", some(&[0.0, metal_l])),
            ("reductant_l", some(&[0.0, reductant_l])),
        ])
        .to_string()
    };
    let larger = added(0.3 * litres, 0.25 * litres);
    assert!(larger.contains("row 2, metal_l = ") && larger.contains("the log of a larger bath"), "{larger}");
    let copper = refused(vec![("time_h", some(&[0.0, 8.0])), ("copper_g_l", some(&[2.0, 1.9]))]).to_string();
    assert!(copper.contains("it holds no copper"), "{copper}");
}
