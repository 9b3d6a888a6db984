//! Coupon runs fitted to a recipe: known truths, the Arrhenius table, what runs cannot tell.

use bathkin::Recipe;
use bathkin::constants::ZERO_CELSIUS_K;
use bathkin::recipe::Value;
use bathkin_fit::data::ErrorModel;
use bathkin_fit::{Data, DataError, Question, RecipeFit, RecipeFitOptions, Sheet};
use bathkin_fit::{Reference, fit_arrhenius, fit_recipe};
use bathkin_statistics::bootstrap::{BootstrapOptions, Resampling, bootstrap};
use bathkin_statistics::fit::Scale;
use bathkin_statistics::quantiles::two_sided;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;

use crate::fit_coverage::normal;
use crate::recipes::power_law;

const RATE: &str = "deposition.rate_mol_m2_s";
const ENERGY: &str = "deposition.activation_energy_kj_mol";
const PH_ORDER: &str = "deposition.ph_order";

// Case F02 of a published course exercise: five temperatures, K, and rate constants.
const F02_T: [f64; 5] = [313.0, 319.0, 323.0, 328.0, 333.0];
const F02_K: [f64; 5] = [0.00043, 0.00103, 0.0018, 0.00355, 0.00717];

// Case F08 of a published homework table: degC and 1/s.
const F08_C: [f64; 8] = [10.0, 16.0, 20.0, 31.0, 42.0, 48.0, 54.0, 59.0];
const F08_K: [f64; 8] = [0.000306, 0.000484, 0.00065, 0.0014, 0.00287, 0.00416, 0.00594, 0.00792];

fn recipe() -> Recipe {
    power_law()
}

fn runs(columns: &[(&str, &[f64])]) -> Sheet {
    Sheet {
        file: "runs.csv".to_owned(),
        rows: (1..=columns[0].1.len()).collect(),
        columns: columns
            .iter()
            .map(|(name, cells)| ((*name).to_owned(), cells.iter().map(|cell| Some(*cell)).collect()))
            .collect(),
        ..Sheet::default()
    }
}

fn fit_runs(
    recipe: &Recipe,
    runs: &Sheet,
    free: &[String],
    options: &RecipeFitOptions,
) -> Result<RecipeFit, DataError> {
    let mut options = options.clone();
    options.question.free = free.to_vec();
    fit_recipe(recipe, &[Data::Runs(runs.clone())], &options)
}

fn absolute() -> Question {
    Question { errors: Some(ErrorModel::Absolute { sigma: 1.0 }), ..Question::default() }
}

fn free(paths: &[&str]) -> Vec<String> {
    paths.iter().map(|path| (*path).to_owned()).collect()
}

fn fitted(runs: &Sheet, paths: &[&str], options: &RecipeFitOptions) -> RecipeFit {
    fit_runs(&recipe(), runs, &free(paths), options).expect("a fit")
}

fn close(value: f64, expected: f64, relative: f64, what: &str) {
    assert!((value / expected - 1.0).abs() < relative, "{what}: {value} and not {expected}");
}

fn has(found: &RecipeFit, code: &str, words: &str) {
    let said = found.messages.iter().any(|message| message.code == code && message.text.contains(words));
    assert!(said, "no {code} with '{words}' in {:?}", found.messages);
}

/// F02 as rates of a bath: K to degC, rate constants to um/h by a factor that must not matter.
fn f02(factor: f64) -> Sheet {
    let celsius = F02_T.map(|kelvin| kelvin - ZERO_CELSIUS_K);
    runs(&[("temperature_c", &celsius), ("deposition_um_h", &F02_K.map(|k| k * factor))])
}

