//! Bath logs: a tank that follows what was written down, slopes along it, fits through it.

use bathkin::Recipe;
use bathkin::document::Value;
use bathkin::tank::Quantity;
use bathkin_fit::data::ErrorModel;
use bathkin_fit::{Data, DataError, FitSpecification, RecipeFit, RecipeFitOptions, fit_recipe};
use bathkin_numerics::least_squares::Residuals;

use support::fits::{ENERGY, PH_ORDER, RATE, asked, calculated, close, sheet, some, week};
use support::recipes::{live, power_law};

const NICKEL: &str = "deposition.order.nickel";
const HYPO: &str = "deposition.order.hypophosphite";

fn with(recipe: Recipe, numbers: &[(&str, f64)]) -> Recipe {
    numbers.iter().fold(recipe, |recipe, (path, value)| recipe.with(path, Value::Number(*value), "test"))
}

#[test]
fn one_rack_and_nothing_added_is_a_load_left_alone() {
    // The tank of the recipe with the pH left alone and nothing carried out.
    let still = with(power_law(), &[("tank.volume_l", 2.0), ("tank.drag_out_l_m2", 0.0)]).with(
        "ph_control.policy",
        Value::Text("off".to_owned()),
        "test",
    );
    let log = sheet(
        "log.csv",
        vec![
            ("time_h", some(&[5.0, 5.75])),
            ("area_in_tank_dm2", some(&[0.0, 3.0])),
            ("thickness_um", vec![None, Some(1.0)]),
            ("nickel_g_l", vec![None, Some(5.0)]),
            ("ph", vec![None, Some(4.6)]),
            ("hypophosphite_mol_l", vec![None, Some(0.2)]),
        ],
    );
    let (_, values) = calculated(&still, &[Data::Log(log)], &asked(&[RATE]));
    let load = still.make_up().and_then(|bath| bath.plate(3e-2, 45.0)).expect("a load").load;
    close(values[0], load.thickness_um, 1e-6, "thickness");
    close(values[1], load.metal_end_g_l, 1e-6, "nickel");
    close(values[2], load.ph_end, 1e-6, "pH");
    close(values[3], load.reductant_end_mol_l, 1e-6, "hypophosphite");
}

/// A solution in which hypophosphite decays by itself, first order unless told otherwise, 1/h.
fn decaying(k_per_h: f64) -> Recipe {
    let text = format!(
        r#"
format = 1
base = "nickel-acid"

[bulk_reaction.decay]        # H2PO2- + H2O -> HPO3-2 + H+ + H2
liquid = {{ hypophosphite = -1, water = -1, orthophosphite = 1, proton = 1 }}
gas = {{ H = 2 }}
rate_mol_l_s = {{ value = {}, kind = "invented", source = "a test" }}
order.hypophosphite = {{ value = 1, kind = "invented", source = "a test" }}
reference_mol_l.hypophosphite = 1

[ph_control]
policy = "off"
"#,
        k_per_h / 3600.0
    );
    Recipe::from_toml("decay.toml", &text).expect("a recipe")
}

const DECAY: &str = "bulk_reaction.decay.rate_mol_l_s";

fn f05(specification: FitSpecification) -> RecipeFit {
    // A published lecture note of 2013 on fitting through an ODE, data as printed; t in h here.
    let log = sheet(
        "lecture.csv",
        vec![
            ("time_h", some(&[0.0, 0.1, 0.2, 0.4, 0.8, 1.0])),
            ("hypophosphite_mol_l", some(&[2.0081, 1.5512, 1.1903, 0.716, 0.2562, 0.1495])),
        ],
    );
    let absolute = ErrorModel::Absolute { sigma: 1.0 };
    let specification = FitSpecification {
        column_errors: vec![("hypophosphite_mol_l".to_owned(), absolute)],
        ..specification
    };
    let options = RecipeFitOptions { specification, ..RecipeFitOptions::default() };
    // 2.0081 mol/L of a salt of 105.99 g/mol.
    let recipe = with(decaying(1.0), &[("make_up.sodium_hypophosphite_monohydrate_g_l", 2.0081 * 105.993)]);
    fit_recipe(&recipe, &[Data::Log(log)], &options).expect("a fit")
}

