//! What coupon runs cannot tell, and rows on which the estimates hang.

use bathkin_fit::RecipeFitOptions;

use support::coupons::{fitted, runs};
use support::fits::{ENERGY, PH_ORDER, RATE, has};

#[test]
fn four_degrees_do_not_determine_an_activation_energy() {
    let found = fitted(
        &runs(&[
            ("temperature_c", &[86.0, 87.0, 88.0, 89.0, 90.0]),
            ("deposition_um_h", &[16.2, 17.4, 17.3, 18.6, 18.9]),
        ]),
        &[RATE, ENERGY],
        &RecipeFitOptions::default(),
    );
    has(&found, "narrow-range", "runs span 4 degC: activation energy not determined");
}

#[test]
fn an_order_in_what_no_run_varies_is_told() {
    let order = "deposition.order.nickel";
    let minutes = [20.0, 60.0, 120.0, 180.0];
    let table = runs(&[
        ("time_min", &minutes),
        ("area_cm2", &[100.0; 4]),
        ("volume_l", &[1.0; 4]),
        ("thickness_um", &[5.4, 15.6, 28.9, 40.5]),
    ]);
    has(&fitted(&table, &[RATE, order], &RecipeFitOptions::default()), "not-varied", order);
    let varied = runs(&[("nickel_g_l", &[4.0, 6.0, 8.0]), ("deposition_um_h", &[15.0, 17.0, 18.0])]);
    let found = fitted(&varied, &[RATE, order], &RecipeFitOptions::default());
    assert!(found.remarks.iter().all(|remark| remark.code != "not-varied"));
}

#[test]
fn combinations_that_no_run_tells_apart_are_named() {
    // All at one temperature away from the reference: only rate x exp(-Ea ...) exists.
    let table = runs(&[("temperature_c", &[82.0; 4]), ("deposition_um_h", &[12.0, 12.3, 11.9, 12.2])]);
    let found = fitted(&table, &[RATE, ENERGY], &RecipeFitOptions::default());
    assert!(found.estimates.iter().all(|estimate| estimate.status == "rank_deficient"));
    assert!(found.estimates.iter().all(|estimate| estimate.interval95.is_none()));
    has(&found, "undetermined", RATE);
    has(&found, "narrow-range", "runs span 0.00 degC: activation energy not determined");
    // How much hydrogen comes with the metal changes no thickness.
    let table = runs(&[("temperature_c", &[80.0, 90.0, 85.0]), ("deposition_um_h", &[12.0, 19.0, 15.0])]);
    let found = fitted(&table, &[RATE, "hydrogen.ph_order"], &RecipeFitOptions::default());
    has(&found, "no-influence", "hydrogen.ph_order");
}

#[test]
fn as_many_numbers_as_runs_have_values_and_no_uncertainty() {
    // F04 through a recipe: two points, two parameters.
    let table = runs(&[("temperature_c", &[80.0, 90.0]), ("deposition_um_h", &[12.0, 19.0])]);
    let found = fitted(&table, &[RATE, ENERGY], &RecipeFitOptions::default());
    assert_eq!(found.estimates[1].standard_error, None);
    assert_eq!(found.estimates[1].status, "zero_degrees_of_freedom");
    has(&found, "no-degrees-of-freedom", "without uncertainty");
}

#[test]
fn replicates_tell_lack_of_fit() {
    // Rates that fall when it gets hotter still, each run twice and within 1 %.
    let temperatures = [70.0, 70.0, 78.0, 78.0, 86.0, 86.0, 94.0, 94.0];
    let rates = [8.0, 8.05, 13.0, 13.1, 17.0, 17.1, 17.5, 17.4];
    let table = runs(&[("temperature_c", &temperatures), ("deposition_um_h", &rates)]);
    let found = fitted(&table, &[RATE, ENERGY], &RecipeFitOptions::default());
    let test = found.lack_of_fit.expect("replicates");
    assert_eq!((test.pure_error_degrees_of_freedom, test.lack_degrees_of_freedom), (4, 2));
    has(&found, "lack-of-fit", "more than replicates differ");
}

#[test]
fn the_last_value_a_recipe_takes_is_a_bound() {
    // Rates that ask for more than the recipe's largest order in hypophosphite, 5.
    let table = runs(&[
        ("make_up.sodium_hypophosphite_monohydrate_g_l", &[25.0, 28.0, 30.0, 33.0]),
        ("deposition_um_h", &[4.0, 11.0, 17.0, 35.0]),
    ]);
    let path = "deposition.order.hypophosphite";
    let found = fitted(&table, &[RATE, path], &RecipeFitOptions::default());
    assert_eq!(found.estimates[1].status, "at_bound");
    assert!((found.estimates[1].value - 5.0).abs() < 1e-3, "{}", found.estimates[1].value);
    assert_eq!(found.estimates[0].status, "ok");
    has(&found, "at-bound", path);
}

/// All runs at the reference of the pH factor: its order changes nothing but rounding.
#[test]
fn an_order_at_its_reference_has_no_influence() {
    let table = runs(&[("temperature_c", &[80.0, 85.0, 90.0]), ("deposition_um_h", &[12.0, 15.2, 19.0])]);
    let found = fitted(&table, &[RATE, PH_ORDER], &RecipeFitOptions::default());
    assert_eq!((found.estimates[1].status, found.estimates[1].value), ("no_influence", 0.35));
}

#[test]
fn a_row_the_estimates_depend_on_is_named() {
    // Four runs at 85 degC and one, off the line of the recipe, at 70.
    let table = runs(&[
        ("temperature_c", &[85.0, 85.0, 85.0, 85.0, 85.5, 70.0]),
        ("deposition_um_h", &[15.2, 15.0, 15.3, 15.1, 15.5, 4.0]),
    ]);
    let found = fitted(&table, &[RATE, ENERGY], &RecipeFitOptions::default());
    has(&found, "influential", "runs.csv row 6, deposition_um_h");
    let table = runs(&[
        ("temperature_c", &[75.0, 80.0, 85.0, 90.0, 95.0]),
        ("deposition_um_h", &[8.1, 11.3, 14.6, 19.9, 25.2]),
    ]);
    let even = fitted(&table, &[RATE, ENERGY], &RecipeFitOptions::default());
    assert!(even.remarks.iter().all(|remark| remark.code != "influential"));
}
