//! What fits of recipes say of rows that are off and of a model that misses the data, and what they do not say.

use bathkin::document::Value;
use bathkin_fit::data::ErrorModel;
use bathkin_fit::estimate::Prior;
use bathkin_fit::predict::{ForecastOptions, forecast};
use bathkin_fit::{Data, FitSpecification, RecipeFit, RecipeFitOptions, fit_recipe};
use bathkin_numerics::least_squares::Loss;
use bathkin_statistics::Scale;

use support::assert_relative;
use support::fits::{ENERGY, PH_ORDER, RATE, asked, calculated, fitted, has, of, rates, runs, sheet, tank};
use support::recipes::power_law;

const NICKEL: &str = "deposition.order.nickel";
const HYPO: &str = "deposition.order.hypophosphite";
const HYDROGEN: &str = "hydrogen.per_metal_mol";

fn says(found: &RecipeFit, code: &str) -> bool {
    found.remarks.iter().any(|remark| remark.code == code)
}

// Invented.
const CELSIUS: [f64; 8] = [76.0, 78.0, 80.0, 82.0, 84.0, 86.0, 88.0, 90.0];
const RATES: [f64; 8] = [8.61, 9.62, 10.61, 11.86, 13.02, 14.35, 15.83, 17.35];

#[test]
fn an_outlying_run_is_named_and_no_curvature_is_seen_in_it() {
    let clean = fitted(&[rates(&CELSIUS, &RATES)], of(asked(&[RATE, ENERGY])));
    for code in ["outlier", "curved", "may-be-curved", "misfit", "may-miss"] {
        assert!(!says(&clean, code), "{:?}", clean.remarks);
    }
    let mut off = RATES;
    off[7] *= 1.2;
    let found = fitted(&[rates(&CELSIUS, &off)], of(asked(&[RATE, ENERGY])));
    has(&found, "outlier", "runs.csv row 8, deposition_um_h = 20.82 lies");
    has(&found, "outlier", "above what the other rows say (p = ");
    assert!(!says(&found, "curved") && !says(&found, "may-be-curved"), "{:?}", found.remarks);
}

#[test]
fn what_the_model_misses_in_coupons_is_said() {
    // Rates that level off when it gets hotter.
    let bent = [8.61, 9.73, 10.76, 11.77, 12.61, 13.38, 14.06, 14.67];
    let found = fitted(&[rates(&CELSIUS, &bent)], of(asked(&[RATE, ENERGY])));
    has(&found, "curved", "a quadratic term in 1/T has t = -");
    has(&found, "curved", "not Arrhenius over this range");
    assert_eq!(found.misfit().count(), 1);
    // Nobody freed the pH order, and the rate follows pH more than the recipe says.
    let ph = [4.4, 4.5, 4.6, 4.7, 4.8, 4.9, 5.0, 5.1];
    let um_h = [9.1, 10.4, 12.0, 13.5, 15.6, 17.7, 20.6, 23.1];
    let data = [runs(&[("ph", &ph), ("deposition_um_h", &um_h)])];
    let found = fitted(&data, of(asked(&[RATE])));
    has(
        &found,
        "misfit",
        "the model misses the data in deposition_um_h: its residuals rise or fall with ph (t = ",
    );
    let freed = fitted(&data, of(asked(&[RATE, PH_ORDER])));
    assert_eq!(freed.misfit().count(), 0, "{:?}", freed.remarks);
}

/// Scatter between -1 and 1 without any order in it, the same in every run.
fn scatter(row: usize) -> f64 {
    2.0 * ((12.9898 * (row as f64 + 1.0)).sin() * 43_758.545).rem_euclid(1.0) - 1.0
}

/// A log of a bath at the recipe's numbers, nickel off by parts of it.
fn log(off: impl Fn(usize) -> f64) -> Data {
    let some = |cells: &[f64]| cells.iter().map(|cell| Some(*cell)).collect::<Vec<_>>();
    let hours: Vec<f64> = (0..21).map(f64::from).collect();
    let area: Vec<f64> = (0..21).map(|row| if row == 0 { 0.0 } else { 120.0 }).collect();
    let added = [2.5; 21];
    let columns = |nickel: &[f64]| {
        Data::Log(sheet(
            "log.csv",
            vec![
                ("time_h", some(&hours)),
                ("area_in_tank_dm2", some(&area)),
                ("metal_ml_l", some(&added)),
                ("reductant_ml_l", some(&added)),
                ("nickel_g_l", some(nickel)),
            ],
        ))
    };
    let (_, exact) = calculated(&power_law(), &[columns(&[6.0; 21])], &asked(&[RATE]));
    columns(&(0..21).map(|row| exact[row] * (1.0 + off(row))).collect::<Vec<_>>())
}

