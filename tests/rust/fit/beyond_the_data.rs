//! Fits that must not say more than the data do: noise of slopes, outliers, sigmas of single runs, labels.

use bathkin_fit::data::ErrorModel;
use bathkin_fit::predict::{Aim, CandidateModel, DesignOptions, compare, next_runs};
use bathkin_fit::{Data, DataError, FitSpecification, RecipeFitOptions};
use bathkin_numerics::least_squares::{Loss, Residuals};
use bathkin_statistics::cross_validation::Folds;
use bathkin_statistics::{FitError, Scale};
use rayon::ThreadPoolBuilder;

use support::fits::{ENERGY, RATE, asked, close, fitted, has, log_with, of, runs, sheet, some};
use support::recipes::power_law;
use support::stabilized::stabilized;

const NICKEL: &str = "deposition.order.nickel";
// Invented.
const CELSIUS: [f64; 6] = [75.0, 80.0, 84.0, 88.0, 92.0, 95.0];
const RATES: [f64; 6] = [8.1, 11.3, 13.9, 17.6, 22.4, 25.2];

fn rates() -> Data {
    runs(&[("temperature_c", &CELSIUS), ("deposition_um_h", &RATES)])
}

/// Nickel is the make-up's in every run: its order multiplies all rates by one factor, close to one.
#[test]
fn an_order_that_no_run_varies_stays_where_it_was() {
    let found = fitted(&[rates()], of(asked(&[RATE, ENERGY, NICKEL])));
    let plain = fitted(&[rates()], of(asked(&[RATE, ENERGY])));
    assert_eq!(found.estimates[2].status, "rank_deficient");
    assert!((found.estimates[2].value - 0.25).abs() < 0.01, "{:?}", found.estimates[2]);
    close(found.estimates[1].value, plain.estimates[1].value, 1e-6, "energy");
    close(
        found.estimates[1].standard_error.expect("one"),
        plain.estimates[1].standard_error.expect("one"),
        1e-6,
        "its error",
    );
    has(&found, "not-varied", "not determined");
}

#[test]
fn a_robust_loss_is_not_talked_into_an_outlier_by_its_size() {
    let loss = |loss: Loss| RecipeFitOptions { loss, ..of(asked(&[RATE])) };
    let clean = fitted(&[log_with(None)], loss(Loss::Linear));
    let truth = clean.estimates[0].value;
    let error = clean.estimates[0].standard_error.expect("one");
    let plain = fitted(&[log_with(Some(14))], loss(Loss::Linear));
    let apart = (plain.estimates[0].value - truth) / error;
    assert!(apart.abs() > 1.0, "the outlier matters: {apart} standard errors");
    for robust in [Loss::Huber, Loss::Cauchy, Loss::SoftL1] {
        let found = fitted(&[log_with(Some(14))], loss(robust));
        let apart = (found.estimates[0].value - truth) / error;
        assert!(apart.abs() < 0.5, "{robust:?}: {apart} standard errors");
        let size = found.column_errors()[0].size;
        assert!(size < 2.0, "{robust:?}: nickel of size {size}");
        assert!(found.criteria().is_none());
        let refused = found.log_posterior(&[truth, 6.0, 4.8]).expect_err("no likelihood");
        let DataError::Fit(FitError::RobustLoss { method }) = refused else { panic!("{refused}") };
        assert_eq!(method, "a posterior");
        assert!(found.sampler_start(4, 1).is_err());
    }
}

/// Runs with 5 % each. The closed form: relative errors of 5 % are the same data.
#[test]
fn runs_with_a_sigma_each_say_nothing_of_the_next_one() {
    let sigma: Vec<f64> = RATES.iter().map(|rate| 0.05 * rate).collect();
    let own = runs(&[("temperature_c", &CELSIUS), ("deposition_um_h", &RATES), ("sigma", &sigma)]);
    let errors = Some(ErrorModel::Relative { sigma: 0.05 });
    let known =
        |specification: FitSpecification| RecipeFitOptions { scale: Scale::Known, ..of(specification) };
    let stated = fitted(&[rates()], known(FitSpecification { errors, ..asked(&[RATE, ENERGY]) }));
    let found = fitted(&[own], known(asked(&[RATE, ENERGY])));
    let settings = [("temperature_c".to_owned(), 86.0)];
    assert!(stated.predict(&settings).expect("a prediction").prediction.is_some());
    assert_eq!(found.predict(&settings).expect("a prediction").prediction, None);
    let candidates = [70.0, 98.0].map(|t| vec![("temperature_c".to_owned(), t)]);
    let with = |relative_sigma| DesignOptions {
        count: 2,
        aim: Aim::Path(ENERGY.to_owned()),
        relative_sigma,
        ..DesignOptions::default()
    };
    let refused = next_runs(&found, &candidates, &with(None)).expect_err("no sigma");
    assert!(refused.to_string().contains("a sigma each"), "{refused}");
    let told = next_runs(&found, &candidates, &with(Some(0.05))).expect("runs");
    let expected = next_runs(&stated, &candidates, &with(None)).expect("runs");
    for (told, expected) in told.expected.iter().zip(&expected.expected) {
        let errors = (told.standard_error_after, expected.standard_error_after);
        close(errors.0.expect("one"), errors.1.expect("one"), 1e-8, &told.path);
    }
    let columns = found.column_errors();
    assert!(columns[0].own_sigmas && columns[0].relative_sigma.is_none());
    assert_eq!(found.record().error_model, ["deposition_um_h: its own sigmas times 1.0000e0"]);
}

