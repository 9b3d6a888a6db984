//! Fits with priors against the closed form of the linear model.

use bathkin_numerics::least_squares::{LeastSquaresOptions, Loss};
use bathkin_statistics::Scale;
use bathkin_statistics::design::{Aim, Candidate, choose};
use bathkin_statistics::parameter::Determination;
use bathkin_statistics::priors::{NormalPrior, fit_with_priors, log_posterior};
use bathkin_statistics::{FitError, FitOptions, fit};
use nalgebra::{DMatrix, DVector};

use support::curve::Curve;

// Invented: a line with scatter.
const X: [f64; 7] = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0];
const Y: [f64; 7] = [1.3, 2.8, 5.4, 6.9, 9.3, 10.6, 13.4];
const SIGMA: f64 = 0.4;
const PRIORS: [NormalPrior; 2] =
    [NormalPrior { parameter: 1, mean: 1.7, sd: 0.08 }, NormalPrior { parameter: 0, mean: 1.0, sd: 0.5 }];

fn line(sigma: f64) -> Curve {
    let mut model = Curve::line(&X, &Y);
    model.sigma.fill(sigma);
    model
}

fn options(scale: Scale) -> FitOptions {
    FitOptions { scale, ..FitOptions::default() }
}

/// Posterior mean, covariance and S of the line with errors of `sigma`: (XᵀX/σ² + P)⁻¹.
fn closed_form(sigma: f64) -> (DVector<f64>, DMatrix<f64>, f64) {
    let x = DMatrix::from_fn(7, 2, |row, column| if column == 0 { 1.0 } else { X[row] });
    let y = DVector::from_row_slice(&Y);
    let p = DMatrix::from_diagonal(&DVector::from_row_slice(&[1.0 / 0.25, 1.0 / 0.0064]));
    let m = DVector::from_row_slice(&[1.0, 1.7]);
    let c = (x.tr_mul(&x) / (sigma * sigma) + &p).try_inverse().expect("regular");
    let mean = &c * (x.tr_mul(&y) / (sigma * sigma) + p * m);
    let s = (&x * &mean - y).norm_squared();
    (mean, c, s)
}

fn near(what: &str, value: f64, expected: f64) {
    assert!((value / expected - 1.0).abs() < 1e-10, "{what}: {value}, expected {expected}");
}

#[test]
fn the_posterior_of_a_line_is_the_closed_form() {
    let found = fit_with_priors(&line(SIGMA), &PRIORS, &[0.0, 0.0], &options(Scale::Known)).expect("a fit");
    let (mean, c, s) = closed_form(SIGMA);
    for i in 0..2 {
        near("value", found.fit.values()[i], mean[i]);
        near("error", found.fit.parameters[i].standard_error.expect("one"), c[(i, i)].sqrt());
    }
    near("covariance", found.fit.covariance[(0, 1)], c[(0, 1)]);
    near("S", found.data_sum_of_squares, s / SIGMA.powi(2));
    let prior = ((mean[1] - 1.7) / 0.08).powi(2) + ((mean[0] - 1.0) / 0.5).powi(2);
    near("prior", found.prior_sum_of_squares, prior);
    // The share of a prior is its row's part in the hat matrix, C/d².
    near("share", found.prior_weights[0], c[(1, 1)] / 0.0064);
    near("share", found.prior_weights[1], c[(0, 0)] / 0.25);
    let spent = 2.0 - found.prior_weights.iter().sum::<f64>();
    near("degrees", found.effective_degrees_of_freedom, 7.0 - spent);
}

#[test]
fn an_estimated_scale_leaves_the_prior_its_meaning() {
    // The same iteration by normal equations.
    let mut sigma = 1.0_f64;
    let mut freedom = 0.0;
    for _ in 0..200 {
        let (_, c, s) = closed_form(sigma);
        freedom = 7.0 - (2.0 - c[(1, 1)] / 0.0064 - c[(0, 0)] / 0.25);
        sigma = (s / freedom).sqrt();
    }
    let (mean, c, _) = closed_form(sigma);
    // Whatever the residuals were divided by.
    for unit in [1.0, 1e-3, 250.0] {
        let found =
            fit_with_priors(&line(unit), &PRIORS, &[0.0, 0.0], &options(Scale::Estimated)).expect("a fit");
        near("s", found.scale * unit, sigma);
        near("degrees", found.effective_degrees_of_freedom, freedom);
        for i in 0..2 {
            near("value", found.fit.values()[i], mean[i]);
            near("error", found.fit.parameters[i].standard_error.expect("one"), c[(i, i)].sqrt());
        }
        near("variance", found.fit.variance.expect("one"), found.scale.powi(2));
        assert_eq!(found.fit.degrees_of_freedom, freedom.floor() as usize);
    }
}

#[test]
fn a_flat_prior_changes_nothing() {
    let flat = [0, 1].map(|parameter| NormalPrior { parameter, mean: -3.0, sd: 1e12 });
    for scale in [Scale::Known, Scale::Estimated] {
        let plain = fit(&line(SIGMA), &[0.0, 0.0], &options(scale)).expect("a fit");
        let found = fit_with_priors(&line(SIGMA), &flat, &[0.0, 0.0], &options(scale)).expect("a fit");
        assert_eq!(found.fit.degrees_of_freedom, plain.degrees_of_freedom);
        for (with, without) in found.fit.parameters.iter().zip(&plain.parameters) {
            near("value", with.value, without.value);
            let errors = with.standard_error.zip(without.standard_error).expect("errors");
            near("error", errors.0, errors.1);
            near("interval", with.interval.expect("one")[1], without.interval.expect("one")[1]);
        }
    }
}