#[test]
fn a_log_that_wanders_off_is_autocorrelated_and_not_forecast() {
    let jumps = |row: usize| 0.01 * scatter(row);
    let sound = fitted(&[log(jumps)], of(asked(&[RATE])));
    assert_eq!(sound.misfit().count(), 0, "{:?}", sound.remarks);
    let wanders = |row: usize| 0.02 * (0.45 * row as f64).sin() + 0.1 * jumps(row);
    let found = fitted(&[log(wanders)], of(asked(&[RATE])));
    has(
        &found,
        "autocorrelated",
        "the model misses the data in nickel_g_l: rows of log.csv that follow each other",
    );
    let options = ForecastOptions { count: 2, ..ForecastOptions::default() };
    let refused = forecast(&tank(8760.0), &found, &options, &|_| true).expect_err("a misfit").to_string();
    assert!(
        refused.contains("misses the data in nickel_g_l") && refused.contains("despite_misfit"),
        "{refused}"
    );
    let asked_for = ForecastOptions { despite_misfit: true, ..options.clone() };
    assert!(forecast(&tank(8760.0), &found, &asked_for, &|_| true).is_ok());
    assert!(forecast(&tank(8760.0), &sound, &options, &|_| true).is_ok());
    // One reading twice as large is an outlier, and not what follows it.
    let slip = |row: usize| jumps(row) + if row == 12 { 1.0 } else { 0.0 };
    let found = fitted(&[log(slip)], of(asked(&[RATE])));
    has(&found, "outlier", "log.csv row 13, nickel_g_l");
    assert_eq!(found.misfit().count(), 0, "one slip is no misfit: {:?}", found.remarks);
    assert!(!says(&found, "autocorrelated"), "{:?}", found.remarks);
}

#[test]
fn errors_far_from_those_of_the_instrument_are_said() {
    let large = |row: usize| 0.15 * scatter(row);
    has(
        &fitted(&[log(large)], of(asked(&[RATE]))),
        "errors-large",
        "the model misses the data in nickel_g_l: its scatter is",
    );
    let small = |row: usize| 1e-5 * scatter(row);
    has(&fitted(&[log(small)], of(asked(&[RATE]))), "errors-small", "nickel_g_l: its scatter is 0.00");
}

/// Rates at five temperatures tell nothing of hydrogen or of orthophosphite: a prior alone tells these.
#[test]
fn a_prior_that_alone_tells_a_number_is_at_odds_with_nothing() {
    let inhibition = "deposition.inhibition.orthophosphite.constant_mol_l";
    let priors = vec![
        Prior { path: HYDROGEN.to_owned(), mean: 1.58, standard_deviation: 0.3 },
        Prior::from_recipe(&power_law(), inhibition).expect("a range"),
    ];
    let data = rates(&[75.0, 80.0, 85.0, 90.0, 95.0], &[8.1, 11.3, 14.6, 19.9, 25.2]);
    let specification = asked(&[RATE, ENERGY, HYDROGEN, inhibition]);
    let found = fitted(&[data], RecipeFitOptions { priors, ..of(specification) });
    assert!(!says(&found, "prior-at-odds"), "{:?}", found.remarks);
    assert!(found.prior_weights.iter().all(|one| one.weight > 1.0 - 1e-6));
}

/// Replicates that differ by the last bit of a number differ by rounding.
#[test]
fn replicates_that_agree_to_rounding_are_no_test() {
    let celsius = [70.0, 70.0, 78.0, 78.0, 86.0, 86.0, 94.0, 94.0];
    let um_h = [8.0, 8.0 * (1.0 + 2e-16), 13.0, 13.0, 17.0, 17.0 * (1.0 + 4e-16), 17.5, 17.5];
    let found = fitted(&[rates(&celsius, &um_h)], of(asked(&[RATE, ENERGY])));
    assert!(found.lack_of_fit.is_none() && !says(&found, "lack-of-fit"), "{:?}", found.lack_of_fit);
}

