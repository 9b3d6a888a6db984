//! Priors and the posterior of a fitted recipe, its record, draws of its numbers.

use bathkin::Recipe;
use bathkin::document::Value;
use bathkin_fit::data::ErrorModel;
use bathkin_fit::estimate::Prior;
use bathkin_fit::predict::draws;
use bathkin_fit::{Data, DataError, FitSpecification, RecipeFit, RecipeFitOptions, Sheet, fit_recipe};
use bathkin_statistics::Scale;
use bathkin_statistics::importance::SamplingOptions;
use bathkin_statistics::quantiles::two_sided_tail;
use nalgebra::{DMatrix, DVector};

use support::calibration;
use support::fits::{ENERGY, PH_ORDER, RATE, asked, close, has, runs};
use support::recipes::power_law;

/// kJ/(mol K), exact in the SI.
const GAS_CONSTANT_KJ: f64 = 8.314_462_618_153_24e-3;
/// Reference of the law of the recipe, 88 degC.
const REFERENCE_K: f64 = 361.15;

// Invented: rates of a bath, um/h, with scatter.
const CELSIUS: [f64; 6] = [76.0, 80.0, 84.0, 88.0, 90.0, 92.0];
const RATES: [f64; 6] = [9.1, 11.9, 14.2, 18.3, 20.9, 22.3];

fn rates() -> Data {
    runs(&[("temperature_c", &CELSIUS), ("deposition_um_h", &RATES)])
}

fn prior(path: &str, mean: f64, standard_deviation: f64) -> Prior {
    Prior { path: path.to_owned(), mean, standard_deviation }
}

fn options(scale: Scale, priors: &[Prior]) -> RecipeFitOptions {
    let errors = Some(ErrorModel::Relative { sigma: 0.03 });
    let specification = FitSpecification { errors, ..asked(&[RATE, ENERGY]) };
    RecipeFitOptions { specification, scale, priors: priors.to_vec(), ..RecipeFitOptions::default() }
}

fn fitted(scale: Scale, priors: &[Prior]) -> RecipeFit {
    fit_recipe(&power_law(), &[rates()], &options(scale, priors)).expect("a fit")
}

/// (ln k, Ea) of ln rate = ln k - Ea/R (1/T - 1/Tref) with relative errors of `sigma` and Ea known before as
/// `mean` +- `sd`: normal equations. Mean, covariance, sum of squares.
fn line(sigma: f64, mean: f64, sd: f64) -> (DVector<f64>, DMatrix<f64>, f64) {
    let x = DMatrix::from_fn(6, 2, |row, column| match column {
        0 => 1.0,
        _ => -(1.0 / (CELSIUS[row] + 273.15) - 1.0 / REFERENCE_K) / GAS_CONSTANT_KJ,
    });
    let y = DVector::from_fn(6, |row, _| RATES[row].ln());
    let weight = sigma.powi(-2);
    let mut information = x.tr_mul(&x) * weight;
    let mut right = x.tr_mul(&y) * weight;
    information[(1, 1)] += sd.powi(-2);
    right[1] += mean / (sd * sd);
    let covariance = information.try_inverse().expect("regular");
    let found = &covariance * right;
    let squares = (&x * &found - y).norm_squared();
    (found, covariance, squares)
}