/// Producer: the printed answer of the lecture note and SciPy's least squares on the exact solution, as the
/// case of a public specification lists them; k to 1e-5, standard errors to 3 %.
#[test]
fn f05_the_start_of_a_log_is_measured_and_not_exact() {
    let found = f05(asked(&[DECAY]));
    let [k, start] = &found.estimates[..] else { panic!("two numbers: {:?}", found.estimates) };
    close(k.value * 3600.0, 2.587109, 1e-5, "k");
    close(k.standard_error.unwrap() * 3600.0, 0.00992, 0.03, "se of k");
    assert_eq!(start.path, "start.hypophosphite_mol_l@lecture.csv");
    close(start.value, 2.007069, 1e-5, "start");
    close(start.standard_error.unwrap(), 0.00326, 0.03, "se of the start");
    let fixed = f05(FitSpecification { starts_as_made_up: true, ..asked(&[DECAY]) });
    close(fixed.estimates[0].value * 3600.0, 2.588935, 1e-4, "k from an exact start");
    close(fixed.estimates[0].standard_error.unwrap() * 3600.0, 0.00731, 0.03, "its se");
}

/// Producer: the derivative of the exact solution, -c0 t exp(-k t) by k and exp(-k t) by c0; 1e-8.
#[test]
fn slopes_along_a_log_are_those_of_the_exact_solution() {
    let times = [0.0, 0.25, 0.5, 1.0, 1.5];
    let log = sheet(
        "log.csv",
        vec![("time_h", some(&times)), ("hypophosphite_mol_l", some(&times.map(|t| 0.9 * (-0.7 * t).exp())))],
    );
    let unit = ErrorModel::Absolute { sigma: 1.0 };
    let specification =
        FitSpecification { column_errors: vec![("hypophosphite_mol_l".to_owned(), unit)], ..asked(&[DECAY]) };
    // Made up as the log starts, so that its pH needs no acid.
    let recipe = with(decaying(0.7), &[("make_up.sodium_hypophosphite_monohydrate_g_l", 0.9 * 105.993)]);
    let (model, _) = calculated(&recipe, &[Data::Log(log)], &specification);
    let (mut residuals, mut jacobian) = ([0.0; 5], [0.0; 10]);
    model.linearise(&model.start(), &mut residuals, &mut jacobian).expect("slopes");
    for (row, t) in times.iter().enumerate() {
        let left = (-0.7 * t).exp();
        // The rate moves by its logarithm: dc/d ln k = k dc/dk.
        let by_k = -0.9 * 0.7 * t * left;
        assert!((jacobian[2 * row] - by_k).abs() < 1e-8, "by k at {t}: {} {by_k}", jacobian[2 * row]);
        assert!((jacobian[2 * row + 1] - left).abs() < 1e-8, "by c0 at {t}: {}", jacobian[2 * row + 1]);
    }
}

/// Producer: Richardson extrapolation of separate runs; 1e-6 of the largest slope of a number, which is what
/// separate adaptive runs are good for. Every kind of number: laws, make-up, constants of the tank.
#[test]
fn slopes_along_a_log_hold_for_every_number() {
    let recipe = power_law();
    let log = week(&recipe, "log.csv", 13, 0.0, 1);
    let paths = [RATE, ENERGY, PH_ORDER, "replenisher.metal.nickel_sulfate_hexahydrate_g_l", "tank.volume_l"];
    let (model, _) = calculated(&recipe, &[Data::Log(log)], &asked(&paths));
    let at = model.start();
    let (rows, columns) = (model.rows(), model.parameters());
    let (mut residuals, mut jacobian) = (vec![0.0; rows], vec![0.0; rows * columns]);
    model.linearise(&at, &mut residuals, &mut jacobian).expect("slopes");
    for place in 0..columns {
        let moved = |by: f64| {
            let mut point = at.clone();
            point[place] += by;
            let mut residuals = vec![0.0; rows];
            model.residuals(&point, &mut residuals).expect("residuals");
            residuals
        };
        let difference = |h: f64| -> Vec<f64> {
            moved(h).iter().zip(moved(-h)).map(|(above, below)| (above - below) / (2.0 * h)).collect()
        };
        let h = 4e-3 * at[place].abs().max(1.0);
        let (wide, narrow) = (difference(h), difference(h / 2.0));
        let exact: Vec<f64> = wide.iter().zip(&narrow).map(|(w, n)| n + (n - w) / 3.0).collect();
        let largest = exact.iter().fold(0.0_f64, |most, slope| most.max(slope.abs()));
        for (row, slope) in exact.iter().enumerate() {
            let found = jacobian[row * columns + place];
            assert!((found - slope).abs() < 1e-6 * largest, "{place} at row {row}: {found} and not {slope}");
        }
    }
}

