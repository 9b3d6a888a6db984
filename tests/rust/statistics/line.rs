//! Statistics of fits against closed forms of the straight line, and what undetermined parameters are told.

use bathkin_numerics::least_squares::Bounds;
use bathkin_statistics::Scale;
use bathkin_statistics::bands::band;
use bathkin_statistics::bootstrap::{BootstrapOptions, Resampling, bootstrap};
use bathkin_statistics::criteria::criteria;
use bathkin_statistics::influence::influence;
use bathkin_statistics::lack_of_fit::lack_of_fit;
use bathkin_statistics::multi_start::{StartRange, multi_start};
use bathkin_statistics::parameter::Determination;
use bathkin_statistics::profile::{ProfileEnd, profile_interval};
use bathkin_statistics::quantiles::two_sided;
use bathkin_statistics::{Fit, FitError, FitOptions, fit};
use num_dual::DualNum;
use rayon::ThreadPoolBuilder;

use support::curve::Curve;

// Invented: a line with scatter, three pairs of replicates.
const X: [f64; 8] = [1.0, 1.0, 2.0, 3.0, 3.0, 4.0, 5.0, 5.0];
const Y: [f64; 8] = [2.1, 1.8, 3.2, 4.9, 5.3, 5.8, 7.6, 7.1];