/// Producer: the normal equations of the straight line that the logarithm of the rates is; 1e-6.
#[test]
fn a_prior_on_an_energy_is_that_of_the_line() {
    let (mean, sd) = (58.0, 2.0);
    let found = fitted(Scale::Known, &[prior(ENERGY, mean, sd)]);
    let (line_at, covariance, _) = line(0.03, mean, sd);
    let energy = &found.estimates[1];
    close(energy.value, line_at[1], 1e-6, "Ea");
    close(energy.standard_error.unwrap(), covariance[(1, 1)].sqrt(), 1e-6, "se");
    close(found.prior_weights[0].weight, covariance[(1, 1)] / (sd * sd), 1e-6, "prior weight");
    close(found.prior_weights[0].deviations, (line_at[1] - mean) / sd, 1e-5, "deviations");
    let percent = 100.0 * covariance[(1, 1)] / (sd * sd);
    has(&found, "prior", &format!("{ENERGY} is {percent:.0} % prior (58.00 +- 2.0)"));
    // A straight model: the profile is the interval.
    let (profile, straight) = (found.profile(1, 0.95).unwrap(), found.interval(1, 0.95).unwrap().unwrap());
    for (end, expected) in profile.iter().zip(straight) {
        close(end.expect("an end"), expected, 1e-5, "profile");
    }
    assert!(found.lack_of_fit.is_none() && found.criteria().is_none());
    assert_eq!((found.residuals().len(), found.influence().len()), (6, 6));
}

/// Producer: the fixed point of s² = S/(rows less what they spend) over the normal equations; 1e-4, to which the
/// size settles.
#[test]
fn a_prior_keeps_its_meaning_under_errors_of_unknown_size() {
    let (mean, sd) = (58.0, 2.0);
    let (mut sigma, mut freedom) = (0.03, 0.0);
    for _ in 0..500 {
        let (_, covariance, squares) = line(sigma, mean, sd);
        freedom = 6.0 - (2.0 - covariance[(1, 1)] / (sd * sd));
        sigma = (squares / freedom).sqrt();
    }
    let (line_at, covariance, _) = line(sigma, mean, sd);
    let found = fitted(Scale::Estimated, &[prior(ENERGY, mean, sd)]);
    close(found.estimates[1].value, line_at[1], 1e-4, "Ea");
    close(found.estimates[1].standard_error.unwrap(), covariance[(1, 1)].sqrt(), 1e-4, "se");
    close(0.03 * found.model.columns()[0].size, sigma, 1e-4, "size");
    assert_eq!(found.fit.degrees_of_freedom, freedom.floor() as usize);
}

#[test]
fn a_lognormal_prior_alone_determines_what_no_run_does() {
    // How much hydrogen comes with the metal changes no rate of the metal: its prior comes back.
    let path = "hydrogen.per_metal_mol";
    let number = power_law().document().get(path).map(|entry| entry.value.clone());
    let Some(Value::Number(ratio)) = number else { panic!("{path}: {number:?}") };
    let specification = asked(&[RATE, ENERGY, path]);
    let priors = vec![prior(path, 1.2 * ratio, 0.3 * 1.2 * ratio)];
    let options = RecipeFitOptions { specification, priors, ..RecipeFitOptions::default() };
    let found = fit_recipe(&power_law(), &[rates()], &options).expect("a fit");
    let estimate = &found.estimates[2];
    close(estimate.value, 1.2 * ratio, 1e-6, "the prior's median");
    close(estimate.standard_error.unwrap(), 0.3 * 1.2 * ratio, 1e-6, "its sd");
    has(&found, "prior", "is 100 % prior");
}

#[test]
fn priors_that_cannot_be_are_refused() {
    for (given, words) in [
        (prior(PH_ORDER, 0.3, 0.1), "deposition.ph_order is not free"),
        (prior(ENERGY, 60.0, 0.0), "a standard deviation above zero"),
        (prior(RATE, -1.0, 0.1), "a mean above zero"),
    ] {
        let error = fit_recipe(&power_law(), &[rates()], &options(Scale::Known, &[given])).unwrap_err();
        assert!(error.to_string().contains(words), "'{error}' lacks '{words}'");
    }
    let twice = [prior(ENERGY, 60.0, 1.0), prior(ENERGY, 61.0, 1.0)];
    let error = fit_recipe(&power_law(), &[rates()], &options(Scale::Known, &twice)).unwrap_err();
    assert!(error.to_string().contains("two priors"), "{error}");
}

