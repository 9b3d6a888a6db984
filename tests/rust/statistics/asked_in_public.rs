//! Fits asked about in public, with computed answers.

use bathkin_numerics::least_squares::Bounds;
use bathkin_statistics::combinations::{Coordinate, determined_combinations};
use bathkin_statistics::cross_validation::{Folds, cross_validate};
use bathkin_statistics::parameter::Determination;
use bathkin_statistics::ranking::{Candidate, Support, rank};
use bathkin_statistics::{FitOptions, fit};
use num_dual::{Dual64, DualNum};

use support::Csv;
use support::curve::Curve;

fn table(file: &str, x: &str, y: &str) -> (Vec<f64>, Vec<f64>) {
    let csv = Csv::reference(file);
    csv.rows().map(|row| (row.number(x), row.number(y))).unzip()
}

fn confounded(kf: Dual64, knn: Dual64, a: Dual64, t: f64) -> Dual64 {
    a * knn / (kf + knn - 0.4) * (Dual64::from((-0.4 * t).exp()) - (-(kf + knn) * t).exp())
}

/// Producer: head of `confounded_amplitude.csv`, where the digits are.
#[test]
fn of_a_confounded_amplitude_the_sum_and_the_product_are_told() {
    let (t, s) = table("confounded_amplitude.csv", "t", "S");
    let model = Curve::new(&["kf", "knn", "a"], &t, &s, |b, t| confounded(b[0], b[1], b[2], t));
    let found = fit(&model, &[1.0, 2.0, 2.0], &FitOptions::default()).expect("a fit");
    for parameter in &found.parameters {
        assert_eq!(parameter.determination, Determination::RankDeficient, "{}", parameter.name);
    }
    let together = determined_combinations(&found, &[]).expect("combinations");
    let texts: Vec<&str> = together.determined.iter().map(|one| one.text.as_str()).collect();
    assert_eq!((texts.as_slice(), together.unnamed), (["kf + knn", "knn * a"].as_slice(), 0));
    let [sum, product] = together.determined.as_slice() else { panic!("{together:?}") };
    assert!((sum.value - 3.17973).abs() < 1e-5 && (product.value - 4.35971).abs() < 1e-5, "{together:?}");

    // The errors are those of the same curve with the combinations as its parameters.
    let reduced = Curve::new(&["sum", "product"], &t, &s, |b, t| {
        b[1] / (b[0] - 0.4) * (Dual64::from((-0.4 * t).exp()) - (-b[0] * t).exp())
    });
    let reduced = fit(&reduced, &[3.0, 4.0], &FitOptions::default()).expect("a fit");
    for (one, parameter) in together.determined.iter().zip(&reduced.parameters) {
        let errors = one.standard_error.zip(parameter.standard_error).expect("errors");
        assert!((one.value / parameter.value - 1.0).abs() < 1e-8);
        assert!((errors.0 / errors.1 - 1.0).abs() < 1e-6);
    }

    // Moved by their logarithms the same is found.
    let by_logarithm =
        Curve::new(&["kf", "knn", "a"], &t, &s, |b, t| confounded(b[0].exp(), b[1].exp(), b[2].exp(), t));
    let found = fit(&by_logarithm, &[0.1, 0.7, 0.6], &FitOptions::default()).expect("a fit");
    let moved = determined_combinations(&found, &[Coordinate::Logarithmic; 3]).expect("combinations");
    for (a, b) in together.determined.iter().zip(&moved.determined) {
        assert_eq!(a.text, b.text);
        assert!((a.value / b.value - 1.0).abs() < 1e-7);
        let errors = a.standard_error.zip(b.standard_error).expect("errors");
        assert!((errors.0 / errors.1 - 1.0).abs() < 1e-5);
    }

    // With a known the rest is determined.
    let infinity = f64::INFINITY;
    let bounds = Bounds { lower: vec![-infinity, -infinity, 2.36], upper: vec![infinity, infinity, 2.36] };
    let options = FitOptions { bounds: Some(bounds), ..FitOptions::default() };
    let found = fit(&model, &[1.0, 2.0, 2.36], &options).expect("a fit");
    assert!((found.values()[0] - 1.3324).abs() < 5e-5 && (found.values()[1] - 1.84734).abs() < 5e-6);
    let none = determined_combinations(&found, &[]).expect("combinations");
    assert!(none.determined.is_empty() && none.unnamed == 0);
}

