//! Properties of bounded fits: the conditions of a minimum, and no success where there is none.

use std::convert::Infallible;

use bathkin_numerics::least_squares::{Bounds, LeastSquaresOptions, Residuals, least_squares};
use bathkin_statistics::bootstrap::{BootstrapOptions, Resampling, bootstrap};
use bathkin_statistics::{FitError, FitOptions, ResidualModel, fit};
use num_dual::DualNum;
use proptest::prelude::*;

use support::curve::Curve;

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

/// A minimum with large residuals: found by the property above, where the search stopped without success.
#[test]
fn a_minimum_whose_steps_overshoot_is_a_success() {
    let rows = [
        [0.9675044085243455, 0.9807237776899992, 0.0, -0.24344671816741376],
        [-0.4856958471019809, -0.8020160129768206, -0.6853320685014169, -0.9517694311832436],
        [-0.9718598224109659, -0.7875613474452599, -0.4404486275122372, 0.5816997012187426],
        [-0.15905812202939762, -0.8827065761976259, 0.3533020759001461, -0.6521229993841536],
        [0.0, 0.0, 0.0, 0.14525697299136528],
        [0.0, 0.5708687011660063, -0.8936670220983319, -0.7374550541545073],
        [0.07190997848626336, 0.16985631301789553, 0.665498371549305, 0.29781405373205916],
    ];
    let unit = [1.0, 1e2, 1.0, 1e3];
    let y = vec![
        0.9639436555115705,
        2.9732983429087096,
        -1.2595681263167415,
        -2.4220867223277223,
        -0.386676198856431,
        -2.9804472021362742,
        2.7950376844583054,
    ];
    let a = rows.iter().map(|row| std::array::from_fn(|i| row[i] / unit[i])).collect();
    let problem = Bent { a, y, bend: 0.21358587371601476 };
    let bounds = Bounds {
        lower: vec![-0.11014345199819377, -77.46053918330657, 0.0, 0.0],
        upper: vec![0.6871349414151827, 0.0, 0.4401147540426989, 650.4898933730665],
    };
    let part = [0.26599647081897404, 0.04778732418040828, 0.8124634467793037, 0.0];
    let start: Vec<f64> =
        (0..4).map(|i| bounds.lower[i] + part[i] * (bounds.upper[i] - bounds.lower[i])).collect();
    let found = least_squares(&problem, &start, &bounds, &LeastSquaresOptions::default()).expect("a point");
    assert!(found.termination.converged(), "{:?}", found.termination);
    assert_eq!(found.at_bound, [true, false, true, false]);
    assert!(
        (found.parameters[1] + 61.34640780).abs() < 1e-5 && (found.parameters[3] - 382.6543333).abs() < 1e-4
    );
}

#[test]
fn no_success_without_a_minimum() {
    // Falls for ever: exp(-b) has its least value at infinity, and the fit says how far it came.
    let model = Curve::new(&["b"], &[1.0, 2.0], &[-1.0, -1.0], |b, x| (-b[0] * x).exp());
    let solver = LeastSquaresOptions { max_evaluations: 12, ..LeastSquaresOptions::default() };
    let options = FitOptions { solver, ..FitOptions::default() };
    let error = fit(&model, &[0.1], &options).unwrap_err();
    assert!(
        matches!(error, FitError::NotConverged { reason: "evaluations", evaluations: 13, failures: 0, .. }),
        "{error}"
    );

    let model = Curve::new(&["b"], &[1.0, 2.0], &[1.0, 2.0], |b, x| b[0].ln() * x);
    let error = fit(&model, &[-1.0], &FitOptions::default()).unwrap_err();
    assert_eq!(error, FitError::NotFinite { what: "residual or derivative", place: 0 });
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