/// Producer: the quadratic form of the normal equations, with 1/rate of the density over the rate itself; 1e-6.
#[test]
fn the_posterior_of_a_line_is_normal() {
    let (mean, sd) = (58.0, 2.0);
    let mut with = options(Scale::Known, &[prior(ENERGY, mean, sd)]);
    with.bounds = vec![(ENERGY.to_owned(), 40.0, 90.0)];
    let found = fit_recipe(&power_law(), &[rates()], &with).expect("a fit");
    let (_, covariance, _) = line(0.03, mean, sd);
    let information = covariance.try_inverse().expect("regular");
    let at: Vec<f64> = found.estimates.iter().map(|estimate| estimate.value).collect();
    let best = found.log_posterior(&at).expect("a density");
    for (times, more) in [(1.02, 0.0), (1.0, 3.0), (0.97, -2.0)] {
        let step = DVector::from_row_slice(&[f64::ln(times), more]);
        let expected = -0.5 * (&information * &step).dot(&step) - f64::ln(times);
        let there = found.log_posterior(&[at[0] * times, at[1] + more]).expect("a density");
        assert!((there - best - expected).abs() < 1e-6, "{} and not {expected}", there - best);
    }
    for outside in [[at[0], 95.0], [-at[0], at[1]], [f64::NAN, at[1]]] {
        assert_eq!(found.log_posterior(&outside).expect("a density"), f64::NEG_INFINITY);
    }
    assert!(found.log_posterior(&at[..1]).is_err());
}

/// Mean and covariance of (ln rate, Ea).
fn moments(points: &[Vec<f64>]) -> ([f64; 2], [[f64; 2]; 2]) {
    let count = points.len() as f64;
    let inside: Vec<[f64; 2]> = points.iter().map(|point| [point[0].ln(), point[1]]).collect();
    let mean = [0, 1].map(|i| inside.iter().map(|point| point[i]).sum::<f64>() / count);
    let about = |a: usize, b: usize| {
        inside.iter().map(|point| (point[a] - mean[a]) * (point[b] - mean[b])).sum::<f64>() / count
    };
    (mean, [[about(0, 0), about(0, 1)], [about(1, 0), about(1, 1)]])
}

/// Producer: the covariance they are drawn from; five standard errors of a mean, a variance, a covariance.
#[test]
fn draws_and_starts_of_samplers_have_the_covariance_of_the_fit() {
    let found = fitted(Scale::Known, &[]);
    let known = &found.fit.covariance;
    let count = 4000;
    let drawn = draws(&found.record(), count, 11).expect("draws");
    let started = found.sampler_start(1000, 5).expect("starts");
    for points in [drawn.values.clone(), started] {
        let (mean, covariance) = moments(&points);
        let of_mean = 5.0 / (points.len() as f64).sqrt();
        for a in 0..2 {
            let error = known[(a, a)].sqrt();
            assert!((mean[a] - found.fit.values()[a]).abs() < of_mean * error, "mean {a}: {}", mean[a]);
            for b in 0..2 {
                let of_both = (known[(a, a)] * known[(b, b)] + known[(a, b)].powi(2)).sqrt();
                let apart = (covariance[a][b] - known[(a, b)]).abs();
                assert!(apart < of_mean * of_both, "{a} {b}: {} and not {}", covariance[a][b], known[(a, b)]);
            }
        }
    }
    // Asking for more leaves the first ones as they were.
    assert_eq!(draws(&found.record(), 10, 11).expect("draws").values[..], drawn.values[..10]);
    assert_ne!(draws(&found.record(), 10, 12).expect("draws").values[..], drawn.values[..10]);
}

