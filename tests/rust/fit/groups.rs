//! Runs that belong to batches, beakers or days.

use bathkin::constants::{GAS_CONSTANT_J_MOL_K, ZERO_CELSIUS_K};
use bathkin_fit::data::ErrorModel;
use bathkin_fit::estimate::Prior;
use bathkin_fit::{Data, FitSpecification, RecipeFit, RecipeFitOptions, Sheet, fit_recipe};
use bathkin_numerics::least_squares::{Loss, Residuals};
use bathkin_statistics::mixed::{Grouping, Likelihood, fit_mixed};
use bathkin_statistics::{FitOptions, ResidualModel, Scale};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;

use support::coupons::f02;
use support::fits::{ENERGY, PH_ORDER, RATE, asked, close, has, of, sheet, some, week};
use support::random::normal;
use support::recipes::power_law;

fn labels(name: &str, groups: &[&str]) -> (String, Vec<String>) {
    (name.to_owned(), groups.iter().map(|group| (*group).to_owned()).collect())
}

/// Rates of batches that differ, each at two temperatures (invented).
fn batches() -> Sheet {
    let celsius = [80.0, 90.0, 80.0, 90.0, 82.0, 88.0, 82.0, 88.0, 85.0, 91.0];
    let rates = [11.2, 19.7, 12.1, 21.6, 12.6, 17.9, 11.4, 16.3, 14.6, 20.9];
    let columns = vec![("temperature_c", some(&celsius)), ("deposition_um_h", some(&rates))];
    Sheet {
        labels: vec![labels("batch", &["a", "a", "b", "b", "c", "c", "d", "d", "e", "e"])],
        ..sheet("runs.csv", columns)
    }
}

fn grouped(group: &[&str]) -> FitSpecification {
    FitSpecification {
        group: group.iter().map(|label| (*label).to_owned()).collect(),
        ..asked(&[RATE, ENERGY])
    }
}

fn fitted(sheet: Sheet, group: &[&str]) -> RecipeFit {
    fit_recipe(&power_law(), &[Data::Runs(sheet)], &of(grouped(group))).expect("a fit")
}

fn refused(sheet: &Sheet, options: &RecipeFitOptions) -> String {
    let found = fit_recipe(&power_law(), &[Data::Runs(sheet.clone())], options);
    found.expect_err("refused").to_string()
}

/// ln r = a - E/R (1/T - 1/363.15 K), the power law's Arrhenius factor.
struct Line {
    sheet: Sheet,
    names: Vec<String>,
}

impl Residuals for Line {
    type Error = std::convert::Infallible;

    fn parameters(&self) -> usize {
        2
    }

    fn rows(&self) -> usize {
        self.sheet.rows.len()
    }

    fn residuals(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), Self::Error> {
        self.linearise(at, residuals, &mut vec![0.0; 2 * self.rows()])
    }

    fn linearise(&self, at: &[f64], residuals: &mut [f64], jacobian: &mut [f64]) -> Result<(), Self::Error> {
        let column = |name: &str| self.sheet.column(name).expect("a column");
        for (row, residual) in residuals.iter_mut().enumerate() {
            let kelvin = column("temperature_c")[row].expect("a temperature") + ZERO_CELSIUS_K;
            let x = -1e3 / GAS_CONSTANT_J_MOL_K * (1.0 / kelvin - 1.0 / 363.15);
            let y = column("deposition_um_h")[row].expect("a rate").ln();
            *residual = at[0] + at[1] * x - y;
            jacobian[2 * row..2 * row + 2].copy_from_slice(&[1.0, x]);
        }
        Ok(())
    }
}

impl ResidualModel for Line {
    fn names(&self) -> &[String] {
        &self.names
    }
}

