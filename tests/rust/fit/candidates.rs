//! Models of the same data side by side, what is determined together, and fits continued with more data.

use bathkin::document::Value;
use bathkin_fit::data::ErrorModel;
use bathkin_fit::predict::{CandidateModel, compare};
use bathkin_fit::{Data, FitSpecification, RecipeFitOptions, fit_recipe};
use bathkin_statistics::Scale;
use bathkin_statistics::cross_validation::Folds;
use bathkin_statistics::ranking::Support;

use support::fits::{ENERGY, PH_ORDER, RATE, asked, close, has, runs, week};
use support::recipes::power_law;

// Invented: rates of a bath, um/h, with scatter, farther apart than 65 kJ/mol.
const CELSIUS: [f64; 6] = [76.0, 80.0, 84.0, 88.0, 90.0, 92.0];
const RATES: [f64; 6] = [6.9, 9.6, 13.9, 18.3, 21.9, 25.3];

fn rates() -> Data {
    runs(&[("temperature_c", &CELSIUS), ("deposition_um_h", &RATES)])
}

fn candidate(name: &str, free: &[&str]) -> CandidateModel {
    let options = RecipeFitOptions { specification: asked(free), ..RecipeFitOptions::default() };
    CandidateModel { name: name.to_owned(), recipe: power_law(), options }
}

/// x = -(1/T - 1/Tref)/R, y = ln rate.
fn line() -> Vec<(f64, f64)> {
    let x = |celsius: f64| -(1.0 / (celsius + 273.15) - 1.0 / 361.15) / 8.314_462_618_153_24e-3;
    CELSIUS.iter().zip(RATES).map(|(celsius, rate)| (x(*celsius), rate.ln())).collect()
}

/// (slope, sum of squares, sum of squares of r/(1-h)) of a straight line; with `slope` given, of its intercept.
fn straight(slope: Option<f64>) -> (f64, f64, f64) {
    let line = line();
    let count = line.len() as f64;
    let mean = |of: &dyn Fn(&(f64, f64)) -> f64| line.iter().map(of).sum::<f64>() / count;
    let (x, y) = (mean(&|p| p.0), mean(&|p| p.1));
    let sxx: f64 = line.iter().map(|p| (p.0 - x).powi(2)).sum();
    let sxy: f64 = line.iter().map(|p| (p.0 - x) * (p.1 - y)).sum();
    let b = slope.unwrap_or(sxy / sxx);
    let residual = |p: &(f64, f64)| p.1 - y - b * (p.0 - x);
    let leverage = |p: &(f64, f64)| 1.0 / count + if slope.is_none() { (p.0 - x).powi(2) / sxx } else { 0.0 };
    let squares = line.iter().map(|p| residual(p).powi(2)).sum();
    let left_out = line.iter().map(|p| (residual(p) / (1.0 - leverage(p))).powi(2)).sum();
    (b, squares, left_out)
}

/// Producer: straight lines by hand, AICc = n ln(S/n) + 2k + 2k(k+1)/(n-k-1), and r/(1-h) of a row left out;
/// 1e-5.
#[test]
fn candidates_are_ranked_by_the_lines_they_are() {
    let candidates = [
        candidate("rate alone", &[RATE]),
        candidate("with energy", &[RATE, ENERGY]),
        candidate("with a misspelt energy", &[RATE, "deposition.activation_energy_kj"]),
    ];
    let found = compare(&candidates, &[rates()], Some(Folds::Each)).expect("a comparison");
    let criterion =
        |squares: f64, k: f64| 6.0 * (squares / 6.0).ln() + 2.0 * k + 2.0 * k * (k + 1.0) / (5.0 - k);
    let (_, free, free_left_out) = straight(None);
    let (_, held, held_left_out) = straight(Some(65.0));
    let expected = [("with energy", free, free_left_out, 3.0), ("rate alone", held, held_left_out, 2.0)];
    assert_eq!(found.ranked.len(), 2);
    for (line, (name, squares, left_out, k)) in found.ranked.iter().zip(expected) {
        assert_eq!(line.name, name);
        close(line.aicc.unwrap(), criterion(squares, k), 1e-5, "AICc");
        close(line.chi_squared, squares, 1e-5, "S");
        close(line.cross_validation_rms.unwrap(), (left_out / 6.0).sqrt(), 1e-5, "left out");
    }
    let delta = criterion(held, 2.0) - criterion(free, 3.0);
    close(found.ranked[0].weight.unwrap(), 1.0 / (1.0 + (-0.5 * delta).exp()), 1e-5, "weight");
    assert_eq!(found.ranked[0].support, Support::Best);
    assert_eq!(found.remarks[0].code, "best");
    assert_eq!(found.refused[0].0, "with a misspelt energy");
    assert!(found.refused[0].1.text.contains(ENERGY), "{}", found.refused[0].1.text);
    assert_eq!(found.fits.len(), 2);
}