/// Producer: the normal equations of the line, where the posterior over (ln rate, Ea) is normal, and Student's t where the
/// size of the errors is not known; five standard errors.
#[test]
fn the_posterior_of_a_line_is_drawn_without_a_chain() {
    for (scale, quantile) in [(Scale::Known, 1.959_964), (Scale::Estimated, 2.776_445)] {
        let found = fitted(scale, &[]);
        let options = SamplingOptions { effective: 4000, most: 100_000, seed: 7 };
        let drawn = found.posterior_draws(&options, &|_| {}).expect("draws");
        assert!(drawn.pareto_k < drawn.largest_trusted_k && drawn.remarks.is_empty(), "{:?}", drawn.remarks);
        assert!(drawn.effective >= 4000.0 && drawn.mended == 0);
        let share = drawn.effective / drawn.draws.len() as f64;
        // The proposal is the posterior itself where the scale is estimated.
        assert!(share > if scale == Scale::Known { 0.85 } else { 0.999 }, "{share}");
        let error = 5.0 / drawn.effective.sqrt();
        let (energy, estimate) = (&drawn.marginals[1], &found.estimates[1]);
        let se = estimate.standard_error.unwrap();
        assert!((energy.mean - estimate.value).abs() < 1.5 * error * se, "{energy:?}");
        for (end, sign) in energy.interval95.iter().zip([-1.0, 1.0]) {
            let expected = estimate.value + sign * quantile * se;
            assert!((end - expected).abs() < 6.0 * error * se, "{end} and not {expected}");
        }
        for place in [0, 17] {
            let there = found.log_posterior(&drawn.draws[place]).expect("a density");
            close(drawn.log_posterior[place], there, 1e-12, "density");
        }
        let rate = &drawn.marginals[0];
        close(rate.median, found.estimates[0].value, 0.01, "median of the rate");
    }
}

/// Producer: the uniform distribution; exceeded once in a thousand such collections of sets.
#[test]
fn numbers_of_simulated_sets_lie_anywhere_in_their_posteriors() {
    let found: Vec<[f64; 3]> = (0..20).map(calibration::place).collect();
    for at in 0..3 {
        let mut places: Vec<f64> = found.iter().map(|place| place[at]).collect();
        let distance = calibration::distance(&mut places);
        assert!(distance < 1.95, "number {at}: {distance}");
    }
}

/// Part of a normal distribution beyond a value.
fn upper_tail(value: f64) -> f64 {
    let both = two_sided_tail(value, None).expect("a tail");
    if value > 0.0 { 0.5 * both } else { 1.0 - 0.5 * both }
}

/// Of a number on its bound the posterior lies on one side. Producer: the normal distribution of the energy cut at 62.
#[test]
fn a_bound_cuts_the_posterior_and_draws_of_what_is_open_are_refused() {
    let bounds = vec![(ENERGY.to_owned(), 62.0, 90.0)];
    let with = RecipeFitOptions { bounds, ..options(Scale::Known, &[]) };
    let held = fit_recipe(&power_law(), &[rates()], &with).expect("a fit");
    assert_eq!(held.estimates[1].status, "at_bound");
    let options_of = SamplingOptions { effective: 4000, most: 100_000, seed: 7 };
    let drawn = held.posterior_draws(&options_of, &|_| {}).expect("draws");
    let free = fitted(Scale::Known, &[]);
    let (mean, sd) = (free.estimates[1].value, free.estimates[1].standard_error.unwrap());
    let cut = (62.0 - mean) / sd;
    let density = (-0.5 * cut * cut).exp() / (2.0 * std::f64::consts::PI).sqrt();
    let beyond = upper_tail(cut);
    close(drawn.marginals[1].mean, mean + sd * density / beyond, 0.003, "mean beyond the cut");
    assert!(drawn.draws.iter().zip(&drawn.weights).all(|(at, weight)| at[1] >= 62.0 || *weight == 0.0));
    let one_temperature =
        runs(&[("temperature_c", &[82.0; 4]), ("deposition_um_h", &[12.0, 12.3, 11.9, 12.2])]);
    let open = fit_recipe(&power_law(), &[one_temperature], &options(Scale::Known, &[])).expect("a fit");
    let error = open.posterior_draws(&options_of, &|_| {}).unwrap_err().to_string();
    assert!(error.contains("rank_deficient") && error.contains("a prior"), "{error}");
}

