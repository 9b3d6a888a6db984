//! Bounded, robust and weighted fits against SciPy; values and their producer in `least_squares_scipy.csv`.

use bathkin_numerics::least_squares::{Bounds, LeastSquaresOptions, Loss};
use bathkin_statistics::Scale;
use bathkin_statistics::{FitOptions, fit};
use num_dual::DualNum;

use support::curve::Curve;
use support::{Csv, read, shared};

const FILE: &str = "least_squares_scipy.csv";

fn decay() -> Curve {
    let text = read(&shared().join("reference").join(FILE));
    let line = |key: &str| -> Vec<f64> {
        let line = text.lines().find_map(|line| line.strip_prefix(key)).expect("a line of data");
        line.split_whitespace().map(|word| word.parse().expect("a number")).collect()
    };
    let (t, y) = (line("# t ="), line("# y ="));
    Curve::new(&["a", "b", "c"], &t, &y, |p, t| p[0] * (-p[1] * t).exp() + p[2])
}

#[test]
fn bounded_and_robust_fits_end_where_scipy_ends() {
    let infinity = f64::INFINITY;
    for row in Csv::reference(FILE).rows().filter(|row| !row.text("case").starts_with("curve_fit")) {
        let loss = match row.text("loss") {
            "linear" => Loss::Linear,
            "soft_l1" => Loss::SoftL1,
            "huber" => Loss::Huber,
            "cauchy" => Loss::Cauchy,
            other => panic!("loss {other}"),
        };
        let bounds = Bounds {
            lower: vec![-infinity, row.number("lower_b"), -infinity],
            upper: vec![row.number("upper_a"), infinity, infinity],
        };
        let solver = LeastSquaresOptions { loss, loss_scale: 0.1, ..LeastSquaresOptions::default() };
        let options = FitOptions { bounds: Some(bounds), solver, ..FitOptions::default() };
        let place = format!("{} {}", row.text("case"), row.text("loss"));
        let found = fit(&decay(), &[2.0, 1.0, 0.5], &options).unwrap_or_else(|e| panic!("{place}: {e}"));
        // SciPy's own convergence: 1e-8 in parameters, to second order in the cost.
        let cost = found.minimum.cost / row.number("cost") - 1.0;
        assert!(cost.abs() < 1e-10, "{place}: cost off by {cost:e}");
        for (name, value) in ["a", "b", "c"].iter().zip(found.values()) {
            let off = value / row.number(name) - 1.0;
            assert!(off.abs() < 1e-6, "{place}: {name} = {value}, off by {off:e}");
        }
    }
}

#[test]
fn errors_and_correlation_are_those_of_curve_fit() {
    let mut model = decay();
    model.sigma = model.x.iter().map(|t| 0.05 * (1.0 + t / 4.0)).collect();
    for row in Csv::reference(FILE).rows().filter(|row| row.text("case").starts_with("curve_fit")) {
        let known = row.text("case") == "curve_fit_absolute";
        let scale = if known { Scale::Known } else { Scale::Estimated };
        let found =
            fit(&model, &[2.0, 1.0, 0.5], &FitOptions { scale, ..FitOptions::default() }).expect("a fit");
        for (i, name) in ["a", "b", "c"].into_iter().enumerate() {
            let parameter = &found.parameters[i];
            let error = parameter.standard_error.expect("a standard error");
            assert!((parameter.value / row.number(name) - 1.0).abs() < 1e-7, "{name}");
            assert!((error / row.number(&format!("se_{name}")) - 1.0).abs() < 1e-6, "{name}");
        }
        let correlation = found.correlation(0, 1).expect("a correlation");
        assert!((correlation - row.number("correlation_a_b")).abs() < 1e-6);
    }
}
