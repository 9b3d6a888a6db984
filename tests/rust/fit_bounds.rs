//! Properties of bounded fits: the conditions of a minimum, and no success where there is none.

use std::convert::Infallible;

use bathkin_fit::bootstrap::{BootstrapOptions, Resampling, bootstrap};
use bathkin_fit::{FitError, FitOptions, ResidualModel, fit};
use bathkin_numerics::least_squares::{Bounds, LeastSquaresOptions, Residuals, least_squares};
use num_dual::DualNum;
use proptest::prelude::*;

use crate::curve::Curve;

/// A x - y, bent by a cubic so that one step does not solve it.
struct Bent {
    a: Vec<[f64; 4]>,
    y: Vec<f64>,
    bend: f64,
}

impl Residuals for Bent {
    type Error = Infallible;

    fn parameters(&self) -> usize {
        4
    }

    fn rows(&self) -> usize {
        self.y.len()
    }

    fn residuals(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), Infallible> {
        self.linearise(at, residuals, &mut vec![0.0; 4 * self.y.len()])
    }

    fn linearise(&self, at: &[f64], residuals: &mut [f64], jacobian: &mut [f64]) -> Result<(), Infallible> {
        for (row, (a, y)) in self.a.iter().zip(&self.y).enumerate() {
            let sum: f64 = a.iter().zip(at).map(|(a, x)| a * x).sum();
            residuals[row] = sum + self.bend * sum.powi(3) - y;
            for (column, a) in a.iter().enumerate() {
                jacobian[4 * row + column] = a * (1.0 + 3.0 * self.bend * sum * sum);
            }
        }
        Ok(())
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn the_end_is_a_minimum_within_the_bounds(
        a in prop::collection::vec(prop::array::uniform4(-1.0..1.0_f64), 7),
        y in prop::collection::vec(-3.0..3.0_f64, 7),
        low in prop::array::uniform4(-1.0..0.0_f64),
        high in prop::array::uniform4(0.0..1.0_f64),
        part in prop::array::uniform4(0.0..=1.0_f64),
        exponent in prop::array::uniform4(-4..=4_i32),
        bend in 0.0..0.3_f64,
    ) {
        // Units of any size for the parameters.
        let unit: Vec<f64> = exponent.iter().map(|e| 10_f64.powi(*e)).collect();
        let a = a.iter().map(|row| std::array::from_fn(|i| row[i] / unit[i])).collect();
        let problem = Bent { a, y, bend };
        let bounds = Bounds {
            lower: (0..4).map(|i| low[i] * unit[i]).collect(),
            upper: (0..4).map(|i| high[i] * unit[i]).collect(),
        };
        let start: Vec<f64> = (0..4)
            .map(|i| (bounds.lower[i] + part[i] * (bounds.upper[i] - bounds.lower[i])).clamp(bounds.lower[i], bounds.upper[i]))
            .collect();
        let found = least_squares(&problem, &start, &bounds, &LeastSquaresOptions::default()).expect("a point");
        prop_assert!(found.termination.converged(), "{:?}", found.termination);
        let gradient: Vec<f64> = (0..4)
            .map(|i| found.jacobian.column(i).iter().zip(&found.residuals).map(|(j, f)| j * f).sum())
            .collect();
        let size = (2.0 * found.cost).sqrt();
        for (i, gradient) in gradient.iter().enumerate() {
            let x = found.parameters[i];
            prop_assert!(bounds.lower[i] <= x && x <= bounds.upper[i]);
            // Nothing to gain by moving inwards; nothing at all where there is room on both sides.
            let cosine = gradient / (found.jacobian.column(i).norm() * size).max(f64::MIN_POSITIVE);
            if x > bounds.lower[i] {
                prop_assert!(cosine < 1e-6, "{i}: {cosine:e}");
            }
            if x < bounds.upper[i] {
                prop_assert!(cosine > -1e-6, "{i}: {cosine:e}");
            }
        }
    }
}

#[test]
fn no_success_without_a_minimum() {
    // Falls for ever: exp(-b) has its least value at infinity, and the fit says how far it came.
    let model = Curve::new(&["b"], &[1.0, 2.0], &[-1.0, -1.0], |b, x| (-b[0] * x).exp());
    let solver = LeastSquaresOptions { max_evaluations: 12, ..LeastSquaresOptions::default() };
    let options = FitOptions { solver, ..FitOptions::default() };
    let error = fit(&model, &[0.1], &options).unwrap_err();
    assert!(matches!(error, FitError::NotConverged { reason: "evaluations", .. }), "{error}");

    let model = Curve::new(&["b"], &[1.0, 2.0], &[1.0, 2.0], |b, x| b[0].ln() * x);
    let error = fit(&model, &[-1.0], &FitOptions::default()).unwrap_err();
    assert_eq!(
        error.to_string(),
        "the fit cannot start: residual or derivative 0 at the start is not finite"
    );
}

/// A line whose rows belong to runs of two.
struct Runs(Curve);

impl Residuals for Runs {
    type Error = Infallible;

    fn parameters(&self) -> usize {
        self.0.parameters()
    }

    fn rows(&self) -> usize {
        self.0.rows()
    }

    fn residuals(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), Infallible> {
        self.0.residuals(at, residuals)
    }

    fn linearise(&self, at: &[f64], residuals: &mut [f64], jacobian: &mut [f64]) -> Result<(), Infallible> {
        self.0.linearise(at, residuals, jacobian)
    }
}

impl ResidualModel for Runs {
    fn names(&self) -> &[String] {
        self.0.names()
    }

    fn case_of(&self, row: usize) -> usize {
        row / 2
    }
}

#[test]
fn rows_of_a_run_are_drawn_together() {
    // The two rows of a run agree: drawn together they are three facts, not six.
    let x = [0.0, 0.0, 0.0, 0.0, 0.0, 0.0];
    let y = [1.0, 1.0, 2.0, 2.0, 4.0, 4.0];
    let rows = Curve::new(&["mean"], &x, &y, |b, _| b[0]);
    let found = fit(&rows, &[0.0], &FitOptions::default()).expect("a fit");
    let options = BootstrapOptions { replicates: 4000, seed: 11, resampling: Resampling::Cases };
    let alone = bootstrap(&rows, &found, &options).expect("a bootstrap").standard_errors[0];
    let together = bootstrap(&Runs(rows), &found, &options).expect("a bootstrap").standard_errors[0];
    // Standard deviation of the population over the root of the number of cases.
    let spread = (14.0_f64 / 9.0).sqrt();
    assert!((alone / (spread / 6.0_f64.sqrt()) - 1.0).abs() < 0.05, "{alone}");
    assert!((together / (spread / 3.0_f64.sqrt()) - 1.0).abs() < 0.05, "{together}");
}