/// Producer: quantiles of Student's t with 4 degrees of freedom; five standard errors of a part of the draws.
#[test]
fn draws_of_a_fit_with_estimated_errors_are_students() {
    let found = fitted(Scale::Estimated, &[]);
    assert_eq!(found.fit.degrees_of_freedom, 4);
    let count = 20_000;
    let drawn = draws(&found.record(), count, 3).expect("draws");
    let error = found.fit.parameters[1].standard_error.unwrap();
    for (quantile, expected) in [(2.776_445, 0.05), (4.604_095, 0.01)] {
        let beyond = |draw: &&Vec<f64>| (draw[1] - found.estimates[1].value).abs() > quantile * error;
        let part = drawn.values.iter().filter(beyond).count() as f64 / count as f64;
        let slack = 5.0 * f64::sqrt(expected * (1.0 - expected) / count as f64);
        assert!((part - expected).abs() < slack, "{part} of the draws beyond {quantile}");
    }
}

#[test]
fn a_sampler_of_what_is_open_is_refused_and_of_a_bound_starts_inside() {
    let one_temperature =
        runs(&[("temperature_c", &[82.0; 4]), ("deposition_um_h", &[12.0, 12.3, 11.9, 12.2])]);
    let open = fit_recipe(&power_law(), &[one_temperature], &options(Scale::Known, &[])).expect("a fit");
    let error = open.sampler_start(3, 1).unwrap_err().to_string();
    assert!(error.contains("rank_deficient") && error.contains("a prior"), "{error}");
    let bounds = vec![(ENERGY.to_owned(), 62.0, 90.0)];
    let held =
        fit_recipe(&power_law(), &[rates()], &RecipeFitOptions { bounds, ..options(Scale::Known, &[]) });
    let held = held.expect("a fit");
    assert_eq!(held.estimates[1].status, "at_bound");
    let starts = held.sampler_start(50, 1).expect("starts");
    assert!(starts.iter().all(|point| point[1] > 62.0 && point[1] < 75.0), "{starts:?}");
}