#[test]
fn f02_the_arrhenius_path_through_a_recipe_is_that_of_the_table() {
    let table = fit_arrhenius(&F02_T, &F02_K, Reference::HarmonicMean).expect("a fit");
    let found = fitted(&f02(1000.0), &[RATE, ENERGY], &RecipeFitOptions::default());
    let energy = &found.estimates[1];
    close(energy.value, table.activation_energy_kj_mol.value, 1e-6, "Ea");
    close(
        energy.standard_error.unwrap(),
        table.activation_energy_kj_mol.standard_error.unwrap(),
        1e-6,
        "se of Ea",
    );
    // Computed answer of the public exercise: half-width of the 95 % interval 2.6688.
    let [low, high] = energy.interval95.unwrap();
    close(0.5 * (high - low), 2.6688, 1e-4, "half-width");
    close(energy.value, 121.4883, 1e-6, "Ea of F02");
    has(&found, "error-model", "absolute errors would give");
}

#[test]
fn f02_direct_absolute_errors_give_the_direct_fit() {
    let options = RecipeFitOptions { question: absolute(), ..RecipeFitOptions::default() };
    let found = fitted(&f02(1000.0), &[RATE, ENERGY], &options);
    // Computed answer of the public exercise, direct fit: 124.3275, standard error 1.4488.
    close(found.estimates[1].value, 124.3275, 1e-6, "Ea");
    close(found.estimates[1].standard_error.unwrap(), 1.4488, 1e-4, "se");
}

#[test]
fn s09_the_unit_of_the_rates_changes_nothing_but_the_rate() {
    let fits =
        [1.0, 3600.0, 1e-6].map(|factor| fitted(&f02(factor), &[RATE, ENERGY], &RecipeFitOptions::default()));
    for (fit, factor) in fits.iter().zip([1.0, 3600.0, 1e-6]) {
        close(fit.estimates[1].value, fits[0].estimates[1].value, 1e-8, "Ea");
        close(fit.estimates[0].value, fits[0].estimates[0].value * factor, 1e-7, "rate");
    }
}

#[test]
fn s10_a_prediction_uses_the_whole_covariance() {
    let found = fitted(&f02(1.0), &[RATE, ENERGY], &RecipeFitOptions::default());
    let ahead = found.predict(&[("temperature_c".to_owned(), 343.0 - ZERO_CELSIUS_K)]).expect("a prediction");
    // Computed answer of the public exercise: ln k = -3.67507, standard error 0.0193603 (0.429 without the covariance).
    assert!((ahead.value.ln() + 3.67507).abs() < 1e-5);
    let quantile = two_sided(0.95, Some(3)).unwrap();
    let error = (ahead.confidence[1] / ahead.confidence[0]).ln() / (2.0 * quantile);
    close(error, 0.0193603, 1e-4, "se of ln k");
    assert!(ahead.prediction.unwrap()[1] > ahead.confidence[1]);
}

#[test]
fn f08_eight_runs_in_celsius() {
    let found = fitted(
        &runs(&[("operation.temperature_c", &F08_C), ("deposition_um_h", &F08_K)]),
        &[RATE, ENERGY],
        &RecipeFitOptions::default(),
    );
    close(found.estimates[1].value, 51.9092, 1e-5, "Ea");
    close(found.estimates[1].standard_error.unwrap(), 0.0166, 1e-2, "se");
}