#[test]
fn an_order_known_to_be_near_zero_is_known() {
    let nickel = [3.0, 4.0, 5.0, 6.0, 7.0, 8.0];
    // More nickel binds more of the lactate and lowers the rate otherwise.
    let exact = [15.87, 15.20, 15.37, 14.92, 14.91, 14.58];
    let found =
        fitted(&[runs(&[("nickel_g_l", &nickel), ("deposition_um_h", &exact)])], of(asked(&[RATE, NICKEL])));
    let [low, high] = found.estimates[1].interval95.expect("an interval");
    assert!(low < 0.0 && high > 0.0 && (0.04..0.15).contains(&(high - low)), "{low} to {high}");
    assert_eq!(found.estimates[1].status, "ok");
    assert!(!says(&found, "not-determined") && !says(&found, "weakly-determined"), "{:?}", found.remarks);
    let wide = [15.02, 11.0, 19.0, 15.04, 11.97, 18.01];
    let found =
        fitted(&[runs(&[("nickel_g_l", &nickel), ("deposition_um_h", &wide)])], of(asked(&[RATE, NICKEL])));
    assert_eq!(found.estimates[1].status, "not_determined");
    has(&found, "not-determined", "its interval holds zero");
    // A pH has no zero of that kind.
    assert!(found.estimates.iter().all(|one| one.path == NICKEL || one.status == "ok"));
}

#[test]
fn an_uncertain_energy_is_no_slip_of_units() {
    let data = rates(&[80.0, 84.0, 88.0, 92.0], &[10.2, 11.9, 10.1, 8.8]);
    let found = fitted(&[data], of(asked(&[RATE, ENERGY])));
    assert!(!says(&found, "implausible") && says(&found, "not-determined"), "{:?}", found.remarks);
    let sure = rates(&[80.0, 84.0, 88.0, 92.0], &[12.0, 11.0, 10.1, 9.2]);
    has(&fitted(&[sure], of(asked(&[RATE, ENERGY]))), "implausible", "check the units");
}

#[test]
fn copied_rows_and_conflicting_replicates_are_named() {
    let celsius = [76.0, 80.0, 84.0, 88.0, 76.0, 80.0];
    let um_h = [8.61, 10.61, 13.02, 15.83, 8.61, 10.61];
    let Data::Runs(mut sheet) = rates(&celsius, &um_h) else { unreachable!() };
    let found = fitted(&[Data::Runs(sheet.clone())], of(asked(&[RATE, ENERGY])));
    has(&found, "rows-copied", "runs.csv row 5 (runs.csv row 1), runs.csv row 6 (runs.csv row 2)");
    // Coupons of other names that agree, two of them: it may be.
    sheet.labels.push(("coupon".to_owned(), ["a", "b", "c", "d", "e", "f"].map(str::to_owned).to_vec()));
    let found = fitted(&[Data::Runs(sheet)], of(asked(&[RATE, ENERGY])));
    assert!(!says(&found, "rows-copied"));

    let celsius = [76.0, 80.0, 84.0, 88.0, 92.0, 84.0];
    let um_h = [8.61, 10.61, 13.02, 15.83, 19.2, 17.0];
    let found = fitted(&[rates(&celsius, &um_h)], of(asked(&[RATE, ENERGY])));
    has(
        &found,
        "replicates-conflict",
        "rows 3, 6 have the same settings, and deposition_um_h from 13.02 to 17.00",
    );
    let um_h = [8.61, 10.61, 13.02, 15.83, 19.2, 13.1];
    let found = fitted(&[rates(&celsius, &um_h)], of(asked(&[RATE, ENERGY])));
    assert!(!says(&found, "replicates-conflict"), "{:?}", found.remarks);
}