#[test]
fn runs_and_a_log_together_tell_five_numbers() {
    let truth = [(RATE, 4.9e-4), (ENERGY, 58.0), (PH_ORDER, 0.3), (NICKEL, 0.2), (HYPO, 0.5)];
    let of_truth = with(power_law(), &truth);
    let log = week(&of_truth, "week.csv", 25, 1.0, 3);
    let paths = truth.map(|(path, _)| path);
    let options = RecipeFitOptions { specification: asked(&paths), ..RecipeFitOptions::default() };
    let found = fit_recipe(&power_law(), &[Data::Log(log)], &options).expect("a fit");
    for (estimate, (path, value)) in found.estimates.iter().zip(truth) {
        let [low, high] = estimate.interval95.expect("an interval");
        // 95 % intervals of five numbers; half as wide again keeps a fixed seed from hanging on one.
        let spare = 0.25 * (high - low);
        assert!((low - spare..high + spare).contains(&value), "{path}: {value} outside {low} to {high}");
    }
    // Each column's own scatter comes back: 1.5 % of 25 readings, and 0.02 pH.
    for column in found.model.columns() {
        let errors = match column.errors {
            ErrorModel::Absolute { sigma } => sigma / 0.02,
            ErrorModel::Mixed { relative, .. } => relative / 0.015,
            ErrorModel::Relative { sigma } => sigma / 0.015,
        };
        let size = errors * column.size;
        assert!((0.6..1.4).contains(&size), "{}: {size}", column.name);
    }
}

/// Producer: the readings of the fit itself and the additions of the log; 1e-6 of what separate steps give.
#[test]
fn the_course_between_rows_meets_the_readings_and_jumps_by_the_additions() {
    let log = week(&power_law(), "week.csv", 13, 1.0, 3);
    let options = RecipeFitOptions { specification: asked(&[RATE]), ..RecipeFitOptions::default() };
    let found = fit_recipe(&power_law(), &[Data::Log(log.clone())], &options).expect("a fit");
    let course = found.course(0, 200).expect("a course");
    assert!(course.time_h.windows(2).all(|pair| pair[0] < pair[1]));
    let of = |name: &str| &course.columns.iter().find(|(known, _)| known == name).expect("a column").1;
    let hours = log.column("time_h").expect("times");
    for measured in found.measured() {
        let hour = hours[measured.row - 1].expect("a time");
        let at = course.time_h.iter().position(|time| (time - hour).abs() < 1e-9).expect("a row's time");
        close(of(measured.column)[at], measured.calculated, 1e-6, measured.column);
    }
    // Metal is poured in at row 2: the next point, a tenth of a second later, has it.
    let at =
        course.time_h.iter().position(|time| (time - hours[1].expect("a time")).abs() < 1e-9).expect("row 2");
    assert!(of("nickel_g_l")[at + 1] > of("nickel_g_l")[at] + 0.05);
    assert!(found.course(1, 200).is_err());
}

