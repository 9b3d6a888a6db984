//! Random effects: against MixedLM of statsmodels (`mixed_statsmodels.csv` and its producer), and closed forms.

use std::convert::Infallible;

use bathkin_numerics::least_squares::Residuals;
use bathkin_statistics::mixed::{Grouping, GroupingError, Likelihood, Mixed, fit_mixed, label_test};
use bathkin_statistics::{FitError, FitOptions, ResidualModel, Scale, fit};
use support::Csv;

/// y = b0 + b1 x + b2 w; or with exp(a) in place of b0, a curve of the same values.
struct Plane {
    rows: Vec<[f64; 3]>,
    names: Vec<String>,
    sigma: f64,
    by_logarithm: bool,
}

impl Plane {
    fn new(rows: Vec<[f64; 3]>) -> Self {
        Plane {
            rows,
            names: ["intercept", "x", "w"].map(str::to_owned).to_vec(),
            sigma: 1.0,
            by_logarithm: false,
        }
    }
}

impl Residuals for Plane {
    type Error = Infallible;

    fn parameters(&self) -> usize {
        3
    }

    fn rows(&self) -> usize {
        self.rows.len()
    }

    fn residuals(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), Infallible> {
        self.linearise(at, residuals, &mut vec![0.0; 3 * self.rows.len()])
    }

    fn linearise(&self, at: &[f64], residuals: &mut [f64], jacobian: &mut [f64]) -> Result<(), Infallible> {
        let (first, slope) = if self.by_logarithm { (at[0].exp(), at[0].exp()) } else { (at[0], 1.0) };
        for (row, [x, w, y]) in self.rows.iter().enumerate() {
            residuals[row] = (first + at[1] * x + at[2] * w - y) / self.sigma;
            jacobian[3 * row..3 * row + 3].copy_from_slice(&[slope, *x, *w].map(|slope| slope / self.sigma));
        }
        Ok(())
    }
}

impl ResidualModel for Plane {
    fn names(&self) -> &[String] {
        &self.names
    }
}

/// A drawn sheet: its rows, and its labels.
fn sheet(name: &str) -> (Plane, Vec<(String, Vec<String>)>) {
    let (mut rows, mut day, mut beaker) = (Vec::new(), Vec::new(), Vec::new());
    for row in Csv::reference("mixed_sheets.csv").rows().filter(|row| row.text("sheet") == name) {
        rows.push(["x", "w", "y"].map(|column| row.number(column)));
        day.push(row.text("day").to_owned());
        beaker.push(row.text("beaker").to_owned());
    }
    let mut labels = vec![("day".to_owned(), day)];
    if name.starts_with("nested") {
        // The finer one first: order does not matter.
        labels.insert(0, ("beaker".to_owned(), beaker));
    }
    (Plane::new(rows), labels)
}

fn fitted(model: &Plane, labels: &[(String, Vec<String>)], which: Likelihood) -> Mixed {
    let rows = Grouping::new(labels).expect("a grouping");
    let weights = vec![1.0 / model.sigma; model.rows()];
    let start = [if model.by_logarithm { 0.5 } else { 0.0 }, 0.0, 0.0];
    fit_mixed(model, &rows, &weights, &start, &FitOptions::default(), which).expect("a fit")
}

#[track_caller]
fn close(value: f64, expected: f64, relative: f64, what: &str) {
    assert!((value / expected - 1.0).abs() < relative, "{what}: {value} and not {expected}");
}

#[test]
fn fits_are_those_of_statsmodels() {
    for row in Csv::reference("mixed_statsmodels.csv").rows() {
        let name = row.text("sheet");
        let restricted = row.text("likelihood") == "restricted";
        let which = if restricted { Likelihood::Restricted } else { Likelihood::Marginal };
        let (model, labels) = sheet(name);
        let found = fitted(&model, &labels, which);
        let what = |of: &str| format!("{name}, {which:?}: {of}");
        for (column, value) in ["intercept", "x", "w"].iter().zip(found.fit.values()) {
            close(*value, row.number(column), 1e-6, &what(column));
        }
        close(found.log_likelihood(), row.number("llf"), 1e-6, &what("ln L"));
        close(found.within(), row.number("within"), 1e-4, &what("variance within"));
        close(found.between(0), row.number("day"), 1e-4, &what("variance of days"));
        if name.starts_with("nested") {
            close(found.between(1), row.number("beaker"), 1e-4, &what("variance of beakers"));
        }
        let effects = found.effects();
        for day in ["0", "2"] {
            let of = effects.iter().find(|one| one.label == "day" && one.group == day).expect("a day");
            let expected = row.number(&format!("effect_of_day_{day}"));
            assert!((of.value - expected).abs() < 1e-5 * of.standard_error, "{}", what("effect"));
        }
    }
}

