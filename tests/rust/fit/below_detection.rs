//! Values of runs and logs that are only known to be below a limit of detection.

use bathkin_fit::data::ErrorModel;
use bathkin_fit::{Data, FitSpecification, RecipeFit, RecipeFitOptions, Sheet, fit_recipe};
use bathkin_statistics::Scale;
use std::f64::consts::PI;

use support::fits::{RATE, asked, close, has, sheet, week};
use support::recipes::power_law;

/// Φ(z) by its series, for |z| < 5.
fn normal_part(z: f64) -> f64 {
    let (mut term, mut sum) = (z, z);
    for k in 1..200 {
        term *= z * z / f64::from(2 * k + 1);
        sum += term;
    }
    0.5 + sum * density(z)
}

fn density(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * PI).sqrt()
}

const READ: [f64; 3] = [1.02, 1.20, 0.95];
const LIMIT: f64 = 0.9;

/// Rates of one bath, of which two were below a limit.
fn rates() -> Sheet {
    let read = READ.map(Some).into_iter();
    sheet(
        "runs.csv",
        vec![
            ("deposition_um_h", read.chain([None, None]).collect()),
            ("below_deposition_um_h", vec![None, None, None, Some(LIMIT), Some(LIMIT)]),
        ],
    )
}

fn fitted(errors: ErrorModel, scale: Scale) -> RecipeFit {
    let specification = FitSpecification { errors: Some(errors), ..asked(&[RATE]) };
    let options = RecipeFitOptions { specification, scale, ..RecipeFitOptions::default() };
    fit_recipe(&power_law(), &[Data::Runs(rates())], &options).expect("a fit")
}

/// The most likely mean of values with two below a limit, by bisection of the slope of ln L.
fn most_likely(read: [f64; 3], limit: f64, sigma: f64) -> f64 {
    let slope = |mean: f64| {
        let z = (limit - mean) / sigma;
        read.iter().map(|value| (value - mean) / sigma).sum::<f64>() - 2.0 * density(z) / normal_part(z)
    };
    let (mut low, mut high) = (limit - 3.0 * sigma, limit + 3.0 * sigma);
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if slope(middle) > 0.0 { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// Producer: the maximum of Tobit's likelihood by bisection; 1e-7.
#[test]
fn a_mean_with_values_below_a_limit_is_tobits() {
    let absolute = fitted(ErrorModel::Absolute { sigma: 0.15 }, Scale::Known);
    close(absolute.calculated[0], most_likely(READ, LIMIT, 0.15), 1e-7, "absolute");
    let relative = fitted(ErrorModel::Relative { sigma: 0.15 }, Scale::Known);
    let by_logarithm = most_likely(READ.map(f64::ln), LIMIT.ln(), 0.15);
    close(relative.calculated[0], by_logarithm.exp(), 1e-7, "relative");
    has(&relative, "below-detection", "row 4, 5: deposition_um_h counts as below");
    assert_eq!(relative.model.below().collect::<Vec<_>>(), [false, false, false, true, true]);
    assert!(relative.criteria().is_some());
}

/// Producer: by hand, s² = Σ (ln(y/f))²/(Σ(1 - h) + Σ z φ(z)/Φ(z)), the sums over values read and limits, and f
/// most likely with that s; 1e-4.
#[test]
fn values_below_a_limit_tell_the_size_of_errors_too() {
    let found = fitted(ErrorModel::Relative { sigma: 1.0 }, Scale::Estimated);
    let size = found.model.columns()[0].size;
    let middle = found.calculated[0].ln();
    let squares: f64 = READ.iter().map(|read| (read.ln() - middle).powi(2)).sum();
    let spare: f64 = found.influence()[..3].iter().map(|row| 1.0 - row.leverage).sum();
    let z = (LIMIT.ln() - middle) / size;
    close(size * size, squares / (spare + 2.0 * z * density(z) / normal_part(z)), 1e-4, "size");
    assert!((middle - most_likely(READ.map(f64::ln), LIMIT.ln(), size)).abs() < 1e-4 * size, "{middle}");
    assert_eq!(found.fit.degrees_of_freedom, 2);
    // Three replicates were read, and two more were not.
    assert!(found.lack_of_fit.is_none() && found.criteria().is_none());
}

#[test]
fn a_log_takes_limits_too() {
    let full = week(&power_law(), "week.csv", 13, 1.0, 3);
    let mut cut = full.clone();
    let nickel = cut.columns.iter_mut().find(|(name, _)| name == "nickel_g_l").expect("a column");
    let read = nickel.1[5].take().expect("a reading");
    let mut limits = vec![None; 13];
    limits[5] = Some(1.5 * read);
    cut.columns.push(("below_nickel_g_l".to_owned(), limits));
    let mut dropped = cut.clone();
    dropped.columns.pop();
    let options = RecipeFitOptions {
        specification: asked(&[RATE]),
        scale: Scale::Known,
        ..RecipeFitOptions::default()
    };
    let fitted = |log: &Sheet| fit_recipe(&power_law(), &[Data::Log(log.clone())], &options).expect("a fit");
    let (limited, without) = (fitted(&cut), fitted(&dropped));
    has(&limited, "below-detection", "row 6: nickel_g_l");
    assert_eq!(limited.calculated.len(), without.calculated.len() + 1);
    // A limit far above what is calculated says nothing.
    for (a, b) in limited.estimates.iter().zip(&without.estimates) {
        close(a.value, b.value, 1e-6, &a.path);
    }
}

#[test]
fn limits_without_sense_are_refused() {
    let refused = |data: Data| {
        let options = RecipeFitOptions { specification: asked(&[RATE]), ..RecipeFitOptions::default() };
        fit_recipe(&power_law(), &[data], &options).unwrap_err().to_string()
    };
    let mut both = rates();
    both.columns[1].1[0] = Some(0.9);
    let error = refused(Data::Runs(both));
    assert!(error.contains("row 1, below_deposition_um_h = 0.9: expected nothing"), "{error}");
    let mut negative = rates();
    negative.columns[1].1[3] = Some(-1.0);
    assert!(refused(Data::Runs(negative)).contains("row 4, below_deposition_um_h = -1"));
    let log = sheet("log.csv", vec![("time_h", vec![Some(0.0)]), ("below_nickel_g_l", vec![Some(1.0)])]);
    let error = refused(Data::Log(log));
    assert!(error.contains("the limit of no reading: there is no column nickel_g_l"), "{error}");
}
