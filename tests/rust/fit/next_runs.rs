//! Runs to make next, against the information matrix of the line that the logarithm of rates is.

use bathkin_fit::data::ErrorModel;
use bathkin_fit::predict::{Aim, DesignOptions, grid, next_runs};
use bathkin_fit::{Data, FitSpecification, RecipeFit, RecipeFitOptions, fit_recipe};
use bathkin_statistics::Scale;
use bathkin_statistics::quantiles::two_sided;
use nalgebra::{DMatrix, DVector};

use support::fits::{ENERGY, PH_ORDER, RATE, asked, close, runs, sheet};
use support::recipes::power_law;

const CELSIUS: [f64; 4] = [84.0, 86.0, 88.0, 90.0];
const SIGMA: f64 = 0.03;

fn fitted(free: &[&str], scale: Scale) -> RecipeFit {
    let data = runs(&[("temperature_c", &CELSIUS), ("deposition_um_h", &[14.6, 16.2, 18.6, 20.7])]);
    let errors = Some(ErrorModel::Relative { sigma: SIGMA });
    let specification = FitSpecification { errors, ..asked(free) };
    let options = RecipeFitOptions { specification, scale, ..RecipeFitOptions::default() };
    fit_recipe(&power_law(), &[data], &options).expect("a fit")
}

/// d ln rate by (ln k, Ea): Arrhenius about 88 degC.
fn slopes(celsius: f64) -> DVector<f64> {
    const GAS_CONSTANT_KJ: f64 = 8.314_462_618_153_24e-3;
    DVector::from_row_slice(&[1.0, -(1.0 / (celsius + 273.15) - 1.0 / 361.15) / GAS_CONSTANT_KJ])
}

fn information(celsius: &[f64]) -> DMatrix<f64> {
    let add = |sum: DMatrix<f64>, celsius: &f64| {
        let g = slopes(*celsius);
        sum + &g * g.transpose() / (SIGMA * SIGMA)
    };
    celsius.iter().fold(DMatrix::zeros(2, 2), add)
}

fn temperatures(values: &[f64]) -> Vec<Vec<(String, f64)>> {
    grid(&[("temperature_c".to_owned(), values.to_vec())])
}

/// Producer: every pair of candidates tried by hand, 1e-6 on the standard errors.
#[test]
fn chosen_runs_are_the_best_of_all_pairs() {
    let found = fitted(&[RATE, ENERGY], Scale::Known);
    let celsius = [72.0, 76.0, 80.0, 84.0, 88.0, 92.0];
    for (aim, worth) in [
        (Aim::All, (|m: &DMatrix<f64>| m.determinant()) as fn(&DMatrix<f64>) -> f64),
        (Aim::Path(ENERGY.to_owned()), |m| 1.0 / m.clone().try_inverse().expect("regular")[(1, 1)]),
        (Aim::Path(RATE.to_owned()), |m| 1.0 / m.clone().try_inverse().expect("regular")[(0, 0)]),
    ] {
        let options = DesignOptions { count: 2, aim: aim.clone(), ..DesignOptions::default() };
        let next = next_runs(&found, &temperatures(&celsius), &options).expect("a design");
        let mut best = (0.0, [0.0; 2]);
        for (place, a) in celsius.iter().enumerate() {
            for b in &celsius[place + 1..] {
                let known = worth(&information(&[&CELSIUS[..], &[*a, *b]].concat()));
                if known > best.0 {
                    best = (known, [*a, *b]);
                }
            }
        }
        let mut chosen: Vec<f64> = next.runs.iter().map(|run| run.settings[0].1).collect();
        chosen.sort_by(f64::total_cmp);
        assert_eq!(chosen, best.1, "{aim:?}");
        let [before, after] = [information(&CELSIUS), information(&[&CELSIUS[..], &best.1].concat())]
            .map(|known| known.try_inverse().expect("regular"));
        let rate = &next.expected[0];
        close(rate.standard_error.unwrap() / rate.value, before[(0, 0)].sqrt(), 1e-6, "rate before");
        close(rate.standard_error_after.unwrap() / rate.value, after[(0, 0)].sqrt(), 1e-6, "rate after");
        let energy = &next.expected[1];
        close(energy.standard_error.unwrap(), before[(1, 1)].sqrt(), 1e-6, "Ea before");
        close(energy.standard_error_after.unwrap(), after[(1, 1)].sqrt(), 1e-6, "Ea after");
        close(energy.half_width95_after.unwrap(), 1.959_964 * after[(1, 1)].sqrt(), 1e-6, "half-width");
        assert!(next.remarks.iter().any(|remark| remark.code == "no-repeats"));
    }
}

