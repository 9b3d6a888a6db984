//! Units of columns of runs and logs: what cannot be meant is doubted or refused.

use bathkin_fit::data::ErrorModel;
use bathkin_fit::error::{Part, SpecificationProblem};
use bathkin_fit::objective::Tie;
use bathkin_fit::{Data, DataError, FitSpecification, fit_recipe};

use support::fits::{ENERGY, RATE, asked, calculated, close, fitted, has, log_with, of, runs, sheet, some};
use support::recipes::power_law;
use support::stabilized::stabilized;

const NICKEL: &str = "deposition.order.nickel";
// Invented.
const CELSIUS: [f64; 6] = [75.0, 80.0, 84.0, 88.0, 92.0, 95.0];
const RATES: [f64; 6] = [8.1, 11.3, 13.9, 17.6, 22.4, 25.2];

fn rates() -> Data {
    runs(&[("temperature_c", &CELSIUS), ("deposition_um_h", &RATES)])
}

#[test]
fn units_that_cannot_be_meant_are_doubted_or_refused() {
    let with = |column: &str, value: f64| {
        runs(&[("temperature_c", &CELSIUS), ("deposition_um_h", &RATES), (column, &[value; 6])])
    };
    let found = fitted(&[with("nickel_g_l", 12.0)], of(asked(&[RATE])));
    has(&found, "outside-range", "make_up.nickel_sulfate_hexahydrate_g_l");
    let refused =
        fit_recipe(&power_law(), &[with("nickel_g_l", 6000.0)], &of(asked(&[RATE]))).expect_err("mg");
    assert!(refused.to_string().contains("row 1, nickel_g_l = 6000"), "{refused}");
    let found = fitted(&[runs(&[("deposition_um_h", &RATES)])], of(asked(&[RATE])));
    has(&found, "recipe-value", "no column of temperatures, the recipe's 88 degC was taken");

    let Data::Log(log) = log_with(None) else { unreachable!() };
    let with = |column: &str, times: f64| {
        let mut log = log.clone();
        for (name, cells) in &mut log.columns {
            if name == column {
                cells.iter_mut().for_each(|cell| *cell = cell.map(|cell| times * cell));
            }
        }
        log
    };
    let gallons = {
        let mut log = log.clone();
        log.columns.push(("volume_l".to_owned(), vec![Some(105.0); 21]));
        log
    };
    let found = fitted(&[Data::Log(gallons)], of(asked(&[RATE])));
    has(&found, "errors-large", "volume_l");
    let found = fitted(&[Data::Log(with("nickel_g_l", 0.1335))], of(asked(&[RATE])));
    has(&found, "start-far", "start.nickel_g_l@log.csv");
    let flooded = {
        let mut log = log.clone();
        let last = (0..21).map(|row| Some(if row == 20 { 250.0 } else { 0.0 })).collect();
        log.columns.push(("water_l".to_owned(), last));
        log
    };
    let found = fitted(&[Data::Log(flooded)], of(asked(&[RATE])));
    has(&found, "addition-large", "log.csv: row 21: 250.0 L were added at once");
    let refused = fit_recipe(&power_law(), &[Data::Log(with("metal_ml_l", 1e3))], &of(asked(&[RATE])));
    let text = refused.expect_err("uL").to_string();
    assert!(text.contains("row 1, metal_ml_l = 2000: expected at most the 400.0000 L of the tank"), "{text}");
    let refused = fit_recipe(&power_law(), &[Data::Log(with("nickel_g_l", 1e3))], &of(asked(&[RATE])));
    assert!(refused.expect_err("mg").to_string().contains("nearer to the make-up's 6.0"));
}

#[test]
fn a_phosphate_is_no_ph() {
    let hours = some(&[0.0, 1.0, 2.0]);
    let log = sheet(
        "log.csv",
        vec![
            ("time_h", hours),
            ("nickel_g_l", some(&[6.0, 6.0, 6.0])),
            ("orthophosphite_mol_l", some(&[0.0735, 0.074, 0.075])),
            ("ph", some(&[4.8, 4.8, 4.8])),
        ],
    );
    let model = asked(&[RATE]).build(&power_law(), &[Data::Log(log)]).expect("a model");
    let errors: Vec<ErrorModel> = model.columns().iter().map(|column| column.errors).collect();
    assert!(matches!(errors[1], ErrorModel::Mixed { .. }), "{errors:?}");
    assert_eq!(errors[2], ErrorModel::Absolute { sigma: 0.05 });
}

/// A trace by weight: 1 mg/L of thiourea, 76.12 g/mol (IUPAC weights 2021), is 1.3137e-5 mol/L.
#[test]
fn a_trace_is_read_in_milligrams() {
    let stabilized = stabilized();
    let log = |column: &'static str, cells: &[f64]| {
        Data::Log(sheet("log.csv", vec![("time_h", some(&[0.0, 1.0])), (column, some(cells))]))
    };
    let specification = FitSpecification { starts_as_made_up: true, ..asked(&[RATE]) };
    let (_, milligrams) = calculated(&stabilized, &[log("thiourea_mg_l", &[1.0, 1.0])], &specification);
    let (_, moles) = calculated(&stabilized, &[log("thiourea_mol_l", &[1e-5, 1e-5])], &specification);
    close(milligrams[0], 1.0, 1e-3, "mg/L at make-up");
    close(milligrams[1] / moles[1], 76.12e3, 1e-4, "mg/mol");
    let refused = specification.build(&stabilized, &[log("lactate_mg_l", &[1.0, 1.0])]);
    let text = refused.expect_err("as what").to_string();
    assert!(text.contains("milligrams of lactate as what? 1 mg/L is"), "{text}");
}

#[test]
fn one_thing_is_asked_once() {
    let tie = |factor| Tie { path: NICKEL.to_owned(), to: ENERGY.to_owned(), factor: Some(factor) };
    let per = |column: &str| (RATE.to_owned(), column.to_owned());
    for (specification, path, part) in [
        (FitSpecification { ties: vec![tie(1.0), tie(2.0)], ..asked(&[RATE, ENERGY]) }, NICKEL, Part::Tied),
        (FitSpecification { per: vec![per("run"), per("data")], ..asked(&[RATE]) }, RATE, Part::Grouped),
    ] {
        let refused = fit_recipe(&power_law(), &[rates()], &of(specification)).expect_err("twice");
        let DataError::Specification(SpecificationProblem::Twice { path: twice, what }) = refused else {
            panic!("{refused}")
        };
        assert_eq!((twice.as_str(), what), (path, part));
    }
    let found = fitted(&[rates()], of(asked(&[RATE, ENERGY])));
    let twice = [("time_min".to_owned(), 30.0), ("time_min".to_owned(), 60.0)];
    assert!(found.predict(&twice).expect_err("twice").to_string().contains("time_min is given twice"));
}
