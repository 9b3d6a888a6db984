//! Bounds from which something is said of any fit, from both sides of each.

use bathkin_statistics::Scale;
use bathkin_statistics::profile::{ProfileEnd, profile_interval};
use bathkin_statistics::ranking::{Candidate, Support, rank};
use bathkin_statistics::{FitOptions, fit};

use support::assert_relative;
use support::curve::Curve;

/// Two models of one number each, whose sums of squares differ by 1.99 and by 2.01: AICc differ by as much.
#[test]
fn models_are_told_apart_from_two_units_of_aicc_on() {
    let known = FitOptions { scale: Scale::Known, ..FitOptions::default() };
    for (delta, apart) in [(1.99_f64, false), (2.01, true)] {
        let h = (delta / 6.0).sqrt();
        let (x, y) = ([h, -h, h, -h, h, -h], [0.0; 6]);
        let mean = Curve::new(&["b"], &x, &y, |b, _| b[0]);
        let off = Curve::new(&["b"], &x, &y, |b, x| b[0] + x);
        let fits = [fit(&mean, &[0.1], &known), fit(&off, &[0.1], &known)].map(|fit| fit.expect("a mean"));
        let rows = [(0.0, 1.0); 6];
        let candidate = |name, fit| Candidate { name, fit, rows: &rows, cross_validation_rms: None };
        let ranked = rank(&[candidate("mean", &fits[0]), candidate("off", &fits[1])]).expect("a ranking");
        assert_relative("delta", ranked[1].delta.expect("one"), delta, 1e-9);
        let alike = ranked.iter().all(|line| line.support == Support::CannotBeToldApart);
        assert_eq!(alike, !apart, "{ranked:?}");
    }
}

/// r = (2 (b² - 1), 0.3 (b - 1)): minima near b = -1, S = 0.36, and at b = 1, S = 0, with less than 1.96² between.
#[test]
fn a_profile_that_finds_a_lower_minimum_says_so() {
    let model = Curve::new(&["b"], &[0.0, 1.0], &[0.0, 0.0], |b, x| {
        if x < 0.5 { (b[0] * b[0] - 1.0) * 2.0 } else { (b[0] - 1.0) * 0.3 }
    });
    let known = FitOptions { scale: Scale::Known, ..FitOptions::default() };
    let local = fit(&model, &[-0.9], &known).expect("a minimum");
    assert!(local.values()[0] < -0.9 && local.sum_of_squares() > 0.3);
    let found = profile_interval(&model, &local, 0).expect("a profile");
    let ProfileEnd::BetterMinimum { parameters, sum_of_squares } = &found.upper else { panic!("{found:?}") };
    assert!(parameters[0] > 0.5 && *sum_of_squares < local.sum_of_squares(), "{found:?}");
    assert!(matches!(found.lower, ProfileEnd::Found { .. }), "{found:?}");
    let again = fit(&model, parameters, &known).expect("a minimum");
    assert_relative("b", again.values()[0], 1.0, 1e-8);
    let proper = profile_interval(&model, &again, 0).expect("a profile");
    assert!(matches!(proper.upper, ProfileEnd::Found { .. }), "{proper:?}");
}