fn line() -> (Curve, Fit) {
    let model = Curve::line(&X, &Y);
    let fit = fit(&model, &[0.0, 0.0], &FitOptions::default()).expect("a line");
    (model, fit)
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Sum of squares of x about its mean.
fn sxx() -> f64 {
    X.iter().map(|x| (x - mean(&X)).powi(2)).sum()
}

#[test]
fn a_line_has_its_textbook_errors_bands_leverages_and_criteria() {
    let (model, fit) = line();
    let n = X.len() as f64;
    let sxy: f64 = X.iter().zip(Y).map(|(x, y)| (x - mean(&X)) * (y - mean(&Y))).sum();
    let slope = sxy / sxx();
    let intercept = mean(&Y) - slope * mean(&X);
    let squares: f64 = X.iter().zip(Y).map(|(x, y)| (intercept + slope * x - y).powi(2)).sum();
    let s = (squares / (n - 2.0)).sqrt();
    let t = two_sided(0.95, Some(6)).expect("t");
    assert!((fit.values()[1] / slope - 1.0).abs() < 1e-12);
    let error = fit.parameters[1].standard_error.expect("an error");
    assert!((error / (s / sxx().sqrt()) - 1.0).abs() < 1e-12);
    let [low, high] = fit.parameters[1].interval.expect("an interval");
    assert!((high - low - 2.0 * t * error).abs() < 1e-12);
    // Correlation of intercept and slope: -mean/√(mean of squares).
    let of_squares = mean(&X.map(|x| x * x)).sqrt();
    assert!((fit.correlation(0, 1).expect("one") + mean(&X) / of_squares).abs() < 1e-12);

    for x in [0.0, 3.0, 7.5] {
        let (value, gradient) = model.at(fit.values(), x);
        let found = band(&fit, value, &gradient, 1.0).expect("a band");
        let lever = 1.0 / n + (x - mean(&X)).powi(2) / sxx();
        assert!((found.confidence[1] - value - t * s * lever.sqrt()).abs() < 1e-11);
        assert!((found.prediction[1] - value - t * s * (1.0 + lever).sqrt()).abs() < 1e-11);
    }
    let found = criteria(&fit);
    let deviance = n * (squares / n).ln();
    assert!((found.aicc.expect("AICc") - (deviance + 6.0 + 24.0 / (n - 4.0))).abs() < 1e-10);
    assert!((found.bic.expect("BIC") - (deviance + 3.0 * n.ln())).abs() < 1e-10);

    // Cook's distance is what leaving the row out does to all fitted values.
    for (row, found) in influence(&fit).iter().enumerate() {
        let lever = 1.0 / n + (X[row] - mean(&X)).powi(2) / sxx();
        assert!((found.leverage - lever).abs() < 1e-12);
        let without = |all: &[f64]| -> Vec<f64> {
            all.iter().enumerate().filter(|(i, _)| *i != row).map(|(_, value)| *value).collect()
        };
        let left = Curve::line(&without(&X), &without(&Y));
        let left = bathkin_statistics::fit(&left, &[0.0, 0.0], &FitOptions::default()).expect("a line");
        let moved: f64 =
            X.iter().map(|x| (model.at(fit.values(), *x).0 - model.at(left.values(), *x).0).powi(2)).sum();
        assert!((found.cooks_distance.expect("one") - moved / (2.0 * s * s)).abs() < 1e-10);
    }
}

#[test]
fn lack_of_fit_is_tested_against_replicates() {
    // Pairs at four places, means off the line; F(2, 4) has the tail (1 + F/2)⁻².
    let x = [1.0, 1.0, 2.0, 2.0, 3.0, 3.0, 4.0, 4.0];
    let y = [1.0, 1.2, 3.9, 4.1, 9.2, 8.8, 16.1, 15.9];
    let fit = fit(&Curve::line(&x, &y), &[0.0, 0.0], &FitOptions::default()).expect("a line");
    let found = lack_of_fit(&fit, &[0, 0, 1, 1, 2, 2, 3, 3]).expect("a test");
    let pure = 0.02 + 0.02 + 0.08 + 0.02;
    assert!((found.pure_error_sum_of_squares - pure).abs() < 1e-12);
    assert_eq!((found.lack_degrees_of_freedom, found.pure_error_degrees_of_freedom), (2, 4));
    let ratio = (fit.sum_of_squares() - pure) / 2.0 / (pure / 4.0);
    assert!((found.f_ratio / ratio - 1.0).abs() < 1e-12);
    assert!((found.p_value / (1.0 + ratio / 2.0).powi(-2) - 1.0).abs() < 1e-9);
    assert!(lack_of_fit(&fit, &[0, 1, 2, 3, 4, 5, 6, 7]).is_err(), "no replicates");
    assert!(lack_of_fit(&fit, &[0, 0, 0, 0, 1, 1, 1, 1]).is_err(), "no more groups than parameters");
}

#[test]
fn the_profile_of_a_line_is_its_interval() {
    let model = Curve::line(&X, &Y);
    for scale in [Scale::Estimated, Scale::Known] {
        let options = FitOptions { scale, ..FitOptions::default() };
        let fit = fit(&model, &[0.0, 0.0], &options).expect("a line");
        for index in 0..2 {
            let found = profile_interval(&model, &fit, index).expect("a profile");
            let [low, high] = fit.parameters[index].interval.expect("an interval");
            let width = high - low;
            assert!((found.lower.value().expect("an end") - low).abs() < 1e-8 * width, "{found:?}");
            assert!((found.upper.value().expect("an end") - high).abs() < 1e-8 * width, "{found:?}");
        }
    }
}

#[test]
fn a_profile_is_lopsided_open_or_ends_at_a_bound_where_the_data_say_so() {
    // A rise that is over before the second reading: how fast, nobody knows.
    let x = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0];
    let y = [0.0, 0.985, 1.01, 0.99, 1.02, 0.995];
    let model = Curve::new(&["height", "rate"], &x, &y, |b, x| b[0] * (-(-b[1] * x).exp() + 1.0));
    let found = fit(&model, &[1.0, 2.0], &FitOptions::default()).expect("a fit");
    let open = profile_interval(&model, &found, 1).expect("a profile");
    assert!(matches!(open.lower, ProfileEnd::Found { .. }), "{open:?}");
    assert!(matches!(open.upper, ProfileEnd::Open { .. }), "{open:?}");
    let bounds = Bounds { lower: vec![0.0, 0.0], upper: vec![2.0, 50.0] };
    let options = FitOptions { bounds: Some(bounds), ..FitOptions::default() };
    let found = fit(&model, &[1.0, 2.0], &options).expect("a fit");
    let bounded = profile_interval(&model, &found, 1).expect("a profile");
    assert_eq!(bounded.upper, ProfileEnd::Bound { at: 50.0 });

    // The ends have the sum of squares they should: S_min (1 + t²/ν).
    let height = profile_interval(&model, &found, 0).expect("a profile");
    let at = height.upper.value().expect("an end");
    let held = Bounds { lower: vec![at, 0.0], upper: vec![at, 50.0] };
    let options = FitOptions { bounds: Some(held), ..FitOptions::default() };
    let held = fit(&model, &[at, 5.0], &options).expect("a fit");
    let t = two_sided(0.95, Some(4)).expect("t");
    let expected = found.sum_of_squares() * (1.0 + t * t / 4.0);
    assert!((held.sum_of_squares() / expected - 1.0).abs() < 1e-6);
}

