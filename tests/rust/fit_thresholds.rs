//! Bounds from which something is said of a fit, from both sides of each.

use acceptance::assert_relative;
use bathkin_fit::predict::{RivalModel, compare};
use bathkin_fit::{Data, RecipeFitOptions, fit_recipe};
use bathkin_statistics::fit::Scale;
use bathkin_statistics::profile::{ProfileEnd, profile_interval};
use bathkin_statistics::ranking::{Rival, Support, rank};
use bathkin_statistics::variance::estimate_errors;
use bathkin_statistics::{FitOptions, fit};

use crate::answers::{ENERGY, PH_ORDER, RATE, recipe, runs};
use crate::curve::Curve;
use crate::logs::asked;

fn narrow(data: Data, free: &[&str]) -> Option<String> {
    let options = RecipeFitOptions { question: asked(free), ..RecipeFitOptions::default() };
    let found = fit_recipe(&recipe(), &[data], &options).expect("a fit");
    let message = found.messages.into_iter().find(|message| message.code == "narrow-range");
    message.map(|message| message.text)
}

/// An energy from less than 5 degC is not determined, from less than 15 weakly.
#[test]
fn spans_of_temperature_from_which_an_energy_is_determined() {
    for (span, said) in [(4.9, Some("not")), (5.1, Some("weakly")), (14.9, Some("weakly")), (15.1, None)] {
        let celsius = [80.0, 80.0 + 0.3 * span, 80.0 + 0.7 * span, 80.0 + span];
        let um_h = celsius.map(|celsius: f64| 11.0 * (0.06 * (celsius - 80.0)).exp());
        let data = runs(&[("temperature_c", &celsius), ("deposition_um_h", &um_h)]);
        let text = narrow(data, &[RATE, ENERGY]);
        let expected = said.map(|how| format!("activation energy {how} determined"));
        assert_eq!(text.is_some(), expected.is_some(), "{span}: {text:?}");
        assert!(expected.is_none_or(|expected| text.is_some_and(|text| text.contains(&expected))), "{span}");
    }
}

/// An order of pH from less than 0.1 is not determined, from less than 0.3 weakly.
#[test]
fn spans_of_ph_from_which_an_order_is_determined() {
    for (span, said) in [(0.09, Some("not")), (0.11, Some("weakly")), (0.29, Some("weakly")), (0.31, None)] {
        let ph = [4.7, 4.7 + 0.3 * span, 4.7 + 0.7 * span, 4.7 + span];
        let um_h = ph.map(|ph: f64| 15.0 * 10_f64.powf(0.4 * (ph - 4.7)));
        let text = narrow(runs(&[("ph", &ph), ("deposition_um_h", &um_h)]), &[RATE, PH_ORDER]);
        let expected = said.map(|how| format!("pH order {how} determined"));
        assert_eq!(text.is_some(), expected.is_some(), "{span}: {text:?}");
        assert!(expected.is_none_or(|expected| text.is_some_and(|text| text.contains(&expected))), "{span}");
    }
}

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
        let rival = |name, fit| Rival { name, fit, rows: &rows, cross_validation_rms: None };
        let ranked = rank(&[rival("mean", &fits[0]), rival("off", &fits[1])]).expect("a ranking");
        assert_relative("delta", ranked[1].delta.expect("one"), delta, 1e-9);
        let alike = ranked.iter().all(|line| line.support == Support::CannotBeToldApart);
        assert_eq!(alike, !apart, "{ranked:?}");
    }
}

/// The remark says the same bound as the table.
#[test]
fn a_comparison_says_from_where_on_models_are_told_apart() {
    let rival = |name: &str, free: &[&str]| RivalModel {
        name: name.to_owned(),
        recipe: recipe(),
        options: RecipeFitOptions { question: asked(free), ..RecipeFitOptions::default() },
    };
    let data = [runs(&[("deposition_um_h", &[16.0, 16.5, 17.2, 17.5, 16.8])])];
    let found = compare(&[rival("a", &[RATE]), rival("b", &[RATE])], &data, None).expect("a comparison");
    assert_eq!(found.messages[0].code, "cannot-be-told-apart");
    assert!(found.messages[0].text.contains("AICc within 2"), "{}", found.messages[0].text);
}

#[test]
fn three_rows_tell_the_size_of_errors_and_two_do_not() {
    let refused = estimate_errors(&[1.1, 1.9], &[1.0, 2.0], &[0; 2], 0).expect_err("two rows").to_string();
    assert!(refused.contains("fewer than three rows"), "{refused}");
    let found = estimate_errors(&[1.1, 1.9, 3.1], &[1.0, 2.0, 3.0], &[0; 3], 0).expect("errors");
    // By hand: three deviations of 0.1 of an absolute error.
    assert_relative("absolute", found[0].pure_absolute.absolute, 0.1, 1e-9);
}

/// A column of one value keeps its stated size: less than one row to spare tells none. Two values tell one.
#[test]
fn a_column_needs_a_row_to_spare_to_tell_its_size() {
    let celsius = [76.0, 80.0, 84.0, 88.0, 90.0, 92.0];
    let rates =
        runs(&[("temperature_c", &celsius), ("deposition_um_h", &[9.1, 11.9, 14.2, 18.3, 20.9, 22.3])]);
    let thick = |count: usize| {
        let (celsius, um) = ([80.0, 86.0], [12.4, 15.0]);
        runs(&[
            ("temperature_c", &celsius[..count]),
            ("time_min", &[60.0; 2][..count]),
            ("thickness_um", &um[..count]),
        ])
    };
    let size = |count: usize| {
        let options = RecipeFitOptions { question: asked(&[RATE, ENERGY]), ..RecipeFitOptions::default() };
        let found = fit_recipe(&recipe(), &[rates.clone(), thick(count)], &options).expect("a fit");
        found.model.columns().iter().find(|column| column.name == "thickness_um").expect("a column").size
    };
    assert_relative("one value", size(1), 1.0, 1e-9);
    assert!(size(2) < 0.5, "{}", size(2));
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
