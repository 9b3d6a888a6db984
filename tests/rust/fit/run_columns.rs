//! Columns of coupon runs: contents of the bath, sigmas, and what is refused by row and column.

use bathkin::document::Value;
use bathkin_fit::{DataError, RecipeFitOptions};
use bathkin_statistics::Scale;

use support::coupons::{absolute, fit_runs, fitted, free, runs};
use support::fits::{RATE, close, has};
use support::recipes::power_law;

#[test]
fn sigma_of_its_own_weighs_a_run_and_a_known_one_gives_normal_intervals() {
    let table = runs(&[
        ("temperature_c", &[80.0, 88.0, 92.0, 85.0]),
        ("deposition_um_h", &[12.0, 18.0, 22.0, 30.0]),
        ("sigma", &[0.1, 0.1, 0.1, 1e6]),
    ]);
    let options =
        RecipeFitOptions { specification: absolute(), scale: Scale::Known, ..RecipeFitOptions::default() };
    let found = fitted(&table, &[RATE], &options);
    // By hand: sigma of the rate's logarithm is 0.1/√Σ f² with f near the observations.
    let error = found.estimates[0].standard_error.unwrap() / found.estimates[0].value;
    let by_hand = 0.1 / found.calculated[..3].iter().map(|f| f * f).sum::<f64>().sqrt();
    close(error, by_hand, 1e-6, "se");
    let [low, high] = found.interval(0, 0.95).unwrap().unwrap();
    close((high / low).ln() / (2.0 * error), 1.959964, 1e-5, "normal quantile");
}

#[test]
fn contents_of_the_bath_are_columns() {
    let recipe = power_law();
    let by_content = runs(&[("nickel_g_l", &[4.0, 6.0, 8.0]), ("deposition_um_h", &[15.0, 17.0, 18.0])]);
    // 58.6934 g/mol Ni (IUPAC), 262.85 g/mol of the hexahydrate.
    let salt = [4.0, 6.0, 8.0].map(|nickel| nickel * 262.85 / 58.6934);
    let by_salt =
        runs(&[("make_up.nickel_sulfate_hexahydrate_g_l", &salt), ("deposition_um_h", &[15.0, 17.0, 18.0])]);
    let paths = free(&[RATE, "deposition.order.nickel"]);
    let [a, b] = [by_content, by_salt]
        .map(|table| fit_runs(&recipe, &table, &paths, &RecipeFitOptions::default()).expect("a fit"));
    close(a.estimates[1].value, b.estimates[1].value, 1e-4, "order");
    let table = runs(&[("hypophosphite_g_l", &[20.0; 3]), ("deposition_um_h", &[15.0, 17.0, 18.0])]);
    let error = fit_runs(&recipe, &table, &paths, &RecipeFitOptions::default()).unwrap_err().to_string();
    assert!(error.contains("as what?") && error.contains("hypophosphite_mol_l"), "{error}");
}