#[test]
fn the_record_of_a_fit_reads_back_to_the_last_bit() {
    let tied =
        bathkin_fit::objective::Tie { path: PH_ORDER.to_owned(), to: RATE.to_owned(), factor: Some(600.0) };
    let mut asking = options(Scale::Estimated, &[]);
    asking.specification.ties = vec![tied];
    let found = fit_recipe(&power_law(), &[rates()], &asking).expect("a fit");
    let written = found.fitted_recipe("runs.csv", &[]).expect("a recipe");
    let again = Recipe::from_toml("fitted.toml", written.text()).expect("it reads");
    again.model().expect("it resolves");
    let record = again.fit_record().expect("it reads").expect("there is one");
    assert_eq!(record, found.record());
    assert_eq!((record.data.as_slice(), record.values), (&["runs.csv".to_owned()][..], 6));
    assert_eq!(record.degrees_of_freedom, Some(4));
    assert!(record.error_model[0].starts_with("deposition_um_h: relative "), "{:?}", record.error_model);
    assert_eq!(draws(&record, 5, 1).expect("draws"), draws(&found.record(), 5, 1).expect("draws"));
    assert_eq!(power_law().fit_record().expect("none is right"), None);
    // Fitted again, the new record takes the place of the old one.
    let second = fit_recipe(&again, &[rates()], &options(Scale::Known, &[])).expect("a fit");
    let text = second.fitted_recipe("runs.csv", &[]).expect("a recipe").text().to_owned();
    assert_eq!(text.matches("[fit]").count(), 1, "{text}");
    // What was changed since is flagged, not refused.
    let changed = again.with(ENERGY, Value::Number(70.0), "test");
    let flags = &changed.model().expect("it resolves").flags;
    assert!(
        flags.iter().any(|flag| flag.r#where == ENERGY && flag.what.contains("changed since")),
        "{flags:?}"
    );
    // The digest is of what was measured, and not of the name of the file.
    let Data::Runs(sheet) = rates() else { panic!("runs") };
    let moved = Data::Runs(Sheet { file: "elsewhere.csv".to_owned(), ..sheet.clone() });
    let mut other = sheet;
    other.columns[1].1[0] = Some(9.2);
    assert_eq!(bathkin_fit::data::digest(&[moved]), record.digest);
    assert_ne!(bathkin_fit::data::digest(&[Data::Runs(other)]), record.digest);
}

#[test]
fn a_record_that_does_not_fit_together_is_refused_by_key() {
    let text = fitted(Scale::Known, &[]).fitted_recipe("runs.csv", &[]).expect("a recipe").text().to_owned();
    let record = |key: &str| -> String {
        let line = text.lines().find(|line| line.starts_with(key));
        line.unwrap_or_else(|| panic!("no {key}")).to_owned()
    };
    for (line, replaced, words) in [
        (record("scales = "), "scales = [\"log\"]", "fit.scales"),
        (record("scales = "), "scales = [\"log\", \"cubic\"]", "log or linear"),
        (record("estimates = "), "estimates = [\"1\", \"many\"]", "finite numbers"),
        (record("values = "), "values = 1.5", "a whole number"),
        (
            record("paths = "),
            "paths = [\"deposition.rate_mol_m2_s\", \"deposition.none\"]",
            "deposition.none is none",
        ),
        (record("data = "), "sheets = []", "fit.sheets"),
    ] {
        let broken = Recipe::from_toml("broken.toml", &text.replace(&line, replaced)).expect("TOML");
        let error = broken.model().unwrap_err().to_string();
        assert!(error.contains(words) && error.contains("broken.toml:"), "'{error}' lacks '{words}'");
    }
    // A correlation above one.
    let rows = text.split("covariance = [").nth(1).and_then(|rest| rest.split(']').next()).expect("rows");
    let wrong = text.replace(rows, "\"1 2\", \"2 1\"");
    let error = Recipe::from_toml("broken.toml", &wrong).expect("TOML").model().unwrap_err().to_string();
    assert!(error.contains("fit.covariance") && error.contains("product of its variances"), "{error}");
}

#[test]
fn a_recipe_gives_priors_of_its_own() {
    let found = fitted(Scale::Known, &[]);
    let written = found.fitted_recipe("runs.csv", &[]).expect("a recipe");
    for (place, path) in [RATE, ENERGY].into_iter().enumerate() {
        let prior = Prior::from_recipe(&written, path).expect("a prior");
        close(prior.mean, found.estimates[place].value, 1e-12, path);
        close(prior.standard_deviation, found.estimates[place].standard_error.unwrap(), 1e-12, path);
    }
    // Changed by hand, it is not what was fitted: the range tells, 35 to 95.
    let changed = written.with(ENERGY, Value::Number(70.0), "test");
    let prior = Prior::from_recipe(&changed, ENERGY).expect("a prior");
    assert_eq!((prior.mean, prior.standard_deviation), (65.0, 15.0));
    let refused = |path: &str| -> DataError { Prior::from_recipe(&power_law(), path).unwrap_err() };
    assert!(refused(RATE).to_string().contains("with a range"), "{}", refused(RATE));
    assert!(refused("deposition.none").to_string().contains("deposition.none"));
    // The old runs as a prior of new ones: both together in a straight model, errors known.
    let priors: Vec<Prior> =
        [ENERGY].iter().map(|path| Prior::from_recipe(&written, path).expect("a prior")).collect();
    let again = fitted(Scale::Known, &priors);
    let shrunk = again.estimates[1].standard_error.unwrap() / found.estimates[1].standard_error.unwrap();
    // Half of the information on the energy alone from each: 1/√2.
    close(shrunk, 0.5_f64.sqrt(), 1e-6, "shrinkage");
}
