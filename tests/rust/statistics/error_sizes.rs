//! Observations below a limit against multiple precision, and sizes of errors against simulated truth.

use std::convert::Infallible;

use bathkin_numerics::least_squares::Residuals;
use bathkin_statistics::censored::below_limit;
use bathkin_statistics::fit::Scale;
use bathkin_statistics::variance::estimate_errors;
use bathkin_statistics::{FitOptions, ResidualModel, fit};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;

use support::curve::Curve;
use support::random::normal;
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

/// Producer: `error_models_scipy.py`; its own convergence is 1e-7 or so.
#[test]
fn both_parts_of_an_error_are_those_of_scipy() {
    let (y, error) = (scipy("y"), scipy("error"));
    let observed: Vec<f64> = y.iter().zip(error).map(|(y, error)| y + error).collect();
    let found = estimate_errors(&observed, &y, &vec![0; y.len()], 0).expect("errors")[0].mixed;
    let expected = Csv::reference("error_models_scipy.csv");
    let row = expected.rows().find(|row| row.text("case") == "mixed").expect("a row");
    assert!((found.absolute / row.number("first") - 1.0).abs() < 1e-6, "{found:?}");
    assert!((found.relative / row.number("second") - 1.0).abs() < 1e-6, "{found:?}");
    assert!((found.ln_likelihood - row.number("objective")).abs() < 1e-9, "{found:?}");
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

#[test]
fn both_parts_of_an_error_are_recovered() {
    let (absolute, relative) = (0.5, 0.04);
    let value = |i: u32| 0.5 * 1.04_f64.powi(i32::try_from(i % 150).expect("small"));
    let calculated: Vec<f64> = (0..300).map(value).collect();
    let mut random = ChaCha8Rng::seed_from_u64(11);
    let sets = 200;
    // Mean and mean square of (found - truth)/(standard error) over many sets.
    let mut sums = [[0.0; 2]; 2];
    for _ in 0..sets {
        let sigma = |y: f64| (absolute * absolute + (relative * y).powi(2)).sqrt();
        let observed: Vec<f64> = calculated.iter().map(|y| y + sigma(*y) * normal(&mut random)).collect();
        let found = estimate_errors(&observed, &calculated, &[0; 300], 0).expect("errors");
        let [found] = found.as_slice() else { panic!("one group") };
        let errors = found.standard_errors.expect("standard errors");
        let off =
            [(found.mixed.absolute - absolute) / errors[0], (found.mixed.relative - relative) / errors[1]];
        for (sum, off) in sums.iter_mut().zip(off) {
            assert!(off.abs() < 4.5, "{found:?}");
            sum[0] += off / f64::from(sets);
            sum[1] += off * off / f64::from(sets);
        }
        assert!(!found.absolute_will_do && !found.relative_will_do);
    }
    // A mean of 200 has the error 0.07, its square 0.1; likelihood is a little low for few rows.
    for [mean, square] in sums {
        assert!(mean.abs() < 0.3 && (0.7..1.4).contains(&square), "{sums:?}");
    }
}

#[test]
fn pure_errors_are_seen_as_such_and_groups_are_apart() {
    let mut random = ChaCha8Rng::seed_from_u64(4);
    let calculated: Vec<f64> = (0..160).map(|i| 1.05_f64.powi(i % 80)).collect();
    let groups: Vec<usize> = (0..160).map(|i| if i < 80 { 7 } else { 2 }).collect();
    // Group 7 scatters by 0.2 everywhere, group 2 by 3 %.
    let error = |i: usize| if i < 80 { 0.2 } else { 0.03 * calculated[i] };
    let observed: Vec<f64> = (0..160).map(|i| calculated[i] + error(i) * normal(&mut random)).collect();
    let found = estimate_errors(&observed, &calculated, &groups, 0).expect("errors");
    let [of_2, of_7] = found.as_slice() else { panic!("two groups") };
    assert_eq!((of_2.group, of_7.group, of_2.rows), (2, 7, 80));
    assert!(of_7.absolute_will_do && !of_7.relative_will_do, "{of_7:?}");
    assert!(of_2.relative_will_do && !of_2.absolute_will_do, "{of_2:?}");
    // One sigma from 80 rows is known within 1/√160 = 8 %.
    assert!((of_7.pure_absolute.absolute / 0.2 - 1.0).abs() < 0.25);
    assert!((of_2.pure_relative.expect("one").relative / 0.03 - 1.0).abs() < 0.25);
    // The mixed model is never less likely than a pure one.
    for group in &found {
        let pure = group.pure_relative.expect("one").ln_likelihood.max(group.pure_absolute.ln_likelihood);
        assert!(group.mixed.ln_likelihood >= pure - 1e-9);
    }
}

#[test]
fn the_correction_for_parameters_is_that_of_a_line() {
    let x = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0];
    let y = [1.2, 1.9, 3.2, 3.7, 5.3, 5.8];
    let model = Curve::line(&x, &y);
    let line = fit(&model, &[0.0, 0.0], &FitOptions::default()).expect("a line");
    let calculated: Vec<f64> = x.iter().map(|x| model.at(line.values(), *x).0).collect();
    let found = estimate_errors(&y, &calculated, &[0; 6], 2).expect("errors");
    // s² = S/(n - p).
    let expected = line.variance.expect("s2").sqrt();
    assert!((found[0].pure_absolute.absolute / expected - 1.0).abs() < 1e-12);

    let refusal = |observed: &[f64], calculated: &[f64], parameters: usize| {
        let groups = vec![3; calculated.len()];
        estimate_errors(observed, calculated, &groups, parameters).unwrap_err().to_string()
    };
    assert_eq!(refusal(&y, &x[..5], 0), "observed has 6 rows and calculated has 5");
    assert_eq!(refusal(&y, &x, 6), "6 rows and 6 parameters leave nothing to see errors by");
    assert!(refusal(&y, &y, 2).starts_with("group 3: every row is met exactly"));
    assert!(refusal(&y[..2], &x[..2], 0).starts_with("group 3: fewer than three rows"));
    let with_zero = [0.0, 2.0, 3.0, 4.0];
    assert!(refusal(&[0.0, 2.1, 2.8, 4.1], &with_zero, 0).contains("as if a were zero"));
    // A zero that is missed is an absolute error.
    let found = estimate_errors(&[0.1, 2.1, 2.9, 4.1], &with_zero, &[0; 4], 0).expect("errors");
    assert!(found[0].pure_relative.is_none() && found[0].mixed.absolute > 0.0);
}