/// Through the recipe and on the straight line of its logarithms by itself the same comes out; that this is what statsmodels
/// has is shown in `statistics/mixed.rs`.
#[test]
fn a_recipe_of_batches_is_the_mixed_model_of_its_line() {
    let found = fitted(batches(), &["batch"]);
    let line = Line { sheet: batches(), names: vec!["a".to_owned(), "E".to_owned()] };
    let rows = Grouping::new(&batches().labels).expect("a grouping");
    let by_hand =
        fit_mixed(&line, &rows, &[1.0; 10], &[2.0, 60.0], &FitOptions::default(), Likelihood::Restricted)
            .expect("a fit");
    let energy = found.estimates[1].clone();
    close(energy.value, by_hand.fit.values()[1], 1e-6, "energy");
    close(
        energy.standard_error.expect("an error"),
        by_hand.fit.parameters[1].standard_error.expect("one"),
        1e-5,
        "error",
    );
    let freedom = by_hand.freedom(&[0.0, 1.0]).expect("freedom");
    close(energy.degrees_of_freedom.expect("freedom"), freedom, 1e-4, "degrees of freedom");
    let effects = found.random_effects().expect("effects");
    assert_eq!(
        (effects.labels.as_slice(), effects.unit.as_str()),
        (["batch".to_owned()].as_slice(), "relative")
    );
    close(effects.components[0].standard_deviation, by_hand.between(0).sqrt(), 1e-4, "between");
    close(effects.components[1].standard_deviation, by_hand.within().sqrt(), 1e-4, "within");
    assert_eq!(effects.components[1].name, "within");
    for (value, expected) in effects.groups.effect.iter().zip(by_hand.effects()) {
        assert!((value - expected.value).abs() < 1e-6, "{value} and not {}", expected.value);
    }
    // The marginal likelihood, of values in um/h.
    let ln_y: f64 =
        batches().column("deposition_um_h").expect("rates").iter().flatten().map(|y| y.ln()).sum();
    let llf = found.statistics().llf.expect("a likelihood");
    assert!((llf - (by_hand.marginal_log_likelihood() - ln_y)).abs() < 1e-6, "{llf}");
    // A number and two variances with the energy: AIC counts four.
    assert!((found.statistics().aic.expect("one") - (8.0 - 2.0 * llf)).abs() < 1e-9);
}

/// With relative errors twenty times as large stated in each row, effects stay what they are in the logarithm.
#[test]
fn effects_do_not_depend_on_how_errors_are_stated() {
    let plain = fitted(batches(), &["batch"]).random_effects().expect("effects");
    let errors = Some(ErrorModel::Relative { sigma: 0.02 });
    let options = of(FitSpecification { errors, ..grouped(&["batch"]) });
    let stated = fit_recipe(&power_law(), &[Data::Runs(batches())], &options).expect("a fit");
    let stated = stated.random_effects().expect("effects");
    for (a, b) in plain.components.iter().zip(&stated.components) {
        close(b.standard_deviation, a.standard_deviation, 1e-4, &a.name);
    }
    close(stated.groups.effect[1], plain.groups.effect[1], 1e-4, "effect of b");
}

#[test]
fn a_further_run_is_one_of_a_further_batch() {
    let found = fitted(batches(), &["batch"]);
    let at = found.predict(&[("temperature_c".to_owned(), 85.0)]).expect("a prediction");
    let width = |ends: [f64; 2]| (ends[1] / ends[0]).ln();
    let effects = found.random_effects().expect("effects");
    let scatter = effects.components[0].standard_deviation.hypot(effects.components[1].standard_deviation);
    let band = width(at.prediction.expect("a band"));
    let mean = width(at.confidence);
    // Both have the same quantile q: (band² - mean²) = (2 q scatter)².
    let x = -1e3 / GAS_CONSTANT_J_MOL_K * (1.0 / (85.0 + ZERO_CELSIUS_K) - 1.0 / (88.0 + ZERO_CELSIUS_K));
    let spread = found.fit.minimum.spectrum.spread(&[1.0, x]) * found.fit.factor().expect("a factor");
    let quantile = mean / 2.0 / spread.sqrt();
    close((band * band - mean * mean).sqrt(), 2.0 * quantile * scatter, 1e-6, "band of a run");
}