/// Coupons of 50 cm² in a beaker of a litre for 20 to 60 min, weighed: the truth and 2 % of scatter.
fn weighed(truth: &Recipe, relative: f64, seed: u64) -> Sheet {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let mut columns = vec![Vec::new(); 5];
    for temperature_c in [80.0, 85.0, 90.0] {
        for ph in [4.4, 4.8, 5.2] {
            for minutes in [20.0, 60.0] {
                let set = |recipe: Recipe, (path, value): (&str, f64)| {
                    recipe.with(path, Value::Number(value), "test")
                };
                let settings = [
                    ("operation.temperature_c", temperature_c),
                    ("operation.ph", ph),
                    ("tank.volume_l", 1.0),
                ];
                let bath = settings.into_iter().fold(truth.clone(), set).make_up().expect("a bath");
                let mass_mg = bath.plate(50e-4, minutes).expect("a load").load.mass_g * 1e3;
                let observed = mass_mg * (relative * normal(&mut random)).exp();
                for (column, value) in columns.iter_mut().zip([temperature_c, ph, minutes, 50.0, observed]) {
                    column.push(value);
                }
            }
        }
    }
    let names = ["temperature_c", "ph", "time_min", "area_cm2", "mass_gain_mg"];
    let mut table = runs(
        &names.iter().zip(&columns).map(|(name, column)| (*name, column.as_slice())).collect::<Vec<_>>(),
    );
    table.columns.push(("volume_l".to_owned(), vec![Some(1.0); table.rows.len()]));
    table
}

