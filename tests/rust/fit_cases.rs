//! Fits asked about in public, with computed answers.

use acceptance::Csv;
use bathkin_fit::combinations::{Coordinate, determined_combinations};
use bathkin_fit::fit::Determination;
use bathkin_fit::{FitOptions, fit};
use bathkin_numerics::least_squares::Bounds;
use num_dual::{Dual64, DualNum};

use crate::curve::Curve;

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
