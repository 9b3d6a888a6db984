//! Tests of terms and rows of a straight model, as in statsmodels.

use bathkin_statistics::linear_model::{LinearModel, Term};
use bathkin_statistics::{FitOptions, fit};

use support::assert_relative;
use support::curve::Curve;

/// Producer: statsmodels 0.15.0, `acorr_breusch_godfrey(OLS, nlags=1)`: F = t² = 4.739860249, p = 0.0574432046;
/// `outlier_test()`: 1.65297742, 0.13272588 of row 4.
#[test]
fn terms_and_rows_of_a_line_are_tested_as_in_statsmodels() {
    let t: Vec<f64> = (0..12).map(f64::from).collect();
    let y = [1.02, 2.11, 3.25, 4.30, 5.22, 6.15, 6.98, 7.90, 8.85, 9.86, 10.95, 12.04];
    let line = fit(&Curve::line(&t, &y), &[0.0, 1.0], &FitOptions::default()).expect("a line");
    let straight = LinearModel::about(&line, vec![Some(0); 12]);
    let r = &line.minimum.residuals;
    let before = (0..12).map(|row| if row == 0 { 0.0 } else { r[row - 1] }).collect();
    let test = straight.test(&Term { values: before, group: 0 }).expect("a test");
    assert_relative("F", test.t * test.t, 4.739_860_248_997_82, 1e-9);
    assert_relative("p", test.p_value, 0.057_443_204_614_692_7, 1e-8);
    let row = straight.studentised()[3].expect("a test");
    assert_relative("t", row.t.abs(), 1.652_977_42, 1e-8);
    assert_relative("p", row.p_value, 0.132_725_88, 1e-6);
}