/// One run of ten 40 % too high: by least squares and by Huber's loss with the right sigma.
#[test]
fn huber_errors_are_of_the_size_of_those_without_the_outlier() {
    let celsius = [76.0, 77.5, 79.0, 80.5, 82.0, 84.0, 86.0, 88.0, 90.0, 92.0];
    let um_h = [8.66, 9.21, 10.19, 10.66, 11.82, 12.94, 14.5, 15.6, 17.55, 26.9];
    let errors = Some(ErrorModel::Relative { sigma: 0.012 });
    let with = |rows: usize, loss: Loss| {
        let specification = FitSpecification { errors, ..asked(&[RATE, ENERGY]) };
        let options = RecipeFitOptions { loss, ..of(specification) };
        let found = fitted(&[rates(&celsius[..rows], &um_h[..rows])], options);
        (found.estimates[1].value, found.estimates[1].standard_error.expect("one"))
    };
    let (clean, plain, huber) = (with(9, Loss::Linear), with(10, Loss::Linear), with(10, Loss::Huber));
    assert!(plain.1 > 5.0 * clean.1, "{plain:?} {clean:?}");
    assert!((huber.0 - clean.0).abs() < 2.0 * huber.1, "{huber:?} {clean:?}");
    assert!(huber.1 > 0.5 * clean.1 && huber.1 < 2.0 * clean.1, "{huber:?} {clean:?}");
}

/// Coupons in small beakers, whose bath runs low, in two of them dry.
fn beakers() -> Data {
    beakers_with(1.0)
}

/// The same with so many times the area in them.
fn beakers_with(times: f64) -> Data {
    let areas_cm2 =
        [50.0, 80.0, 20.0, 100.0, 50.0, 500.0, 300.0, 400.0, 200.0, 100.0].map(|area| times * area);
    runs(&[
        ("temperature_c", &[75.0, 80.0, 85.0, 90.0, 95.0, 75.0, 80.0, 85.0, 90.0, 95.0]),
        ("time_min", &[30.0, 60.0, 90.0, 120.0, 60.0, 30.0, 60.0, 90.0, 120.0, 60.0]),
        ("area_cm2", &areas_cm2),
        ("tank.volume_l", &[1.0; 10]),
        (
            "thickness_um",
            &[4.0781, 11.4872, 22.0452, 38.7761, 25.6605, 4.1872, 10.8825, 22.6113, 38.4796, 26.0528],
        ),
    ])
}

/// Of these numbers only combinations are determined.
#[test]
fn a_search_lost_on_a_ridge_names_what_is_determined_and_what_is_not() {
    let free = [RATE, NICKEL, PH_ORDER, HYDROGEN, "phosphorus.per_metal_mol", "hydrogen.ph_order"];
    let found = fit_recipe(&power_law(), &[beakers_with(1.2)], &of(asked(&free))).expect("a fit");
    has(&found, "on-ridge", "not determined and stays near the recipe's");
    has(&found, "undetermined", "only a combination is determined: changing ");
    assert!(found.estimates.iter().any(|one| one.status == "rank_deficient"));
    assert!(found.estimates[0].value.is_finite(), "{:?}", found.estimates);
}

/// Where a bath runs dry its deposit has no slope: with the slopes of baths carried on in common the search was lost.
#[test]
fn orders_that_only_a_bath_run_low_tells_are_not_determined() {
    for free in
        [vec![RATE, NICKEL, HYPO, PH_ORDER, HYDROGEN], vec![RATE, ENERGY, NICKEL, HYPO, PH_ORDER, HYDROGEN]]
    {
        let found = fit_recipe(&power_law(), &[beakers()], &of(asked(&free)));
        let found = found.unwrap_or_else(|error| panic!("{free:?}: {error}"));
        for path in [NICKEL, HYPO, PH_ORDER] {
            has(&found, "not-determined", path);
        }
        assert!(!says(&found, "on-ridge"), "{:?}", found.remarks);
        assert!((found.estimates[0].value / 6.1e-4 - 1.0).abs() < 0.05, "{:?}", found.estimates);
    }
}