#[test]
fn equal_candidates_are_one() {
    let found = fitted(&[rates()], of(asked(&[RATE, ENERGY])));
    let candidates = [95.0, 95.0, 75.0].map(|t| vec![("temperature_c".to_owned(), t)]);
    let chosen = next_runs(&found, &candidates, &DesignOptions { count: 2, ..DesignOptions::default() });
    let mut settings: Vec<f64> = chosen.expect("runs").runs.iter().map(|run| run.settings[0].1).collect();
    settings.sort_by(f64::total_cmp);
    assert_eq!(settings, [75.0, 95.0]);
}

/// 0.46 mg/L of thiourea at the start: slopes by it agree with those of steps ten times as large and as small.
#[test]
fn a_trace_is_moved_by_a_part_of_itself() {
    let stabilized = stabilized();
    let log = sheet(
        "log.csv",
        vec![
            ("time_h", some(&[0.0, 1.0, 2.0, 3.0])),
            ("area_in_tank_dm2", some(&[0.0, 150.0, 150.0, 150.0])),
            ("nickel_g_l", some(&[6.0, 5.6, 5.2, 4.9])),
            ("thiourea_mol_l", some(&[6e-6, 5e-6, 4e-6, 3e-6])),
        ],
    );
    let model = asked(&[RATE]).build(&stabilized, &[Data::Log(log)]).expect("a model");
    let place = model.free().iter().position(|number| number.name.contains("thiourea")).expect("a start");
    let (rows, parameters) = (model.rows(), model.parameters());
    let (mut f, mut j) = (vec![0.0; rows], vec![0.0; rows * parameters]);
    model.linearise(&model.start(), &mut f, &mut j).expect("slopes");
    for part in [1e-3, 1e-4] {
        let at = |side: f64| {
            let mut at = model.start();
            at[place] *= 1.0 + side * part;
            let mut f = vec![0.0; rows];
            model.residuals(&at, &mut f).expect("residuals");
            f
        };
        let (above, below) = (at(1.0), at(-1.0));
        for row in 0..rows {
            let slope = (above[row] - below[row]) / (2.0 * part * model.start()[place]);
            let given = j[row * parameters + place];
            assert!((given - slope).abs() < 2e-5 * slope.abs().max(1.0), "row {row}: {given} and {slope}");
        }
    }
}

#[test]
fn what_is_left_out_is_predicted_alike_by_any_number_of_threads() {
    let minutes = [60.0; 6];
    let area = [50.0; 6];
    let thickness: Vec<f64> = RATES.iter().map(|rate| 0.97 * rate).collect();
    let data = runs(&[
        ("temperature_c", &CELSIUS),
        ("time_min", &minutes),
        ("area_cm2", &area),
        ("thickness_um", &thickness),
    ]);
    let candidate = |name: &str, free: &[&str]| CandidateModel {
        name: name.to_owned(),
        recipe: power_law(),
        options: of(asked(free)),
    };
    let candidates = [candidate("rate", &[RATE]), candidate("both", &[RATE, ENERGY])];
    let with = |threads: usize| {
        let pool = ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
        let found = pool.install(|| compare(&candidates, std::slice::from_ref(&data), Some(Folds::Each)));
        found.expect("a comparison").ranked
    };
    let alone = with(1);
    for _ in 0..3 {
        assert_eq!(with(3), alone);
    }
}

#[test]
fn remarks_hold_for_numbers_that_labels_part() {
    let Data::Runs(mut sheet) = rates() else { unreachable!() };
    // Rates that hardly rise.
    sheet.columns[1].1 = some(&[15.0, 15.1, 15.0, 15.2, 15.1, 15.2]);
    sheet.labels.push(("lot".to_owned(), ["a", "a", "a", "b", "b", "b"].map(str::to_owned).to_vec()));
    let per = vec![(ENERGY.to_owned(), "lot".to_owned())];
    let found = fitted(&[Data::Runs(sheet)], of(FitSpecification { per, ..asked(&[RATE, ENERGY]) }));
    has(&found, "implausible", "deposition.activation_energy_kj_mol@a");
    has(&found, "outside-range", "deposition.activation_energy_kj_mol@a");
}

/// A pH order that the data push below zero, held there: how far it may go up is told by its slopes.
#[test]
fn a_number_on_a_bound_at_zero_has_a_limit() {
    let order = "deposition.ph_order";
    let ph = [4.4, 4.6, 4.8, 5.0, 5.2, 5.4];
    let falling = [18.0, 17.2, 16.9, 16.3, 15.6, 15.3];
    let data = runs(&[("temperature_c", &[88.0; 6]), ("ph", &ph), ("deposition_um_h", &falling)]);
    let held = |low: f64| {
        let bounds = vec![(order.to_owned(), low, 2.0)];
        let found =
            fitted(std::slice::from_ref(&data), RecipeFitOptions { bounds, ..of(asked(&[RATE, order])) });
        assert_eq!(found.estimates[1].status, "at_bound");
        found.profile(1, 0.95).expect("a profile")
    };
    let [low, high] = held(0.0);
    let near = held(1e-3)[1].expect("a limit");
    assert_eq!(low, Some(0.0));
    close(high.expect("a limit"), near, 0.1, "the limit above");
}