#[test]
fn a_prior_determines_what_the_data_do_not() {
    let model = Curve::new(&["p", "q", "slope"], &X, &Y, |b, x| b[0] + b[1] + b[2] * x);
    let plain = fit(&model, &[0.0, 0.0, 0.0], &FitOptions::default()).expect("a fit");
    assert_eq!(plain.parameters[0].determination, Determination::RankDeficient);
    let prior = [NormalPrior { parameter: 0, mean: 0.2, sd: 0.1 }];
    let found = fit_with_priors(&model, &prior, &[0.0, 0.0, 0.0], &FitOptions::default()).expect("a fit");
    assert!(found.fit.undetermined.is_empty());
    let [p, q, slope] = found.fit.parameters.as_slice() else { panic!("three parameters") };
    // p is what the prior says, and the rest as without it.
    near("p", p.value, 0.2);
    near("error of p", p.standard_error.expect("one"), 0.1);
    near("share", found.prior_weights[0], 1.0);
    let line = fit(&line(1.0), &[0.0, 0.0], &FitOptions::default()).expect("a fit");
    near("p + q", p.value + q.value, line.values()[0]);
    let error = (line.covariance[(0, 0)] + 0.01).sqrt();
    near("error of q", q.standard_error.expect("one"), error);
    near("error of slope", slope.standard_error.expect("one"), line.covariance[(1, 1)].sqrt());
    assert_eq!(found.fit.degrees_of_freedom, 5);
}

#[test]
fn a_design_counts_priors_as_information() {
    let found = fit_with_priors(&line(1.0), &PRIORS, &[0.0, 0.0], &FitOptions::default()).expect("a fit");
    let candidates = [3.0, -8.0].map(|x| Candidate { gradient: vec![1.0, x], sigma: 2.0, at_most: 1 });
    let design = choose(&found.fit, &candidates, 1, &Aim::parameter(1, 2)).expect("a design");
    assert_eq!(design.choices[0].candidate, 1);
    // XᵀX/s² + P + g gᵀ/(2s)².
    let g = DVector::from_row_slice(&[1.0, -8.0]) / (2.0 * found.scale);
    let (_, c, _) = closed_form(found.scale);
    let after = (c.try_inverse().expect("regular") + &g * g.transpose()).try_inverse().expect("regular");
    for i in 0..2 {
        near("error", design.parameters[i].after.expect("one"), after[(i, i)].sqrt());
    }
}

#[test]
fn the_log_posterior_is_that_of_the_fit_or_integrated_over_the_scale() {
    let model = line(SIGMA);
    let of = |scale, at: &[f64]| log_posterior(&model, &PRIORS, scale, at).expect("a density");
    // Known: a parabola with the covariance of the fit.
    let found = fit_with_priors(&model, &PRIORS, &[0.0, 0.0], &options(Scale::Known)).expect("a fit");
    let step = DVector::from_row_slice(&[0.3, -0.2]);
    let at: Vec<f64> = found.fit.values().iter().zip(&step).map(|(value, step)| value + step).collect();
    let fall = 0.5 * (found.fit.covariance.clone().try_inverse().expect("regular") * &step).dot(&step);
    near("fall", of(Scale::Known, found.fit.values()) - of(Scale::Known, &at), fall);

    // Estimated: ∫ s⁻ⁿ exp(-S/2s²) ds/s by the trapezoidal rule over ln s, which converges exponentially.
    let integrated = |at: &[f64]| {
        let sum: f64 = (0..7).map(|row| ((at[0] + at[1] * X[row] - Y[row]) / SIGMA).powi(2)).sum();
        let term = |i: i32| {
            let s = (0.01 * f64::from(i)).exp();
            s.powi(-7) * (-0.5 * sum / (s * s)).exp()
        };
        let prior = ((at[1] - 1.7) / 0.08).powi(2) + ((at[0] - 1.0) / 0.5).powi(2);
        (-1000..1000).map(term).sum::<f64>().ln() - 0.5 * prior
    };
    let (a, b) = ([1.1, 1.9], [0.7, 2.2]);
    let difference = of(Scale::Estimated, &a) - of(Scale::Estimated, &b);
    near("difference", difference, integrated(&a) - integrated(&b));
}

#[test]
fn priors_that_cannot_be_are_refused() {
    let refusal = |prior: NormalPrior| {
        fit_with_priors(&line(1.0), &[prior], &[0.0, 0.0], &FitOptions::default()).unwrap_err().to_string()
    };
    let good = NormalPrior { parameter: 1, mean: 0.0, sd: 1.0 };
    assert_eq!(
        refusal(NormalPrior { sd: 0.0, ..good }),
        "row 1, sd of the prior = 0: expected a finite number above zero"
    );
    assert!(refusal(NormalPrior { parameter: 2, ..good }).contains("the place of a parameter of the model"));
    let solver = LeastSquaresOptions { loss: Loss::Huber, ..LeastSquaresOptions::default() };
    let robust = FitOptions { solver, ..FitOptions::default() };
    let error = fit_with_priors(&line(1.0), &[good], &[0.0, 0.0], &robust).unwrap_err();
    assert!(matches!(error, FitError::RobustLoss { .. }), "{error}");
    // Data that meet the model exactly tell no scale.
    let exact = Curve::line(&[0.0, 1.0, 2.0], &[0.0, 0.0, 0.0]);
    let error = fit_with_priors(&exact, &[good], &[0.0, 0.0], &FitOptions::default()).unwrap_err();
    assert!(matches!(error, FitError::NoScatter { .. }), "{error}");
}
