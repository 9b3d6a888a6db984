//! Small problems with known answers, bounds, losses and failures.

use super::*;
use std::cell::Cell;

/// y = a exp(-b t) at t = 0..8 against given y; fails where b is below `fails_below`.
struct Decay {
    y: Vec<f64>,
    fails_below: f64,
    jacobian_sign: f64,
    calls: Cell<usize>,
}

impl Decay {
    fn new(y: Vec<f64>) -> Self {
        Decay { y, fails_below: f64::NEG_INFINITY, jacobian_sign: 1.0, calls: Cell::new(0) }
    }

    fn exact() -> Self {
        Decay::new((0..8).map(|t| 3.0 * (-0.7 * f64::from(t)).exp()).collect())
    }
}

impl Residuals for Decay {
    type Error = &'static str;

    fn parameters(&self) -> usize {
        2
    }

    fn rows(&self) -> usize {
        self.y.len()
    }

    fn residuals(&self, x: &[f64], f: &mut [f64]) -> Result<(), Self::Error> {
        self.calls.set(self.calls.get() + 1);
        if x[1] < self.fails_below {
            return Err("below");
        }
        for (t, f) in f.iter_mut().enumerate() {
            *f = x[0] * (-x[1] * t as f64).exp() - self.y[t];
        }
        Ok(())
    }

    fn linearise(&self, x: &[f64], f: &mut [f64], j: &mut [f64]) -> Result<(), Self::Error> {
        self.residuals(x, f)?;
        for t in 0..f.len() {
            let e = (-x[1] * t as f64).exp();
            j[2 * t] = self.jacobian_sign * e;
            j[2 * t + 1] = -self.jacobian_sign * x[0] * t as f64 * e;
        }
        Ok(())
    }
}

fn fit(problem: &Decay, start: [f64; 2], bounds: &Bounds) -> Minimum {
    least_squares(problem, &start, bounds, &LeastSquaresOptions::default()).unwrap()
}

#[test]
fn exact_data_give_exact_parameters_and_counts_agree() {
    let problem = Decay::exact();
    let found = fit(&problem, [1.0, 0.1], &Bounds::none(2));
    assert!(found.termination.converged(), "{:?}", found.termination);
    assert!((found.parameters[0] - 3.0).abs() < 1e-12 && (found.parameters[1] - 0.7).abs() < 1e-12);
    assert_eq!(found.evaluations, problem.calls.get());
    assert_eq!(found.jacobians, found.iterations + 1);
    assert_eq!(found.spectrum.rank, 2);
}

#[test]
fn units_of_a_parameter_do_not_change_the_path() {
    struct InOtherUnits(Decay);
    impl Residuals for InOtherUnits {
        type Error = &'static str;
        fn parameters(&self) -> usize {
            2
        }
        fn rows(&self) -> usize {
            self.0.rows()
        }
        fn residuals(&self, x: &[f64], f: &mut [f64]) -> Result<(), Self::Error> {
            self.0.residuals(&[x[0] / 1024.0, x[1]], f)
        }
        fn linearise(&self, x: &[f64], f: &mut [f64], j: &mut [f64]) -> Result<(), Self::Error> {
            self.0.linearise(&[x[0] / 1024.0, x[1]], f, j)?;
            j.iter_mut().step_by(2).for_each(|j| *j /= 1024.0);
            Ok(())
        }
    }
    let plain = fit(&Decay::exact(), [1.0, 0.1], &Bounds::none(2));
    let options = LeastSquaresOptions::default();
    let problem = InOtherUnits(Decay::exact());
    let other = least_squares(&problem, &[1024.0, 0.1], &Bounds::none(2), &options).unwrap();
    // A power of two: bit for bit.
    assert_eq!(other.parameters, [plain.parameters[0] * 1024.0, plain.parameters[1]]);
    assert_eq!(other.evaluations, plain.evaluations);
}

#[test]
fn a_bound_holds_the_parameter_and_the_rest_is_the_reduced_minimum() {
    let bounds = Bounds { lower: vec![0.0, 0.0], upper: vec![2.5, 10.0] };
    let found = fit(&Decay::exact(), [1.0, 0.1], &bounds);
    assert!(found.termination.converged());
    assert_eq!(found.parameters[0], 2.5);
    assert_eq!(found.at_bound, [true, false]);
    assert_eq!(found.spectrum.columns, [1]);
    // The same with the parameter held from the outset.
    let held = Bounds { lower: vec![2.5, 0.0], upper: vec![2.5, 10.0] };
    let reduced = fit(&Decay::exact(), [2.5, 0.1], &held);
    assert!((found.parameters[1] - reduced.parameters[1]).abs() < 1e-8);
}

#[test]
fn a_start_on_a_bound_comes_off_it() {
    let bounds = Bounds { lower: vec![1.0, 0.0], upper: vec![10.0, 10.0] };
    let found = fit(&Decay::exact(), [1.0, 0.0], &bounds);
    assert!(found.termination.converged());
    assert!((found.parameters[0] - 3.0).abs() < 1e-10 && (found.parameters[1] - 0.7).abs() < 1e-10);
}

#[test]
fn points_where_the_problem_fails_are_stepped_around() {
    let mut problem = Decay::exact();
    problem.fails_below = 0.65;
    let found = fit(&problem, [30.0, 5.0], &Bounds::none(2));
    assert!(found.termination.converged() && (found.parameters[1] - 0.7).abs() < 1e-10);

    // The minimum lies where it fails: no success is claimed.
    problem.fails_below = 0.8;
    let found = fit(&problem, [3.0, 2.0], &Bounds::none(2));
    assert!(!found.termination.converged(), "{:?}", found.termination);
    assert!(found.failures > 0 && found.parameters[1] >= 0.8 && found.cost.is_finite());
}