#[test]
fn simulated_truth_is_recovered_within_its_interval() {
    let truth = [(RATE, 4.0e-4), (ENERGY, 52.0), (PH_ORDER, 0.28)];
    let of_truth =
        truth.iter().fold(recipe(), |recipe, (path, value)| recipe.with(path, Value::Number(*value), "test"));
    let paths = truth.map(|(path, _)| path);
    let exact = fitted(&weighed(&of_truth, 0.0, 1), &paths, &RecipeFitOptions::default());
    for (estimate, (path, value)) in exact.estimates.iter().zip(truth) {
        close(estimate.value, value, 1e-5, path);
    }
    let found = fitted(&weighed(&of_truth, 0.02, 7), &paths, &RecipeFitOptions::default());
    for (estimate, (path, value)) in found.estimates.iter().zip(truth) {
        let [low, high] = estimate.interval95.expect("an interval");
        assert!((low..high).contains(&value), "{path}: {value} outside {low} to {high}");
        assert!(high - low < 0.25 * value, "{path}: {low} to {high}");
    }
    // The scatter itself comes back, within its own chi-square of 15 degrees of freedom.
    let scatter = found.fit.variance.unwrap().sqrt();
    assert!((0.012..0.029).contains(&scatter), "scatter {scatter}");
    // The profile of a nearly straight number is its interval.
    let (profile, straight) = (found.profile(1, 0.95).unwrap(), found.interval(1, 0.95).unwrap().unwrap());
    for (end, expected) in profile.iter().zip(straight) {
        close(end.expect("an end"), expected, 1e-3, "profile");
    }
}

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
    assert!(found.messages.iter().all(|message| message.code != "not-varied"));
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
fn sigma_of_its_own_weighs_a_run_and_a_known_one_gives_normal_intervals() {
    let table = runs(&[
        ("temperature_c", &[80.0, 88.0, 92.0, 85.0]),
        ("deposition_um_h", &[12.0, 18.0, 22.0, 30.0]),
        ("sigma", &[0.1, 0.1, 0.1, 1e6]),
    ]);
    let options =
        RecipeFitOptions { question: absolute(), scale: Scale::Known, ..RecipeFitOptions::default() };
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
    let recipe = recipe();
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
    let truth = recipe().with(INHIBITION, Value::Number(3.4), "test");
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
        "row 3, 4, 5, 6: pH set with sulfuric_acid, for sodium_hydroxide moves it away",
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
fn bounds_hold_and_are_told() {
    let options =
        RecipeFitOptions { bounds: vec![(ENERGY.to_owned(), 40.0, 70.0)], ..RecipeFitOptions::default() };
    let found = fitted(&f02(1000.0), &[RATE, ENERGY], &options);
    assert_eq!((found.estimates[1].value, found.estimates[1].status), (70.0, "at_bound"));
    has(&found, "at-bound", ENERGY);
    let outside = RecipeFitOptions { bounds: vec![(ENERGY.to_owned(), 70.0, 90.0)], ..options };
    let error = fit_runs(&recipe(), &f02(1.0), &free(&[RATE, ENERGY]), &outside).unwrap_err().to_string();
    assert!(error.contains(ENERGY) && error.contains("65"), "{error}");
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

#[test]
fn refusals_name_file_row_column_and_value() {
    let refused = |columns: &[(&str, &[f64])], paths: &[&str]| -> DataError {
        fit_runs(&recipe(), &runs(columns), &free(paths), &RecipeFitOptions::default()).unwrap_err()
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

#[test]
fn the_fitted_recipe_reads_back_and_plates_as_fitted() {
    let found = fitted(&f02(1e4), &[RATE, ENERGY], &RecipeFitOptions::default());
    let written = found.fitted_recipe("runs.csv", &[]).expect("a recipe");
    let again = Recipe::from_toml("fitted.toml", written.text()).expect("it reads");
    assert_eq!(again, written);
    let at = again.with("operation.temperature_c", Value::Number(323.0 - ZERO_CELSIUS_K), "test");
    let rate = at.make_up().and_then(|bath| bath.rate()).expect("a rate").deposition_um_h;
    close(rate, found.calculated[2], 1e-9, "rate");
    let entry = again.document().get(ENERGY).expect("it is set");
    let source = entry.source.as_ref().expect("a source");
    assert_eq!(source.kind, bathkin::solution::Kind::Fitted);
    assert!(source.text.contains("5 values of runs.csv"), "{}", source.text);
}

/// Producer: the same replicates fitted with slopes of their own; a twentieth of a standard error.
#[test]
fn a_bootstrap_by_the_slopes_of_the_fit_is_that_of_full_fits() {
    let found =
        fitted(&weighed(&recipe(), 0.03, 11), &[RATE, ENERGY, PH_ORDER], &RecipeFitOptions::default());
    let options = BootstrapOptions { replicates: 24, seed: 5, resampling: Resampling::Residuals };
    let quick = found.bootstrap(&options).expect("a bootstrap");
    let full = bootstrap(&found.model, &found.fit, &options).expect("a bootstrap");
    assert_eq!((quick.failed, full.failed), (0, 0));
    for (a, b) in quick.draws.iter().zip(&full.draws) {
        for (((a, b), number), estimate) in a.iter().zip(b).zip(found.model.free()).zip(&found.estimates) {
            let (b, error) = (number.scale.outside(*b), estimate.standard_error.expect("an error"));
            assert!((a - b).abs() < 0.05 * error, "{}: {a} and {b}, se {error}", estimate.path);
        }
    }
}

/// All runs at the reference of the pH factor: its order changes nothing but rounding.
#[test]
fn an_order_at_its_reference_has_no_influence() {
    let table = runs(&[("temperature_c", &[80.0, 85.0, 90.0]), ("deposition_um_h", &[12.0, 15.2, 19.0])]);
    let found = fitted(&table, &[RATE, PH_ORDER], &RecipeFitOptions::default());
    assert_eq!((found.estimates[1].status, found.estimates[1].value), ("no_influence", 0.35));
}

/// A start far off, and a robust loss with a lower minimum elsewhere, are the cases for further starts.
#[test]
fn further_starts_find_what_the_recipe_found_and_say_so() {
    let plain = fitted(&f02(1e4), &[RATE, ENERGY], &RecipeFitOptions::default());
    let options = RecipeFitOptions { starts: 12, seed: 3, ..RecipeFitOptions::default() };
    let found = fitted(&f02(1e4), &[RATE, ENERGY], &options);
    close(found.estimates[1].value, plain.estimates[1].value, 1e-7, "Ea");
    has(&found, "starts", "none led lower than the recipe's numbers");
    let again = fitted(&f02(1e4), &[RATE, ENERGY], &options);
    assert_eq!(found.messages, again.messages);
}

#[test]
fn a_row_the_estimates_hang_on_is_named() {
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
    assert!(even.messages.iter().all(|message| message.code != "influential"));
}
