//! Intervals that know how surely the sizes of errors are told, and remarks about what tests a fit.

use bathkin_fit::data::ErrorModel;
use bathkin_fit::estimate::Prior;
use bathkin_fit::predict::{CandidateModel, compare};
use bathkin_fit::{Data, FitSpecification, RecipeFit, RecipeFitOptions};
use bathkin_statistics::Scale;
use bathkin_statistics::bootstrap::{BootstrapOptions, Resampling};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use statrs::distribution::{ContinuousCDF, StudentsT};

use support::fits::{ENERGY, RATE, asked, close, fitted, has, of, rates, runs};
use support::random::normal;
use support::recipes::power_law;

fn with_prior(mean: f64, standard_deviation: f64) -> RecipeFitOptions {
    let prior = Prior { path: ENERGY.to_owned(), mean, standard_deviation };
    RecipeFitOptions { priors: vec![prior], ..of(asked(&[RATE, ENERGY])) }
}

fn codes(found: &RecipeFit) -> Vec<&str> {
    found.remarks.iter().map(|remark| remark.code).collect()
}

/// Two runs at one temperature say nothing of the energy: its interval is the normal one of its prior.
#[test]
fn a_number_that_its_prior_alone_tells_has_the_interval_of_the_prior() {
    let found = fitted(&[rates(&[85.0, 85.0], &[15.0, 15.6])], with_prior(65.0, 2.0));
    let [low, high] = found.estimates[1].interval95.expect("an interval");
    for (end, expected) in [(low, 65.0 - 1.959_964 * 2.0), (high, 65.0 + 1.959_964 * 2.0)] {
        close(end, expected, 1e-4, "end");
    }
    let [near, far] = found.profile(1, 0.95).expect("a profile");
    close(near.expect("an end"), low, 1e-3, "profile");
    close(far.expect("an end"), high, 1e-3, "profile");
}

const CELSIUS: [f64; 6] = [78.0, 81.0, 84.0, 86.0, 89.0, 92.0];

/// Rates, and thicknesses of an hour without an area, at the recipe's numbers times errors of 3 %.
fn two_columns(random: &mut ChaCha8Rng, exact: &[f64]) -> [Data; 2] {
    let mut off = || -> Vec<f64> { exact.iter().map(|rate| rate * (0.03 * normal(random)).exp()).collect() };
    let (rates_read, thick) = (off(), off());
    let hours = [60.0; 6];
    [
        rates(&CELSIUS, &rates_read),
        runs(&[("temperature_c", &CELSIUS), ("time_min", &hours), ("thickness_um", &thick)]),
    ]
}

fn exact() -> Vec<f64> {
    let found = fitted(&[rates(&CELSIUS, &[15.0; 6])], of(asked(&[RATE])));
    let truth = power_law().make_up().and_then(|bath| bath.rate()).expect("a rate").deposition_um_h;
    // Rates are in proportion to the number that is free, and the recipe's is at 88 degC.
    let at = |celsius: f64| found.predict(&[("temperature_c".to_owned(), celsius)]).expect("a rate").value;
    CELSIUS.iter().map(|celsius| at(*celsius) / at(88.0) * truth).collect()
}

/// Producer: the formulas by hand for one number and two columns; 1e-6.
#[test]
fn columns_that_share_a_number_have_the_wider_interval() {
    let data = two_columns(&mut ChaCha8Rng::seed_from_u64(4), &exact());
    let found = fitted(&data, of(asked(&[RATE])));
    let columns = found.column_errors();
    let weight = |place: usize| 6.0 / columns[place].size.powi(2);
    let part = [weight(0), weight(1)].map(|own| own / (weight(0) + weight(1)));
    let spare = part.map(|part| 6.0 - part);
    let sum = |of: &dyn Fn(f64, f64) -> f64| of(part[0], spare[0]) + of(part[1], spare[1]);
    let wider = 1.0 + 4.0 * sum(&|part, spare| part * (1.0 - part) / spare);
    let freedom = 1.0 / sum(&|part, spare| part * part / spare);
    let t = StudentsT::new(0.0, 1.0, freedom).expect("t").inverse_cdf(0.975);
    let [low, high] = found.estimates[0].interval95.expect("an interval");
    let error = found.estimates[0].standard_error.expect("one") / found.estimates[0].value;
    close((high / low).ln(), 2.0 * t * wider.sqrt() * error, 1e-6, "width");
}

/// Producer: 400 data sets at known numbers; 95 % intervals cover 92-98 %.
#[test]
fn intervals_of_two_columns_cover() {
    let exact = exact();
    let known = fitted(&[rates(&CELSIUS, &exact)], of(asked(&[RATE]))).estimates[0].value;
    let mut random = ChaCha8Rng::seed_from_u64(11);
    let mut covered = 0.0;
    for _ in 0..400 {
        let found = fitted(&two_columns(&mut random, &exact), of(asked(&[RATE])));
        let [low, high] = found.estimates[0].interval95.expect("an interval");
        covered += f64::from(u8::from(low <= known && known <= high));
    }
    assert!((0.92..=0.98).contains(&(covered / 400.0)), "{covered} of 400");
}

