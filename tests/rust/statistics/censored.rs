//! Observations below a limit of detection, against multiple precision and SciPy.

use std::convert::Infallible;

use bathkin_numerics::least_squares::Residuals;
use bathkin_statistics::Scale;
use bathkin_statistics::censored::below_limit;
use bathkin_statistics::{FitOptions, ResidualModel, fit};

use support::{Csv, read, shared};

/// Producer: `censored_mpmath.py`.
#[test]
fn residuals_below_a_limit_are_sound_on_both_sides() {
    for row in Csv::reference("censored_mpmath.csv").rows() {
        let z = row.number("z");
        let found = below_limit(z, 0.0, 1.0);
        for (value, expected) in
            [(found.residual, row.number("r")), (-found.by_calculated, row.number("slope"))]
        {
            assert!((value / expected - 1.0).abs() < 1e-13, "z = {z}: {value:e}, expected {expected:e}");
        }
    }
    // Scaled by sigma; nothing is left far below the limit.
    let (one, two) = (below_limit(1.0, 3.0, 1.0), below_limit(0.1, 0.3, 0.1));
    assert!((one.residual - two.residual).abs() < 1e-14);
    assert!((10.0 * one.by_calculated - two.by_calculated).abs() < 1e-13);
    let nothing = below_limit(100.0, 0.0, 1.0);
    assert_eq!((nothing.residual, nothing.by_calculated), (0.0, 0.0));
}

/// Lines of data and results of `error_models_scipy.csv`.
fn scipy(key: &str) -> Vec<f64> {
    let text = read(&shared().join("reference/error_models_scipy.csv"));
    let line = text.lines().find_map(|line| line.strip_prefix(&format!("# {key} ="))).expect("a line");
    line.split_whitespace().map(|word| word.parse().expect("a number")).collect()
}

/// A line some of whose observations are only known to be below 0.5.
struct Censored {
    x: Vec<f64>,
    found: Vec<f64>,
    names: Vec<String>,
}

impl Residuals for Censored {
    type Error = Infallible;

    fn parameters(&self) -> usize {
        2
    }

    fn rows(&self) -> usize {
        self.x.len()
    }

    fn residuals(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), Infallible> {
        self.linearise(at, residuals, &mut vec![0.0; 2 * self.x.len()])
    }

    fn linearise(&self, at: &[f64], residuals: &mut [f64], jacobian: &mut [f64]) -> Result<(), Infallible> {
        for (row, x) in self.x.iter().enumerate() {
            let y = at[0] + at[1] * x;
            let (residual, slope) = if self.found[row].is_nan() {
                let below = below_limit(0.5, y, 0.2);
                (below.residual, below.by_calculated)
            } else {
                ((y - self.found[row]) / 0.2, 1.0 / 0.2)
            };
            residuals[row] = residual;
            jacobian[2 * row..2 * row + 2].copy_from_slice(&[slope, slope * x]);
        }
        Ok(())
    }
}

impl ResidualModel for Censored {
    fn names(&self) -> &[String] {
        &self.names
    }
}

/// Producer: `error_models_scipy.py`.
#[test]
fn a_fit_with_observations_below_a_limit_is_that_of_scipy() {
    let names = vec!["intercept".to_owned(), "slope".to_owned()];
    let model = Censored { x: scipy("x"), found: scipy("found"), names };
    let options = FitOptions { scale: Scale::Known, ..FitOptions::default() };
    let found = fit(&model, &[1.0, 0.0], &options).expect("a fit");
    let expected = Csv::reference("error_models_scipy.csv");
    let row = expected.rows().find(|row| row.text("case") == "censored").expect("a row");
    assert!((found.values()[0] / row.number("first") - 1.0).abs() < 1e-6, "{:?}", found.values());
    assert!((found.values()[1] / row.number("second") - 1.0).abs() < 1e-6, "{:?}", found.values());
    assert!((found.sum_of_squares() - row.number("objective")).abs() < 1e-9);
}
