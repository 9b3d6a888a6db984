//! Standard errors under a robust loss, and bands of errors that are not one.

use bathkin_numerics::least_squares::{LeastSquaresOptions, Loss};
use bathkin_statistics::Scale;
use bathkin_statistics::bands::band;
use bathkin_statistics::profile::profile_interval;
use bathkin_statistics::quantiles::two_sided;
use bathkin_statistics::{FitOptions, fit};

use support::assert_relative;
use support::curve::Curve;

// Invented: a line, and one reading twice as large as it should be.
const X: [f64; 11] = [1.0, 1.0, 2.0, 3.0, 3.0, 4.0, 5.0, 5.0, 6.0, 7.0, 8.0];
const Y: [f64; 11] = [2.1, 1.8, 3.2, 4.9, 5.3, 5.8, 7.6, 7.1, 8.9, 19.5, 11.3];
const SIGMA: f64 = 0.3;

fn line() -> Curve {
    Curve { sigma: vec![SIGMA; X.len()], ..Curve::line(&X, &Y) }
}

fn with(loss: Loss, loss_scale: f64, scale: Scale) -> FitOptions {
    let solver = LeastSquaresOptions { loss, loss_scale, ..LeastSquaresOptions::default() };
    FitOptions { solver, scale, ..FitOptions::default() }
}

/// Producer: statsmodels 0.15.0, `RLM(y, X, HuberT(t)).fit(start_scale=0.3, update_scale=False, cov="H1")`; by
/// least squares the errors are 1.725 and 0.370. 1e-6.
#[test]
fn huber_errors_are_those_of_statsmodels() {
    for (t, values, errors) in [
        (1.0, [0.618_965_52, 1.364_942_53], [0.226_623_02, 0.048_618_49]),
        (1.345, [0.621_391_09, 1.368_985_15], [0.230_613_09, 0.049_474_49]),
    ] {
        let found = fit(&line(), &[0.0, 1.0], &with(Loss::Huber, t, Scale::Estimated)).expect("a line");
        for place in 0..2 {
            assert_relative("value", found.values()[place], values[place], 1e-6);
            let error = found.parameters[place].standard_error.expect("one");
            assert_relative(format!("error of {place}"), error, errors[place], 1e-6);
        }
        // C takes clipped rows as spread evenly over the settings, the profile knows where they lie: 12 % here.
        let profile = profile_interval(&line(), &found, 1).expect("a profile");
        let [low, high] = found.parameters[1].interval.expect("an interval");
        let ends = [profile.lower.value().expect("an end"), profile.upper.value().expect("an end")];
        assert_relative("width", ends[1] - ends[0], high - low, 0.15);
    }
}

/// Beyond every residual the loss is the linear one, and so are the errors, whether the sigmas are believed or not.
#[test]
fn a_robust_loss_without_outliers_is_least_squares() {
    for scale in [Scale::Estimated, Scale::Known] {
        let plain = fit(&line(), &[0.0, 1.0], &with(Loss::Linear, 1.0, scale)).expect("a line");
        let wide = fit(&line(), &[0.0, 1.0], &with(Loss::Huber, 100.0, scale)).expect("a line");
        for (a, b) in plain.parameters.iter().zip(&wide.parameters) {
            let errors = (a.standard_error.expect("one"), b.standard_error.expect("one"));
            assert_relative("error", errors.1, errors.0, 1e-9);
        }
    }
}

/// By hand for a line of sigma 0.3: both bands, with the s that the residuals tell and with s = 1. The prediction
/// of one more value has its own variance, s² sigma².
#[test]
fn bands_of_a_line_have_the_square_of_sigma() {
    let n = X.len() as f64;
    let mean = X.iter().sum::<f64>() / n;
    let sxx: f64 = X.iter().map(|x| (x - mean).powi(2)).sum();
    for scale in [Scale::Estimated, Scale::Known] {
        let model = line();
        let found = fit(&model, &[0.0, 1.0], &with(Loss::Linear, 1.0, scale)).expect("a line");
        let squares: f64 = X.iter().zip(Y).map(|(x, y)| (model.at(found.values(), *x).0 - y).powi(2)).sum();
        let (s, quantile) = match scale {
            Scale::Estimated => ((squares / (n - 2.0)).sqrt(), two_sided(0.95, Some(9)).expect("t")),
            Scale::Known => (SIGMA, two_sided(0.95, None).expect("z")),
        };
        for x in [0.0, 4.0, 9.0] {
            let (value, gradient) = model.at(found.values(), x);
            let bands = band(&found, value, &gradient, SIGMA).expect("a band");
            let lever = 1.0 / n + (x - mean).powi(2) / sxx;
            assert_relative("mean", bands.confidence[1] - value, quantile * s * lever.sqrt(), 1e-10);
            let wide = quantile * s * (1.0 + lever).sqrt();
            assert_relative("one more", bands.prediction[1] - value, wide, 1e-10);
            // Of an instrument twice as coarse.
            let coarse = band(&found, value, &gradient, 2.0 * SIGMA).expect("a band");
            let wide = quantile * s * (4.0 + lever).sqrt();
            assert_relative("a coarse one", coarse.prediction[1] - value, wide, 1e-10);
        }
    }
}