/// Rows in sigmas, and a parameter by its logarithm, change no variance, no estimate and no marginal likelihood.
#[test]
fn units_and_a_curved_parametrisation_do_not_matter() {
    let (model, labels) = sheet("nested-unbalanced");
    let plain = fitted(&model, &labels, Likelihood::Marginal);
    let curved = Plane { by_logarithm: true, ..Plane::new(model.rows.clone()) };
    let turned = fitted(&curved, &labels, Likelihood::Marginal);
    close(turned.fit.values()[0].exp(), plain.fit.values()[0], 1e-7, "intercept");
    close(turned.log_likelihood(), plain.log_likelihood(), 1e-9, "ln L");
    let scaled = Plane { sigma: 0.04, ..Plane::new(model.rows.clone()) };
    let scaled = fitted(&scaled, &labels, Likelihood::Marginal);
    close(scaled.between(1), plain.between(1), 1e-5, "variance of beakers");
    close(scaled.within() * 0.04 * 0.04, plain.within(), 1e-5, "variance within");
    close(scaled.effects()[3].value, plain.effects()[3].value, 1e-5, "effect");
}

/// Of a balanced sheet the slope within groups has n - groups - 1 degrees of freedom but for what little the groups tell of
/// it, the slope between groups those of a line through group means.
#[test]
fn degrees_of_freedom_are_those_of_where_a_number_is_seen() {
    let (model, labels) = sheet("strong");
    let found = fitted(&model, &labels, Likelihood::Restricted);
    let within = found.freedom(&[0.0, 1.0, 0.0]).expect("freedom");
    let between = found.freedom(&[0.0, 0.0, 1.0]).expect("freedom");
    assert!((within - (23.0 - 8.0 - 1.0)).abs() < 0.01, "{within}");
    assert!((between - 6.0).abs() < 0.05, "{between}");
    let standard_error = found.fit.parameters[2].standard_error.expect("an error");
    // The slope of group means over w = -1 ... 1 in eight steps, their variance τ + s²/3.
    let squares: f64 = (0..8).map(|place| (-1.0 + 2.0 * f64::from(place) / 7.0_f64).powi(2)).sum();
    close(standard_error, ((found.between(0) + found.within() / 3.0) / squares).sqrt(), 1e-3, "error");
}

/// With absolute sigmas s² is one: the profile and the estimate are those of the variance between alone.
#[test]
fn absolute_sigmas_hold_the_variance_within() {
    let (model, labels) = sheet("weak");
    let free = fitted(&model, &labels, Likelihood::Restricted);
    let known = Plane { sigma: free.within().sqrt(), ..Plane::new(model.rows.clone()) };
    let rows = Grouping::new(&labels).expect("a grouping");
    let options = FitOptions { scale: Scale::Known, ..FitOptions::default() };
    let weights = vec![1.0 / known.sigma; known.rows()];
    let found =
        fit_mixed(&known, &rows, &weights, &[0.0; 3], &options, Likelihood::Restricted).expect("a fit");
    close(found.between(0), free.between(0), 1e-4, "variance between");
    assert_eq!(found.components(0.95).len(), 1);
    assert!(found.freedom(&[0.0, 1.0, 0.0]).expect("freedom") > 1e3);
}

#[test]
fn intervals_of_standard_deviations_hold_them_and_open_where_groups_hardly_differ() {
    let (model, labels) = sheet("many");
    let components = fitted(&model, &labels, Likelihood::Restricted).components(0.95);
    for (component, truth) in components.iter().zip([0.03, 0.05]) {
        let [low, high] = component.interval.expect("an interval");
        assert!(low < truth && truth < high, "{component:?}");
        assert!(low < component.standard_deviation && component.standard_deviation < high);
    }
    // The profile is that of the likelihood: χ² of it is where it says.
    let (model, labels) = sheet("balanced");
    let between = &fitted(&model, &labels, Likelihood::Restricted).components(0.95)[0];
    assert_eq!(between.interval.expect("an interval")[0], 0.0, "{between:?}");
}