#[test]
fn a_wrong_jacobian_is_no_success() {
    let mut problem = Decay::exact();
    problem.jacobian_sign = -1.0;
    let found = fit(&problem, [2.0, 0.5], &Bounds::none(2));
    assert_eq!(found.termination, Termination::Stalled);
}

#[test]
fn evaluations_are_limited() {
    let options = LeastSquaresOptions { max_evaluations: 3, ..LeastSquaresOptions::default() };
    let found = least_squares(&Decay::exact(), &[100.0, 3.0], &Bounds::none(2), &options).unwrap();
    assert_eq!(found.termination, Termination::Evaluations);
}

#[test]
fn starts_that_cannot_be_used_are_named() {
    let options = LeastSquaresOptions::default();
    let bounds = Bounds { lower: vec![0.0, 0.0], upper: vec![1.0, 1.0] };
    let error = least_squares(&Decay::exact(), &[0.5, 2.0], &bounds, &options).unwrap_err();
    assert_eq!(error.to_string(), "start[1] = 2: expected a finite number within the bounds");
    let error = least_squares(&Decay::exact(), &[0.5, -1e4], &Bounds::none(2), &options).unwrap_err();
    assert!(matches!(error, LeastSquaresError::NotFinite { .. }), "{error}");
}

#[test]
fn losses_have_the_derivatives_they_claim() {
    for loss in [Loss::Linear, Loss::SoftL1, Loss::Huber, Loss::Cauchy] {
        for z in [1e-3, 0.5, 0.99, 1.01, 3.0, 40.0] {
            let h = 1e-5 * z;
            let (_, first, second) = loss.at(z);
            let by_differences = (loss.at(z + h).0 - loss.at(z - h).0) / (2.0 * h);
            assert!((first - by_differences).abs() < 1e-6, "{loss:?} at {z}");
            let by_differences = (loss.at(z + h).1 - loss.at(z - h).1) / (2.0 * h);
            assert!((second - by_differences).abs() < 1e-6, "{loss:?} at {z}");
        }
    }
}

#[test]
fn a_spectrum_names_the_combination_that_does_not_matter() {
    // Column 2 is twice column 0; column 3 does nothing.
    let j = nalgebra::DMatrix::from_row_slice(
        4,
        4,
        &[1.0, 1.0, 2.0, 0.0, 2.0, 0.0, 4.0, 0.0, 3.0, -1.0, 6.0, 0.0, 0.5, 2.0, 1.0, 0.0],
    );
    let spectrum = Spectrum::of(&j, &[0, 1, 2, 3], 1e-10, 0.0);
    assert_eq!((spectrum.rank, spectrum.no_influence.as_slice()), (2, [3].as_slice()));
    let [null] = spectrum.null_directions().try_into().unwrap();
    // One of column 0 less half of column 2 changes nothing.
    assert!((null.parameters[2] / null.parameters[0] + 0.5).abs() < 1e-12);
    assert!(null.parameters[1].abs() < 1e-12 && null.parameters[3] == 0.0);
    let total: f64 = spectrum.leverage().iter().sum();
    assert!((total - 2.0).abs() < 1e-12);
    let factor = spectrum.factor();
    assert!((factor.tr_mul(&factor) - j.tr_mul(&j)).amax() < 1e-13 * j.norm_squared());
}

/// x + 1 and b x² + x - 1: the minimum is at zero, and full steps leave b of the way to it each time.
struct Curved {
    b: f64,
}

impl Residuals for Curved {
    type Error = &'static str;

    fn parameters(&self) -> usize {
        1
    }

    fn rows(&self) -> usize {
        2
    }

    fn residuals(&self, x: &[f64], f: &mut [f64]) -> Result<(), Self::Error> {
        f.copy_from_slice(&[x[0] + 1.0, self.b * x[0] * x[0] + x[0] - 1.0]);
        Ok(())
    }

    fn linearise(&self, x: &[f64], f: &mut [f64], j: &mut [f64]) -> Result<(), Self::Error> {
        j.copy_from_slice(&[1.0, 2.0 * self.b * x[0] + 1.0]);
        self.residuals(x, f)
    }
}

#[test]
fn large_residuals_do_not_slow_the_end_of_a_search() {
    for b in [-0.8, -0.5, -0.2, 0.2, 0.4] {
        let none = Bounds::none(1);
        let minimum = least_squares(&Curved { b }, &[0.1], &none, &LeastSquaresOptions::default()).unwrap();
        assert!(minimum.termination.converged() && minimum.parameters[0].abs() < 1e-9, "{minimum:?}");
        // Uncorrected, ln(1e-8)/ln |b|: 83, 27, 11, 11 and 20 steps.
        assert!(minimum.iterations <= 8, "{b}: {}", minimum.iterations);
    }
}

#[test]
fn a_start_that_promises_next_to_nothing_is_the_minimum_itself() {
    let problem = Decay::new(vec![3.1, 1.4, 0.8, 0.3, 0.2, 0.1, 0.0, 0.1]);
    let none = Bounds::none(2);
    let found = fit(&problem, [2.0, 1.0], &none).parameters;
    let options = LeastSquaresOptions { negligible_decrease: 1e-10, ..LeastSquaresOptions::default() };
    let near = [found[0] * (1.0 + 1e-7), found[1]];
    let minimum = least_squares(&problem, &near, &none, &options).unwrap();
    assert_eq!((minimum.iterations, minimum.jacobians), (0, 1));
    assert!(minimum.termination.converged() && minimum.parameters == near);
}