#[test]
fn models_that_the_data_cannot_tell_apart_are_said_to_be_so() {
    // All at one pH, and not that of reference: the order cannot be told from the rate.
    let one_ph = runs(&[
        ("ph", &[4.6; 6]),
        ("temperature_c", &CELSIUS),
        ("deposition_um_h", &RATES.map(|rate| 0.85 * rate)),
    ]);
    let candidates =
        [candidate("two numbers", &[RATE, ENERGY]), candidate("and an order", &[RATE, ENERGY, PH_ORDER])];
    let found = compare(&candidates, &[one_ph], None).expect("a comparison");
    assert!(found.ranked.iter().all(|line| line.support == Support::CannotBeToldApart));
    assert_eq!(found.remarks[0].code, "cannot-be-told-apart");
    let mut absolute = candidate("absolute", &[RATE, ENERGY]);
    absolute.options.specification.errors = Some(ErrorModel::Absolute { sigma: 1.0 });
    let mut known = candidate("known", &[RATE, ENERGY]);
    known.options.scale = Scale::Known;
    let candidates = [candidate("relative", &[RATE, ENERGY]), absolute, known];
    let found = compare(&candidates, &[rates()], None).expect("a comparison");
    assert_eq!(found.ranked.len(), 1);
    assert!(found.refused[0].1.text.contains("error models") && found.refused[1].1.text.contains("sigmas"));
    let error = compare(&[candidate("none", &[])], &[rates()], None).unwrap_err().to_string();
    assert!(error.contains("none: ") && error.contains("nothing is free"), "{error}");
}

#[test]
fn candidates_of_a_log_share_the_sizes_of_errors() {
    let log = Data::Log(week(&power_law(), "week.csv", 13, 1.0, 5));
    let candidates = [candidate("rate", &[RATE]), candidate("with energy", &[RATE, ENERGY])];
    let found = compare(&candidates, &[log], None).expect("a comparison");
    assert_eq!((found.ranked.len(), found.refused.len()), (2, 0));
    // Nested: the larger one cannot have the larger sum of squares under the same sigmas.
    let squares =
        |name: &str| found.ranked.iter().find(|line| line.name == name).expect("a line").chi_squared;
    assert!(squares("with energy") <= squares("rate") * (1.0 + 1e-9));
    // The truth is the recipe's own energy: neither is ruled out.
    assert!(found.ranked.iter().all(|line| line.delta.unwrap() < 10.0), "{:?}", found.ranked);
}

/// Five rates (invented): AICc punishes the third number hard, and what is left out is predicted better with it.
#[test]
fn where_cross_validation_disagrees_it_is_said() {
    let data = runs(&[
        ("temperature_c", &[75.0, 80.0, 85.0, 90.0, 95.0]),
        ("deposition_um_h", &[8.1, 11.3, 14.6, 19.9, 25.2]),
    ]);
    let candidates = [candidate("rate", &[RATE]), candidate("rate and energy", &[RATE, ENERGY])];
    let found = compare(&candidates, &[data], Some(Folds::Each)).expect("a comparison");
    assert_eq!(found.ranked[0].name, "rate");
    let said = found.remarks.iter().find(|remark| remark.code == "predicts-better");
    let text = &said.expect("a remark").text;
    assert!(text.contains("rate and energy predicts what is left out better than rate"), "{text}");
}

/// Producer: rates in proportion to rate/reference, so that only the ratio exists; se of its logarithm 0.02/√3.
#[test]
fn what_is_determined_together_is_said() {
    let reference = "deposition.reference_mol_l.nickel";
    let first_order = power_law().with("deposition.order.nickel", Value::Number(1.0), "test");
    let data = runs(&[("temperature_c", &[84.0, 88.0, 90.0]), ("deposition_um_h", &[14.0, 18.4, 20.3])]);
    let specification =
        FitSpecification { errors: Some(ErrorModel::Relative { sigma: 0.02 }), ..asked(&[RATE, reference]) };
    let options = RecipeFitOptions { specification, scale: Scale::Known, ..RecipeFitOptions::default() };
    let found = fit_recipe(&first_order, &[data], &options).expect("a fit");
    let ratio = found.estimates[0].value / found.estimates[1].value;
    let error = ratio * 0.02 / 3_f64.sqrt();
    let words = format!("of these only {RATE} / {reference} = {ratio:.6} +- {error:.1e} is determined");
    has(&found, "undetermined", &words);
}

/// Producer: the fit to all of the data at once; 1e-6.
#[test]
fn a_fit_continued_is_the_fit_to_all() {
    let part = |from: usize, to: usize| {
        runs(&[("temperature_c", &CELSIUS[from..to]), ("deposition_um_h", &RATES[from..to])])
    };
    let options = RecipeFitOptions {
        specification: asked(&[RATE, ENERGY]),
        bounds: vec![(ENERGY.to_owned(), 40.0, 120.0)],
        ..RecipeFitOptions::default()
    };
    let first = fit_recipe(&power_law(), &[part(0, 3)], &options).expect("a fit");
    let more = first.updated(&[part(3, 6)]).expect("a fit");
    let all = fit_recipe(&power_law(), &[rates()], &options).expect("a fit");
    for (a, b) in more.estimates.iter().zip(&all.estimates) {
        close(a.value, b.value, 1e-6, &a.path);
        close(a.standard_error.unwrap(), b.standard_error.unwrap(), 1e-5, &a.path);
        assert_eq!(a.start, b.start);
    }
    assert_eq!((more.data.len(), more.calculated.len()), (2, 6));
}