#[test]
fn repeats_come_when_they_are_allowed_and_freedom_with_them() {
    let found = fitted(&[RATE, ENERGY], Scale::Estimated);
    let aim = Aim::Path(ENERGY.to_owned());
    let options = DesignOptions { count: 3, aim, at_most: 3, ..DesignOptions::default() };
    let next = next_runs(&found, &temperatures(&[72.0, 80.0, 88.0]), &options).expect("a design");
    assert!(next.runs.iter().all(|run| run.settings[0].1 == 72.0), "{:?}", next.runs);
    let energy = &next.expected[1];
    let [now, after] = [2, 5].map(|freedom| two_sided(0.95, Some(freedom)).unwrap());
    close(energy.half_width95.unwrap() / energy.standard_error.unwrap(), now, 1e-9, "t now");
    close(energy.half_width95_after.unwrap() / energy.standard_error_after.unwrap(), after, 1e-9, "t after");
    let plated = found.predict(&[("temperature_c".to_owned(), 72.0)]).expect("a prediction");
    close(next.runs[0].expected, plated.value, 1e-12, "what it would show");
}

#[test]
fn a_number_that_no_run_told_is_told_by_the_run_chosen() {
    // All at one pH, and not that of reference: the order cannot be told from the rate.
    let data = runs(&[
        ("ph", &[4.6; 4]),
        ("temperature_c", &CELSIUS),
        ("deposition_um_h", &[12.4, 13.8, 15.8, 17.6]),
    ]);
    let specification = asked(&[RATE, ENERGY, PH_ORDER]);
    let options = RecipeFitOptions { specification, scale: Scale::Known, ..RecipeFitOptions::default() };
    let found = fit_recipe(&power_law(), &[data], &options).expect("a fit");
    let candidates =
        grid(&[("temperature_c".to_owned(), vec![80.0, 88.0]), ("ph".to_owned(), vec![4.6, 5.2])]);
    let next = next_runs(&found, &candidates, &DesignOptions::default()).expect("a design");
    assert_eq!(next.runs[0].settings[1], ("ph".to_owned(), 5.2));
    assert_eq!(next.runs[0].gain, None);
    let order = &next.expected[2];
    assert!(order.newly_determined && order.standard_error.is_none() && order.standard_error_after.is_some());
}

#[test]
fn candidates_that_cannot_be_made_are_left_out_and_told() {
    let found = fitted(&[RATE, ENERGY], Scale::Known);
    let next = next_runs(&found, &temperatures(&[120.0, 80.0]), &DesignOptions::default()).expect("a design");
    assert_eq!(next.runs[0].settings[0].1, 80.0);
    let said = next.remarks.iter().find(|remark| remark.code == "candidate-left-out").expect("it is said");
    assert!(said.text.contains("candidate 1") && said.text.contains("100 degC"), "{}", said.text);
    let refused = |candidates: &[f64], options: DesignOptions| -> String {
        next_runs(&found, &temperatures(candidates), &options).unwrap_err().to_string()
    };
    let of_two = DesignOptions { count: 2, ..DesignOptions::default() };
    assert!(refused(&[120.0], DesignOptions::default()).contains("100 degC"));
    assert!(
        refused(&[80.0], of_two).contains("1 experiments allowed by the candidates: expected at least 2")
    );
    let aim = Aim::Path(PH_ORDER.to_owned());
    assert!(refused(&[80.0], DesignOptions { aim, ..DesignOptions::default() }).contains("is not free"));
    let sigma = DesignOptions { relative_sigma: Some(0.1), ..DesignOptions::default() };
    assert!(refused(&[80.0], sigma).contains("leave it out"));
}

/// Producer: the information of the fit and that of a run of 5 %, s of the fit left out; 1e-6.
#[test]
fn a_log_needs_to_be_told_the_errors_of_coupons() {
    let some = |cells: &[f64]| cells.iter().map(|cell| Some(*cell)).collect::<Vec<_>>();
    let log = sheet(
        "log.csv",
        vec![("time_h", some(&[0.0, 1.0, 2.0, 3.0])), ("deposition_um_h", some(&[18.0, 18.9, 18.2, 18.6]))],
    );
    let options = RecipeFitOptions { specification: asked(&[RATE]), ..RecipeFitOptions::default() };
    let found = fit_recipe(&power_law(), &[Data::Log(log)], &options).expect("a fit");
    let candidates = temperatures(&[88.0]);
    let told = DesignOptions { relative_sigma: Some(0.05), ..DesignOptions::default() };
    match next_runs(&found, &candidates, &DesignOptions::default()) {
        // The column of rates is the log's own: its errors are known.
        Ok(_) => assert!(next_runs(&found, &candidates, &told).is_err()),
        Err(error) => {
            assert!(error.to_string().contains("relative_sigma"), "{error}");
            let next = next_runs(&found, &candidates, &told).expect("a design");
            let of_rate = &next.expected[0];
            let before = (of_rate.standard_error.unwrap() / of_rate.value).powi(-2);
            let after = (of_rate.standard_error_after.unwrap() / of_rate.value).powi(-2);
            close(after - before, 0.05_f64.powi(-2), 1e-6, "information of a run");
        }
    }
}