#[test]
fn ratios_differences_triples_and_what_has_no_name() {
    let x: Vec<f64> = (1..=12).map(f64::from).collect();
    let y: Vec<f64> = x.iter().map(|x| 2.0 + 0.5 * x + 0.01 * (9.0 * x).sin()).collect();
    let text = |function: fn(&[Dual64], f64) -> Dual64, start: &[f64]| {
        let names = ["p", "q", "r"];
        let model = Curve::new(&names[..start.len()], &x, &y, function);
        let found = fit(&model, start, &FitOptions::default()).expect("a fit");
        let all = determined_combinations(&found, &[]).expect("combinations");
        (all.determined.into_iter().map(|one| one.text).collect::<Vec<_>>().join(", "), all.unnamed)
    };
    assert_eq!(text(|b, x| b[0] / b[1] + 0.5 * x, &[3.0, 1.0]), ("p / q".to_owned(), 0));
    assert_eq!(text(|b, x| b[0] - b[1] + 0.5 * x, &[3.0, 0.7]), ("p - q".to_owned(), 0));
    assert_eq!(text(|b, x| b[0] - b[1] + b[2] + 0.5 * x, &[3.0, 0.7, 0.1]), ("p - q + r".to_owned(), 0));
    assert_eq!(text(|b, x| b[0] * b[1] / b[2] + 0.5 * x, &[3.0, 0.7, 0.6]), ("p * q / r".to_owned(), 0));
    assert_eq!(text(|b, x| b[0] * b[0] * b[1] + 0.5 * x, &[3.0, 0.7]), (String::new(), 1));
}

/// A public question: exp(a x + b) through (350, 48) and (380, 17). Producer: a = ln(17/48)/30, b = ln 48 -
/// 350 a.
#[test]
fn two_points_and_two_parameters_have_values_and_no_uncertainty() {
    let model = Curve::new(&["a", "b"], &[350.0, 380.0], &[48.0, 17.0], |b, x| (b[0] * x + b[1]).exp());
    let found = fit(&model, &[-0.01, 7.0], &FitOptions::default()).expect("a fit");
    assert!((found.values()[0] + 0.03459959).abs() < 1e-8, "{:?}", found.values());
    assert!((found.values()[1] - 15.98105712).abs() < 1e-8);
    assert_eq!((found.degrees_of_freedom, found.variance), (0, None));
    for parameter in &found.parameters {
        assert_eq!(parameter.determination.code(), "zero_degrees_of_freedom");
        assert!(parameter.standard_error.is_none() && parameter.interval.is_none());
    }
}

/// Producer: head of `first_order.csv`, where the digits are.
#[test]
fn a_rate_constant_with_the_initial_concentration_fixed_and_free() {
    let (t, c) = table("first_order.csv", "t", "C_A");
    let digits = |value: f64, expected: f64, unit: f64| {
        assert!((value - expected).abs() < 0.51 * unit, "{value}, expected {expected}");
    };
    let model = Curve::new(&["k", "c0"], &t, &c, |b, t| b[1] * (-b[0] * t).exp());
    let infinity = f64::INFINITY;
    let bounds = Bounds { lower: vec![-infinity, c[0]], upper: vec![infinity, c[0]] };
    let options = FitOptions { bounds: Some(bounds), ..FitOptions::default() };
    let held = fit(&model, &[1.0, c[0]], &options).expect("a fit");
    digits(held.values()[0], 2.588935, 1e-6);
    digits(held.parameters[0].standard_error.expect("an error"), 0.00731, 1e-5);
    let free = fit(&model, &[1.0, 1.0], &FitOptions::default()).expect("a fit");
    for (i, (value, error)) in [(2.587109, 0.00992), (2.007069, 0.00326)].into_iter().enumerate() {
        digits(free.values()[i], value, 1e-6);
        digits(free.parameters[i].standard_error.expect("an error"), error, 1e-5);
    }
}

/// Producer: head of `first_order_teaching.csv`.
#[test]
fn of_three_orders_the_ranking_picks_the_first() {
    let (t, c) = table("first_order_teaching.csv", "t_min", "A_mol_per_L");
    type Law = fn(&[Dual64], f64) -> Dual64;
    let orders: [(&str, Law, f64); 3] = [
        ("order 0", |b, t| b[1] - b[0] * t, 0.01),
        ("order 1", |b, t| b[1] * (-b[0] * t).exp(), 0.2),
        ("order 2", |b, t| b[1] / (b[0] * b[1] * t + 1.0), 3.0),
    ];
    let rows: Vec<(f64, f64)> = c.iter().map(|c| (*c, 1.0)).collect();
    let fits = orders.map(|(name, law, k)| {
        let model = Curve::new(&["k", "c0"], &t, &c, law);
        let found = fit(&model, &[k, 0.1], &FitOptions::default()).expect("a fit");
        let left_out = cross_validate(&model, &found, Folds::Each).expect("cross-validation");
        assert_eq!((left_out.failed, left_out.undetermined), (0, 0));
        (name, found, left_out.rms)
    });
    let candidates: Vec<Candidate<'_>> = fits
        .iter()
        .map(|(name, fit, rms)| Candidate { name, fit, rows: &rows, cross_validation_rms: Some(*rms) })
        .collect();
    let ranked = rank(&candidates).expect("a ranking");
    assert_eq!((ranked[0].name.as_str(), ranked[0].support), ("order 1", Support::Best));
    assert!(ranked[0].weight.expect("a weight") > 0.999);
    assert!(ranked[1..].iter().all(|other| other.support == Support::None), "{ranked:?}");
    let least = ranked[0].cross_validation_rms.expect("one");
    assert!(ranked[1..].iter().all(|other| other.cross_validation_rms.expect("one") > 100.0 * least));
    assert!((fits[1].1.values()[0] - 0.333333).abs() < 1e-6, "{:?}", fits[1].1.values());
}