/// A coupon in a beaker left alone: the law is curved in its numbers, and the search alternates.
#[test]
fn simulated_coupons_settle_too() {
    let mut random = ChaCha8Rng::seed_from_u64(5);
    let celsius = [80.0, 85.0, 90.0, 80.0, 85.0, 90.0, 80.0, 85.0, 90.0, 80.0, 85.0, 90.0];
    let exact = [9.6, 12.4, 15.8];
    let batch = ["a", "a", "a", "b", "b", "b", "c", "c", "c", "d", "d", "d"];
    let offs: Vec<f64> = (0..4).map(|_| 0.08 * normal(&mut random)).collect();
    let grown: Vec<f64> =
        (0..12).map(|row| exact[row % 3] * (offs[row / 3] + 0.01 * normal(&mut random)).exp()).collect();
    let columns = vec![
        ("temperature_c", some(&celsius)),
        ("time_min", some(&[60.0; 12])),
        ("area_cm2", some(&[400.0; 12])),
        ("thickness_um", some(&grown)),
    ];
    let sheet = Sheet { labels: vec![labels("batch", &batch)], ..sheet("beakers.csv", columns) };
    let found = fitted(sheet, &["batch"]);
    let effects = found.random_effects().expect("effects");
    let [low, high] = effects.components[0].interval95.expect("an interval");
    assert!(low < 0.08 && 0.08 < high, "{:?}", effects.components);
    let energy = &found.estimates[1];
    assert!(energy.degrees_of_freedom.expect("freedom") > 6.0, "{energy:?}");
    has(&found, "few-groups", "batch has 4 groups");
}

#[test]
fn a_label_that_nobody_named_and_that_explains_scatter_is_named() {
    let found = fitted(batches(), &[]);
    has(&found, "label-explains", "name it (group = \"batch\", --group batch)");
    // Once named it is no more remarked on, and residuals are those within batches.
    let named = fitted(batches(), &["batch"]);
    assert!(named.remarks.iter().all(|remark| remark.code != "label-explains"), "{:?}", named.remarks);
    let size = |found: &RecipeFit| found.residuals().iter().map(|residual| residual.abs()).sum::<f64>();
    assert!(size(&named) < 0.5 * size(&found));
    assert!(named.misfit().next().is_none(), "{:?}", named.remarks);
}

#[test]
fn sheets_of_scatter_alone_name_a_label_once_in_a_hundred() {
    let mut random = ChaCha8Rng::seed_from_u64(11);
    let celsius = [78.0, 82.0, 86.0, 90.0, 79.0, 83.0, 87.0, 91.0, 80.0, 84.0, 88.0, 92.0];
    let mut named = 0;
    for _ in 0..200 {
        let rate = |celsius: &f64| (0.06 * (celsius - 85.0) + 0.03 * normal(&mut random)).exp() * 15.0;
        let rates: Vec<f64> = celsius.iter().map(rate).collect();
        let columns = vec![("temperature_c", some(&celsius)), ("deposition_um_h", some(&rates))];
        let batch = ["a", "b", "c", "d", "a", "b", "c", "d", "a", "b", "c", "d"];
        let found =
            fitted(Sheet { labels: vec![labels("batch", &batch)], ..sheet("runs.csv", columns) }, &[]);
        named += usize::from(found.remarks.iter().any(|remark| remark.code == "label-explains"));
    }
    // Two of 200 are expected; seven or more come once in two hundred such tests.
    assert!(named < 7, "{named} of 200");
}