/// On a ridge the straight model leads to an order of 80: the fit of this log could not start.
#[test]
fn a_log_that_does_not_tell_an_order_is_fitted_all_the_same() {
    let some = |cells: &[f64]| cells.iter().map(|cell| Some(*cell)).collect::<Vec<_>>();
    let added = some(&[0.0, 3.0, 3.0, 3.0, 3.0, 3.0, 3.0, 3.0]);
    let log = Data::Log(sheet(
        "log.csv",
        vec![
            ("time_h", some(&[0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0])),
            ("temperature_c", some(&[84.0, 84.0, 84.0, 84.0, 87.0, 87.0, 87.0, 87.0])),
            ("area_in_tank_dm2", some(&[0.0, 160.0, 190.0, 220.0, 130.0, 160.0, 190.0, 220.0])),
            ("metal_ml_l", added.clone()),
            ("reductant_ml_l", added),
            ("nickel_g_l", some(&[5.90, 5.44, 5.52, 5.14, 5.29, 5.24, 5.34, 5.04])),
            ("ph", some(&[4.81, 4.72, 4.68, 4.59, 4.55, 4.50, 4.43, 4.36])),
        ],
    ));
    for free in [vec![RATE, HYDROGEN, "hydrogen.ph_order"], vec![RATE, ENERGY, NICKEL, PH_ORDER]] {
        let found = fit_recipe(&power_law(), std::slice::from_ref(&log), &of(asked(&free)));
        let found = found.unwrap_or_else(|error| panic!("{free:?}: {error}"));
        let open = found.estimates.iter().any(|one| one.status != "ok");
        assert!(open, "{:?}", found.estimates);
    }
}

#[test]
fn a_prediction_says_what_the_data_never_varied() {
    let found = fitted(&[rates(&CELSIUS, &RATES)], of(asked(&[RATE, ENERGY])));
    let at = |settings: &[(&str, f64)]| {
        let given: Vec<(String, f64)> =
            settings.iter().map(|(name, value)| ((*name).to_owned(), *value)).collect();
        found.predict(&given).expect("a prediction")
    };
    assert!(at(&[("temperature_c", 80.0)]).flags.is_empty());
    let never = at(&[("temperature_c", 80.0), ("ph", 5.2)]).flags;
    assert_eq!(never.len(), 1);
    assert_eq!(never[0].r#where, "operation.ph");
    assert!(never[0].what.starts_with("5.200 here and 4.800 in all data"), "{never:?}");
    let far = at(&[("temperature_c", 98.0)]).flags;
    assert!(far[0].what.starts_with("98.00 here and 76.00 to 90.00 in the data: extrapolated"), "{far:?}");
    // A rate does not depend on the volume of the tank, which the beakers of these runs have otherwise.
    let beakers =
        [runs(&[("temperature_c", &CELSIUS), ("tank.volume_l", &[1.0; 8]), ("deposition_um_h", &RATES)])];
    let of_beakers = fitted(&beakers, of(asked(&[RATE, ENERGY])));
    let plain = of_beakers.predict(&[("temperature_c".to_owned(), 80.0)]).expect("a prediction");
    assert!(plain.flags.is_empty(), "{:?}", plain.flags);
    let coupon = [("temperature_c", 80.0), ("time_min", 60.0), ("area_cm2", 50.0)];
    let given = coupon.map(|(name, value)| (name.to_owned(), value));
    let depleted = of_beakers.predict(&given).expect("a prediction");
    assert_eq!(depleted.flags.len(), 1, "{:?}", depleted.flags);
    assert_eq!(depleted.flags[0].r#where, "tank.volume_l");
    // By hand: of the pH order, 10 % more of 0.35 decades per pH away from the reference.
    let held = at(&[("temperature_c", 80.0), ("ph", 5.2)]).held_numbers;
    assert!(held.iter().all(|one| one.path != RATE && one.path != ENERGY && one.path != "operation.ph"));
    let order = held.iter().find(|one| one.path == PH_ORDER).expect("invented");
    let more = power_law().with(PH_ORDER, Value::Number(1.1 * 0.35), "test");
    let rate = |recipe: &bathkin::Recipe| {
        let bath = recipe.with("operation.ph", Value::Number(5.2), "test").make_up().expect("a bath");
        bath.rate().expect("a rate").deposition_um_h
    };
    let per_cent = 100.0 * (rate(&more) / rate(&power_law()) - 1.0);
    assert_relative("10 % more", order.moved.expect("a rate"), per_cent, 1e-6);
}

/// Known sigmas: curvature and outliers are held against them, not against the scatter.
#[test]
fn known_sigmas_judge_rows() {
    let mut off = RATES;
    off[3] *= 1.05;
    let with = |sigma: f64| {
        let specification =
            FitSpecification { errors: Some(ErrorModel::Relative { sigma }), ..asked(&[RATE, ENERGY]) };
        fitted(&[rates(&CELSIUS, &off)], RecipeFitOptions { scale: Scale::Known, ..of(specification) })
    };
    has(&with(0.01), "outlier", "runs.csv row 4");
    assert!(!says(&with(0.05), "outlier"));
}