#[test]
fn what_the_data_cannot_tell_is_said_by_name() {
    let x: Vec<f64> = (0..10).map(f64::from).collect();
    let scatter = [0.02, -0.01, 0.03, -0.02, 0.01, -0.03, 0.02, 0.0, -0.01, 0.01];
    let y: Vec<f64> = x.iter().zip(scatter).map(|(x, e)| 6.0 * (-0.4 * x).exp() + e).collect();
    let model = Curve::new(&["area", "activity", "decay", "idle", "floor"], &x, &y, |b, x| {
        b[0] * b[1] * (-b[2] * x).exp() + b[3] * 0.0 + b[4]
    });
    let bounds = Bounds { lower: vec![-1e9, -1e9, -1e9, -1e9, 0.01], upper: vec![1e9, 1e9, 1e9, 1e9, 1e9] };
    let options = FitOptions { bounds: Some(bounds), ..FitOptions::default() };
    let found = fit(&model, &[2.0, 1.5, 0.5, 7.0, 0.5], &options).expect("a fit");
    let codes: Vec<&str> = found.parameters.iter().map(|p| p.determination.code()).collect();
    assert_eq!(codes, ["rank_deficient", "rank_deficient", "ok", "no_influence", "at_bound"]);
    assert_eq!(found.values()[3], 7.0);
    // Only the product is determined: area up and activity down in proportion.
    let [combination] = found.undetermined.as_slice() else { panic!("{:?}", found.undetermined) };
    let [(first, up), (second, down)] = combination.change.as_slice() else { panic!("{combination:?}") };
    assert_eq!((first.as_str(), second.as_str()), ("area", "activity"));
    assert!((up / down + found.values()[0] / found.values()[1]).abs() < 1e-6);
    // What is determined has the error it has with the rest held.
    let reduced = Curve::new(&["product", "decay"], &x, &y, |b, x| b[0] * (-b[1] * x).exp() + 0.01);
    let reduced = fit(&reduced, &[3.0, 0.5], &FitOptions::default()).expect("a fit");
    let errors = [found.parameters[2].standard_error, reduced.parameters[1].standard_error];
    let [Some(a), Some(b)] = errors else { panic!("{errors:?}") };
    assert!((a / b - 1.0).abs() < 1e-6);
    // A band of the curve exists, one of the area alone does not.
    let (value, gradient) = model.at(found.values(), 2.5);
    assert!(band(&found, value, &gradient, 1.0).is_ok());
    let error = band(&found, found.values()[0], &[1.0, 0.0, 0.0, 0.0, 0.0], 1.0).unwrap_err();
    let names = ["area", "activity"].map(str::to_owned).to_vec();
    assert_eq!(error, FitError::Depends { names, determination: Determination::RankDeficient });

    let two = Curve::line(&[1.0, 2.0], &[1.0, 3.0]);
    let two = fit(&two, &[0.0, 0.0], &FitOptions::default()).expect("a fit");
    assert!(two.parameters.iter().all(|p| p.determination == Determination::ZeroDegreesOfFreedom));
    assert!(two.parameters.iter().all(|p| p.standard_error.is_none() && p.interval.is_none()));
    // One row for two parameters.
    let one = Curve::line(&[2.0], &[3.0]);
    let one = fit(&one, &[0.0, 0.0], &FitOptions::default()).expect("a fit");
    assert!(one.parameters.iter().all(|p| p.determination == Determination::RankDeficient));
}

#[test]
fn a_bootstrap_does_not_depend_on_threads_and_agrees_with_the_errors() {
    let (model, fit) = line();
    for resampling in [Resampling::Residuals, Resampling::Cases] {
        let options = BootstrapOptions { replicates: 2000, seed: 7, resampling };
        let with = |threads: usize| {
            let pool = ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
            pool.install(|| bootstrap(&model, &fit, &options)).expect("a bootstrap")
        };
        let found = with(1);
        assert_eq!(found, with(2));
        assert_eq!(found.failed, 0);
        for (parameter, error) in fit.parameters.iter().zip(&found.standard_errors) {
            // Residual: the linear error but for sampling noise (2 %) and the finite set of residuals;
            // cases: a different estimate from eight rows.
            let within = if resampling == Resampling::Residuals { 0.1 } else { 0.6 };
            let ratio = error / parameter.standard_error.expect("an error");
            assert!((ratio - 1.0).abs() < within, "{resampling:?} {}: {ratio}", parameter.name);
        }
        let other = BootstrapOptions { seed: 8, ..options };
        assert_ne!(bootstrap(&model, &fit, &other).expect("a bootstrap").draws, found.draws);
    }
}

#[test]
fn many_starts_find_the_lowest_of_several_minima_whatever_the_threads() {
    let x: Vec<f64> = (0..25).map(|i| 0.4 * f64::from(i)).collect();
    let y: Vec<f64> = x.iter().map(|x| 2.0 * (1.3 * x).sin() + 0.1 * (7.0 * x).cos()).collect();
    let model = Curve::new(&["height", "frequency"], &x, &y, |b, x| b[0] * (b[1] * x).sin());
    let ranges = [
        StartRange { lower: 0.5, upper: 4.0, logarithmic: true },
        StartRange { lower: 0.1, upper: 4.0, logarithmic: false },
    ];
    let with = |threads: usize| {
        let pool = ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
        pool.install(|| multi_start(&model, &ranges, 20, 3, &FitOptions::default())).expect("fits")
    };
    let (one, two) = (with(1), with(2));
    assert_eq!(one.minima, two.minima);
    assert_eq!(one.best.values(), two.best.values());
    assert!(one.minima.len() > 1, "{:?}", one.minima);
    assert_eq!(one.minima.iter().map(|minimum| minimum.hits).sum::<usize>() + one.failed, 20);
    assert!((one.best.values()[1] - 1.3).abs() < 0.01);
}