/// One run alone tells the energy: draws without it are no answers, and it is named.
#[test]
fn a_run_that_nothing_tests_is_named_and_draws_without_it_fail() {
    let data = [rates(&[85.0, 85.0, 85.0, 85.0, 76.0], &[15.1, 14.9, 15.2, 14.8, 9.9])];
    let found = fitted(&data, of(asked(&[RATE, ENERGY])));
    has(&found, "untested-row", "runs.csv row 5 alone determines part of the estimates");
    let options = BootstrapOptions { replicates: 400, seed: 1, resampling: Resampling::Cases };
    let repeated = found.bootstrap(&options).expect("a bootstrap");
    // A draw of five lacks the last run with 0.8^5 = 0.33, or holds nothing else with next to none.
    let lost = repeated.failed as f64 / 400.0;
    assert!((lost - 0.33).abs() < 0.07, "{lost}");
    let start = found.estimates[1].start;
    assert!(repeated.draws.iter().all(|draw| (draw[1] - start).abs() > 1e-3));
}

#[test]
fn a_strong_prior_against_the_data_is_at_odds() {
    let data = [rates(&[76.0, 80.0, 84.0, 88.0, 92.0], &[8.3, 10.6, 13.4, 16.9, 21.2])];
    let errors = Some(ErrorModel::Relative { sigma: 0.02 });
    let specification = FitSpecification { errors, ..asked(&[RATE, ENERGY]) };
    let at = |mean: f64| {
        let options = with_prior(mean, 0.5);
        fitted(
            &data,
            RecipeFitOptions { specification: specification.clone(), scale: Scale::Known, ..options },
        )
    };
    assert!(codes(&at(90.0)).contains(&"prior-at-odds"));
    assert!(!codes(&at(62.0)).contains(&"prior-at-odds"));
}

#[test]
fn sigmas_too_small_and_no_scatter_are_said() {
    let scattered = [rates(&[76.0, 80.0, 84.0, 88.0, 92.0], &[8.6, 10.3, 13.4, 17.5, 20.9])];
    let errors = |sigma| Some(ErrorModel::Relative { sigma });
    let known = |sigma: f64| RecipeFitOptions {
        scale: Scale::Known,
        ..of(FitSpecification { errors: errors(sigma), ..asked(&[RATE, ENERGY]) })
    };
    let small = fitted(&scattered, known(0.001));
    has(&small, "sigmas-too-small", "31.9 times the absolute sigmas");
    // Rows that all scatter beyond such sigmas are no outliers and no curve.
    assert!(!codes(&small).iter().any(|code| ["outlier", "curved"].contains(code)), "{:?}", codes(&small));
    assert!(!codes(&fitted(&scattered, known(0.03))).contains(&"sigmas-too-small"));
    let computed = [rates(&CELSIUS, &exact())];
    let found = fitted(&computed, of(asked(&[RATE, ENERGY])));
    has(&found, "no-scatter", "meets every value to rounding");
}

#[test]
fn data_that_count_twice_are_named() {
    let data = rates(&[76.0, 80.0, 84.0, 88.0, 92.0], &[8.6, 10.3, 13.4, 17.5, 20.9]);
    let found = fitted(std::slice::from_ref(&data), of(asked(&[RATE, ENERGY])));
    let again = found.updated(std::slice::from_ref(&data)).expect("a fit");
    has(&again, "data-twice", "runs.csv holds the numbers of runs.csv");
}

#[test]
fn a_candidate_with_too_few_rows_for_a_criterion_is_not_beaten() {
    let candidate = |name: &str, free: &[&str]| CandidateModel {
        name: name.to_owned(),
        recipe: power_law(),
        options: of(asked(free)),
    };
    let candidates = [candidate("rate", &[RATE]), candidate("rate and energy", &[RATE, ENERGY])];
    let data = [rates(&[76.0, 82.0, 88.0, 94.0], &[16.0, 16.5, 17.2, 17.5])];
    let found = compare(&candidates, &data, None).expect("a comparison");
    let said: Vec<&str> = found.remarks.iter().map(|remark| remark.code).collect();
    assert_eq!(said, ["too-few-rows"]);
    assert!(found.remarks[0].text.starts_with("rate and energy: too few rows for an AICc"));
}

/// A prior for each number: one run is enough.
#[test]
fn priors_count_as_rows() {
    let priors = [(RATE, 5.7e-4, 5e-5), (ENERGY, 60.0, 5.0)];
    let priors = priors.map(|(path, mean, standard_deviation)| Prior {
        path: path.to_owned(),
        mean,
        standard_deviation,
    });
    let errors = Some(ErrorModel::Relative { sigma: 0.03 });
    let specification = FitSpecification { errors, ..asked(&[RATE, ENERGY]) };
    let options = RecipeFitOptions { priors: priors.to_vec(), scale: Scale::Known, ..of(specification) };
    let found = fitted(&[rates(&[80.0], &[11.0])], options);
    assert!(found.estimates.iter().all(|estimate| estimate.standard_error.is_some()));
}

#[test]
fn each_label_has_the_span_of_its_own_runs() {
    let Data::Runs(mut sheet) =
        rates(&[80.0, 81.0, 80.5, 90.0, 91.0, 90.5], &[11.3, 11.9, 11.5, 19.6, 20.3, 20.1])
    else {
        unreachable!()
    };
    sheet.labels.push(("batch".to_owned(), ["a", "a", "a", "b", "b", "b"].map(str::to_owned).to_vec()));
    let per = [RATE, ENERGY].map(|path| (path.to_owned(), "batch".to_owned())).to_vec();
    let found = fitted(&[Data::Runs(sheet)], of(FitSpecification { per, ..asked(&[RATE, ENERGY]) }));
    for label in ["a", "b"] {
        has(
            &found,
            "narrow-range",
            &format!("runs of {label} span 1 degC: activation energy not determined"),
        );
    }
}