#[test]
fn logs_that_cannot_be_followed_are_refused_by_row() {
    let refused = |columns: Vec<(&str, Vec<Option<f64>>)>| -> DataError {
        let options = RecipeFitOptions { specification: asked(&[RATE]), ..RecipeFitOptions::default() };
        fit_recipe(&power_law(), &[Data::Log(sheet("log.csv", columns))], &options).unwrap_err()
    };
    let nickel = || ("nickel_g_l", some(&[6.0, 5.5]));
    for (error, words) in [
        (refused(vec![("time_h", some(&[1.0, 1.0])), nickel()]), "row 2, time_h = 1"),
        (refused(vec![nickel()]), "a log needs a column time_h"),
        (refused(vec![("time_h", some(&[0.0, 1.0])), ("nickle_g_l", some(&[6.0, 5.5]))]), "nickel_g_l"),
        (
            refused(vec![("time_h", some(&[0.0, 1.0])), ("hypophosphite_g_l", some(&[20.0, 19.0]))]),
            "as what?",
        ),
        (
            refused(vec![("time_h", some(&[0.0, 1.0])), ("metal_l", some(&[0.0, -1.0])), nickel()]),
            "row 2, metal_l",
        ),
        (
            refused(vec![
                ("time_h", some(&[0.0, 1.0])),
                ("area_dm2", some(&[0.0, 10.0])),
                ("plating_min", some(&[0.0, 90.0])),
                nickel(),
            ]),
            "row 2, plating_min = 90",
        ),
        (
            refused(vec![
                ("time_h", some(&[0.0, 90.0])),
                ("area_in_tank_dm2", some(&[0.0, 20000.0])),
                nickel(),
            ]),
            "used up before the next row",
        ),
    ] {
        assert!(error.to_string().contains(words), "'{error}' lacks '{words}'");
    }
}

/// Producer: the dictionary at make-up. What can be read off a bath at a moment can stand in a log, by its name.
#[test]
fn every_reading_can_stand_in_a_log() {
    let recipe = power_law();
    let tank = recipe.model().expect("a model").tank.clone();
    let fresh = live(&with(recipe.clone(), &[("limits.turnovers", 0.02)])).rows[0].clone();
    // A log has a temperature to set it, and nothing below zero.
    let can = |of: &Quantity| {
        let value = of.value(&tank, &fresh);
        !of.entry().counts && value.is_finite() && value > 0.0 && of.name(&tank) != "temperature_c"
    };
    let readings: Vec<Quantity> = Quantity::all(&tank).into_iter().filter(can).collect();
    assert!(readings.len() > 20, "{readings:?}");
    let names: Vec<String> = readings.iter().map(|of| of.name(&tank)).collect();
    let mut columns = vec![("time_h", some(&[0.0, 0.1]))];
    let cell = |of: &Quantity| vec![Some(of.value(&tank, &fresh)), None];
    columns.extend(names.iter().map(String::as_str).zip(readings.iter().map(cell)));
    let (_, values) = calculated(&recipe, &[Data::Log(sheet("log.csv", columns))], &asked(&[RATE]));
    for ((of, name), value) in readings.iter().zip(&names).zip(values) {
        close(value, of.value(&tank, &fresh), 1e-5, name);
    }
}

#[test]
fn what_a_log_does_not_tell_is_said() {
    let columns = || {
        vec![
            ("time_h", some(&[0.0, 1.0, 2.0])),
            ("area_in_tank_dm2", some(&[0.0, 150.0, 150.0])),
            ("nickel_g_l", some(&[5.9, 5.2, 4.7])),
        ]
    };
    let fitted = |recipe: &Recipe, specification: FitSpecification| {
        let options = RecipeFitOptions { specification, ..RecipeFitOptions::default() };
        fit_recipe(recipe, &[Data::Log(sheet("log.csv", columns()))], &options).expect("a fit").remarks
    };
    let text = |messages: &[bathkin::Remark], code: &str| {
        messages.iter().find(|remark| remark.code == code).map(|remark| remark.text.clone()).expect("it")
    };
    let said = fitted(&power_law(), asked(&[RATE]));
    assert!(
        text(&said, "log-start")
            .contains("the first row fixes nickel_g_l; everything else is taken as at make-up")
    );
    assert!(text(&said, "log-ph").contains("it is left alone"));
    let pumped = power_law().with("ph_control.policy", Value::Text("continuous".to_owned()), "test");
    let said = fitted(&pumped, FitSpecification { starts_as_made_up: true, ..asked(&[RATE]) });
    assert!(text(&said, "log-start").contains("taken as at make-up"));
    assert!(text(&said, "log-ph").contains("held by the pump"));
}