#[test]
fn labels_that_make_no_random_effect_are_refused_in_words() {
    let with = |name: &str, groups: &[&str]| {
        let mut sheet = batches();
        sheet.labels.push(labels(name, groups));
        sheet
    };
    let half = ["a", "a", "a", "a", "a", "b", "b", "b", "b", "b"];
    let said = refused(&with("half", &half), &of(grouped(&["half"])));
    assert!(said.contains("half has 2 groups: expected at least 3"), "{said}");
    let said = refused(&batches(), &of(grouped(&["run"])));
    assert!(said.contains("each run has one row"), "{said}");
    let crossed = ["x", "y", "x", "y", "x", "y", "z", "z", "z", "z"];
    let said = refused(&with("beaker", &crossed), &of(grouped(&["batch", "beaker"])));
    assert!(said.contains("does not lie within"), "{said}");
    let said = refused(&batches(), &of(grouped(&["batch", "batch", "batch"])));
    assert!(said.contains("3 labels as random effects (batch, batch, batch)"), "{said}");
    let said = refused(&batches(), &of(grouped(&["day"])));
    assert!(
        said.contains("runs.csv: row 1, day = (empty): expected a label in every measured run"),
        "{said}"
    );
    let per = vec![(RATE.to_owned(), "batch".to_owned())];
    let said = refused(&batches(), &of(FitSpecification { per, ..grouped(&["batch"]) }));
    assert!(said.contains("has a value for each batch already"), "{said}");
}

#[test]
fn what_a_random_effect_is_not_fitted_beside_is_refused_in_words() {
    let prior = Prior { path: ENERGY.to_owned(), mean: 60.0, standard_deviation: 5.0 };
    let said = refused(&batches(), &RecipeFitOptions { priors: vec![prior], ..of(grouped(&["batch"])) });
    assert!(said.contains("a random effect of batch is not fitted beside priors"), "{said}");
    let robust = RecipeFitOptions { loss: Loss::Huber, ..of(grouped(&["batch"])) };
    assert!(refused(&batches(), &robust).contains("beside a robust loss"));
    let log = Data::Log(week(&power_law(), "week.csv", 4, 0.0, 1));
    let found = fit_recipe(&power_law(), &[Data::Runs(batches()), log], &of(grouped(&["batch"])));
    let said = found.expect_err("refused").to_string();
    assert!(said.contains("week.csv has no column batch to group its rows by"), "{said}");
    let mut two = batches();
    two.columns.push(("thickness_um".to_owned(), vec![None; 10]));
    two.columns.push(("time_min".to_owned(), vec![Some(60.0); 10]));
    (two.columns[1].1[0], two.columns[2].1[0]) = (None, Some(11.2));
    let said = refused(&two, &of(grouped(&["batch"])));
    assert!(
        said.contains("over thickness_um, deposition_um_h: expected one column of measured values"),
        "{said}"
    );
    let known = RecipeFitOptions {
        scale: Scale::Known,
        specification: FitSpecification {
            errors: Some(ErrorModel::Relative { sigma: 0.02 }),
            ..grouped(&["batch"])
        },
        ..RecipeFitOptions::default()
    };
    let found = fit_recipe(&power_law(), &[Data::Runs(two)], &known).expect("a fit of known errors");
    assert_eq!(found.random_effects().expect("effects").components.len(), 1);
}

/// As many numbers as differ between batches leave none for these.
#[test]
fn numbers_that_take_all_of_what_differs_between_batches_are_refused() {
    let mut runs = f02(1e4);
    let twice = |cells: &[Option<f64>]| cells.iter().chain(cells).copied().collect::<Vec<_>>();
    for (_, cells) in &mut runs.columns {
        *cells = twice(&cells[..3]);
    }
    runs.rows = (1..=6).collect();
    runs.columns.push(("ph".to_owned(), some(&[4.8, 4.6, 5.0, 4.8, 4.6, 5.0])));
    for (row, cell) in runs.columns[1].1.iter_mut().enumerate() {
        *cell = cell.map(|rate| rate * (1.0 + 0.01 * row as f64));
    }
    runs.labels.push(labels("batch", &["a", "b", "c", "a", "b", "c"]));
    let specification =
        FitSpecification { group: vec!["batch".to_owned()], ..asked(&[RATE, ENERGY, PH_ORDER]) };
    let said = refused(&runs, &of(specification));
    assert!(
        said.contains("the 3 free numbers leave nothing by which one batch would be off another"),
        "{said}"
    );
}
