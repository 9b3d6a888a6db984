//! Bounds from which something is said of a fit of a recipe, from both sides of each.

use bathkin_fit::predict::{CandidateModel, compare};
use bathkin_fit::{Data, RecipeFitOptions, fit_recipe};

use support::assert_relative;
use support::fits::{ENERGY, PH_ORDER, RATE, asked, runs};
use support::recipes::power_law;

fn narrow(data: Data, free: &[&str]) -> Option<String> {
    let options = RecipeFitOptions { specification: asked(free), ..RecipeFitOptions::default() };
    let found = fit_recipe(&power_law(), &[data], &options).expect("a fit");
    let message = found.remarks.into_iter().find(|remark| remark.code == "narrow-range");
    message.map(|remark| remark.text)
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

/// The remark says the same bound as the table.
#[test]
fn a_comparison_says_from_where_on_models_are_told_apart() {
    let candidate = |name: &str, free: &[&str]| CandidateModel {
        name: name.to_owned(),
        recipe: power_law(),
        options: RecipeFitOptions { specification: asked(free), ..RecipeFitOptions::default() },
    };
    let data = [runs(&[("deposition_um_h", &[16.0, 16.5, 17.2, 17.5, 16.8])])];
    let found =
        compare(&[candidate("a", &[RATE]), candidate("b", &[RATE])], &data, None).expect("a comparison");
    assert_eq!(found.remarks[0].code, "cannot-be-told-apart");
    assert!(found.remarks[0].text.contains("AICc within 2"), "{}", found.remarks[0].text);
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
        let options =
            RecipeFitOptions { specification: asked(&[RATE, ENERGY]), ..RecipeFitOptions::default() };
        let found = fit_recipe(&power_law(), &[rates.clone(), thick(count)], &options).expect("a fit");
        found.model.columns().iter().find(|column| column.name == "thickness_um").expect("a column").size
    };
    assert_relative("one value", size(1), 1.0, 1e-9);
    assert!(size(2) < 0.5, "{}", size(2));
}