#[test]
fn conditional_residuals_are_those_less_the_effects() {
    let (model, labels) = sheet("nested");
    let found = fitted(&model, &labels, Likelihood::Restricted);
    let mut plain = vec![0.0; model.rows()];
    model.residuals(found.fit.values(), &mut plain).expect("residuals");
    let effects = found.effects();
    let kept = found.conditional();
    for (row, residual) in kept.residuals.iter().enumerate() {
        let of = |(label, groups): &(String, Vec<String>)| {
            let mine = |one: &&bathkin_statistics::mixed::GroupEffect| {
                one.label == *label && one.group == groups[row]
            };
            effects.iter().find(mine).expect("an effect").value
        };
        let expected = plain[row] + labels.iter().map(of).sum::<f64>();
        assert!((residual - expected).abs() < 1e-12, "row {row}: {residual} and not {expected}");
    }
    // Their sum is the number of effective parameters: more than those free, fewer than with one for each beaker.
    let effective: f64 = kept.leverage.iter().sum();
    assert!((3.0..21.0).contains(&effective), "{effective}");
}

#[test]
fn a_label_that_explains_scatter_is_seen_and_one_that_does_not_is_not() {
    let (model, labels) = sheet("strong");
    let plain = fit(&model, &[0.0; 3], &FitOptions::default()).expect("a fit");
    let number =
        |names: &[String]| names.iter().map(|name| name.parse().ok()).collect::<Vec<Option<usize>>>();
    let weights = vec![1.0; model.rows()];
    let seen = label_test(&plain, &number(&labels[0].1), &weights).expect("a test");
    assert!(seen.p_value < 1e-12 && seen.between == 6 && seen.within == 14, "{seen:?}");
    let turns: Vec<Option<usize>> = (0..model.rows()).map(|row| Some(row % 4)).collect();
    let unseen = label_test(&plain, &turns, &weights).expect("a test");
    assert!(unseen.p_value > 0.05, "{unseen:?}");
}

fn names(names: &[&str]) -> Vec<String> {
    names.iter().map(|name| (*name).to_owned()).collect()
}

#[test]
fn labels_that_make_no_random_effect_are_refused() {
    let rows = names(&["1", "1", "2", "2", "3", "3"]);
    let label = |name: &str, groups: &[&str]| (name.to_owned(), names(groups));
    let refused = |labels: &[(String, Vec<String>)]| Grouping::new(labels).expect_err("refused").to_string();
    let day = ("day".to_owned(), rows.clone());
    assert!(
        refused(&[day.clone(), day.clone(), day.clone()])
            .contains("3 labels as random effects (day, day, day)")
    );
    assert!(refused(&[label("half", &["a", "a", "a", "b", "b", "b"])]).contains("half has 2 groups"));
    assert!(refused(&[label("coupon", &["a", "b", "c", "d", "e", "f"])]).contains("each coupon has one row"));
    let crossed = label("beaker", &["a", "b", "a", "b", "c", "d"]);
    assert!(refused(&[day.clone(), crossed]).contains("beaker a stands in day 1 and in day 2"));
    assert!(refused(&[day.clone(), label("batch", &["x", "x", "y", "y", "z", "z"])]).contains("alike"));
}

#[test]
fn a_model_that_leaves_nothing_between_or_within_is_refused() {
    let of = |rows: Vec<[f64; 3]>, groups: &[&str]| {
        let labels = [("batch".to_owned(), names(groups))];
        let rows_of = Grouping::new(&labels).expect("a grouping");
        let model = Plane::new(rows);
        let weights = vec![1.0; model.rows()];
        fit_mixed(&model, &rows_of, &weights, &[0.0; 3], &FitOptions::default(), Likelihood::Restricted)
            .expect_err("refused")
    };
    // Three batches, each with x and w of its own: three numbers, none left.
    let own = [[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]];
    let rows = |count: usize| -> Vec<[f64; 3]> {
        (0..count).map(|row| [own[row % 3][0], own[row % 3][1], 1.0 + 0.1 * (row as f64).sin()]).collect()
    };
    let between = of(rows(6), &["a", "b", "c", "a", "b", "c"]);
    assert!(matches!(between, FitError::Grouping(GroupingError::NothingBetween { .. })), "{between}");
    let few = vec![[0.0, 0.3, 1.0], [0.5, 0.1, 1.2], [0.1, 0.9, 1.1], [0.7, 0.2, 1.3], [0.4, 0.4, 1.2]];
    let within = of(few, &["a", "a", "b", "c", "d"]);
    assert!(matches!(within, FitError::Grouping(GroupingError::NothingWithin { .. })), "{within}");
}