/// A chemist's sheet of orthophosphite: 0 to 1.5 mol/L at pH 4.2 to 5.4, rates of the same bath with 15 %
/// more inhibition and no scatter.
#[test]
fn orthophosphite_is_a_column_with_the_ph_of_each_row() {
    const INHIBITION: &str = "deposition.inhibition.orthophosphite.constant_mol_l";
    let truth = power_law().with(INHIBITION, Value::Number(3.4), "test");
    let mol_l = [0.0, 0.2, 0.5, 1.0, 1.5, 0.5, 0.5];
    let ph = [4.8, 4.8, 4.8, 4.8, 4.8, 4.2, 5.4];
    let rates: Vec<f64> = mol_l
        .iter()
        .zip(ph)
        .map(|(mol_l, ph)| {
            // By hand: the disodium salt, and sulfuric acid where it alone is too alkaline.
            let salted = truth
                .with("make_up.disodium_phosphite_anhydrous_mol_l", Value::Number(*mol_l), "test")
                .with("operation.ph", Value::Number(ph), "test");
            let acid =
                || salted.with("operation.ph_reagent", Value::Text("sulfuric_acid".to_owned()), "test");
            let bath = salted.make_up().or_else(|_| acid().make_up()).expect("a bath");
            assert!((bath.ph() - ph).abs() < 1e-6);
            bath.rate().expect("a rate").deposition_um_h
        })
        .collect();
    let table = runs(&[("orthophosphite_mol_l", &mol_l), ("ph", &ph), ("deposition_um_h", &rates)]);
    let found = fitted(&table, &[RATE, INHIBITION], &RecipeFitOptions::default());
    close(found.estimates[1].value, 3.4, 1e-5, "constant of the inhibition");
    has(
        &found,
        "salt",
        "orthophosphite_mol_l: the make-up has no orthophosphite, it was taken as brought by disodium phosphite, anhydrous",
    );
    has(
        &found,
        "ph-reagent",
        "row 3, 4, 5, 6: pH set with sulfuric_acid, for sodium_hydroxide does not approach it",
    );
    // The same salt by name, by weight, and as a formula.
    for (column, per_mol) in [
        ("disodium_phosphite_anhydrous_g_l", 125.957),
        ("orthophosphite_g_l_as_na2hpo3", 125.957),
        ("orthophosphite_mM", 1e3),
    ] {
        let grams = mol_l.map(|mol_l| mol_l * per_mol);
        let table = runs(&[(column, &grams), ("ph", &ph), ("deposition_um_h", &rates)]);
        let found = fitted(&table, &[RATE, INHIBITION], &RecipeFitOptions::default());
        close(found.estimates[1].value, 3.4, 1e-4, column);
    }
    let asked = [("orthophosphite_mol_l".to_owned(), 1.0), ("ph".to_owned(), 4.8)];
    close(found.predict(&asked).expect("a prediction").value, rates[3], 1e-5, "prediction");
}

/// A column of a salt that the make-up weighs out in another unit sets that amount.
#[test]
fn a_salt_of_the_make_up_is_a_column_in_any_unit() {
    let g_l = [20.0, 30.0, 40.0];
    // 105.99 g/mol of the monohydrate, from IUPAC weights of 2021.
    let millimoles = g_l.map(|g_l| g_l * 1e3 / 105.9931);
    let rates = [15.0, 17.0, 19.0];
    let paths = [RATE, "deposition.order.hypophosphite"];
    let [a, b, c] = [
        ("sodium_hypophosphite_monohydrate_g_l", g_l),
        ("sodium_hypophosphite_monohydrate_mM", millimoles),
        ("hypophosphite_mM", millimoles),
    ]
    .map(|(column, cells)| {
        fitted(&runs(&[(column, &cells), ("deposition_um_h", &rates)]), &paths, &RecipeFitOptions::default())
    });
    close(b.estimates[1].value, a.estimates[1].value, 1e-4, "order");
    close(c.estimates[1].value, a.estimates[1].value, 1e-4, "order");
}

#[test]
fn refusals_name_file_row_column_and_value() {
    let refused = |columns: &[(&str, &[f64])], paths: &[&str]| -> DataError {
        fit_runs(&power_law(), &runs(columns), &free(paths), &RecipeFitOptions::default()).unwrap_err()
    };
    let two = [15.0, 17.0];
    for (error, words) in [
        (refused(&[("ph", &two), ("deposition_um_h", &two)], &[RATE]), "runs.csv: row 1, ph"),
        (refused(&[("deposition_um_h", &[15.0, -1.0])], &[RATE]), "runs.csv: row 2, deposition_um_h = -1"),
        (refused(&[("mass_gain_mg", &two), ("time_min", &two)], &[RATE]), "row 1, area_cm2 = (empty)"),
        (refused(&[("thickness_um", &two), ("time_min", &[10.0, 0.0])], &[RATE]), "row 2, time_min = 0"),
        (refused(&[("tempratur_c", &two), ("deposition_um_h", &two)], &[RATE]), "temperature_c"),
        (refused(&[("deposition_um_h", &two)], &["deposition.rate"]), "deposition.rate_mol_m2_s"),
        (refused(&[("deposition_um_h", &two)], &[]), "nothing is free"),
        (refused(&[("temperature_c", &two)], &[RATE]), "nothing was measured"),
    ] {
        assert!(error.to_string().contains(words), "'{error}' lacks '{words}'");
    }
}
