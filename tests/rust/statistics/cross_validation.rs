//! Cross-validation against the closed form of linear models, and models side by side.

use std::convert::Infallible;

use bathkin_numerics::least_squares::{LeastSquaresOptions, Loss, Residuals};
use bathkin_statistics::Scale;
use bathkin_statistics::cross_validation::{Folds, cross_validate};
use bathkin_statistics::influence::influence;
use bathkin_statistics::ranking::{Candidate, Support, rank};
use bathkin_statistics::{Fit, FitError, FitOptions, ResidualModel, fit};
use nalgebra::{DMatrix, DVector};
use rayon::ThreadPoolBuilder;

use support::curve::Curve;

// Invented: a line with scatter.
const X: [f64; 9] = [0.0, 0.5, 1.0, 2.0, 2.5, 4.0, 5.0, 6.0, 9.0];
const Y: [f64; 9] = [1.1, 1.7, 3.2, 4.8, 6.3, 8.8, 11.4, 12.7, 19.3];

fn fitted(model: &Curve) -> Fit {
    fit(model, &vec![0.1; model.names.len()], &FitOptions::default()).expect("a fit")
}

/// The line in cases of three rows.
struct InRuns(Curve);

impl Residuals for InRuns {
    type Error = Infallible;

    fn parameters(&self) -> usize {
        self.0.parameters()
    }

    fn rows(&self) -> usize {
        self.0.rows()
    }

    fn residuals(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), Infallible> {
        self.0.residuals(at, residuals)
    }

    fn linearise(&self, at: &[f64], residuals: &mut [f64], jacobian: &mut [f64]) -> Result<(), Infallible> {
        self.0.linearise(at, residuals, jacobian)
    }
}

impl ResidualModel for InRuns {
    fn names(&self) -> &[String] {
        self.0.names()
    }

    fn case_of(&self, row: usize) -> usize {
        10 + row % 3
    }
}

#[test]
fn leaving_out_a_row_of_a_line_is_the_closed_form() {
    let model = Curve::line(&X, &Y);
    let found = fitted(&model);
    let left_out = cross_validate(&model, &found, Folds::Each).expect("cross-validation");
    assert_eq!((left_out.fits, left_out.failed, left_out.undetermined), (9, 0, 0));
    let mut squares = 0.0;
    for (row, influence) in influence(&found).iter().enumerate() {
        let press = found.minimum.residuals[row] / (1.0 - influence.leverage);
        let residual = left_out.residuals[row].expect("a prediction");
        assert!((residual / press - 1.0).abs() < 1e-9, "row {row}: {residual}, expected {press}");
        squares += press * press;
        assert!((left_out.by_case[row].rms.expect("one") / press.abs() - 1.0).abs() < 1e-9);
    }
    assert!((left_out.rms / (squares / 9.0).sqrt() - 1.0).abs() < 1e-9);
}

#[test]
fn the_rows_of_a_case_are_left_out_together() {
    let model = InRuns(Curve::line(&X, &Y));
    let found = fit(&model, &[0.0, 0.0], &FitOptions::default()).expect("a fit");
    let left_out = cross_validate(&model, &found, Folds::Each).expect("cross-validation");
    assert_eq!(
        left_out.by_case.iter().map(|one| (one.case, one.rows)).collect::<Vec<_>>(),
        [(10, 3), (11, 3), (12, 3)]
    );
    // Of rows I left out together the prediction residuals are (1 - H_II)⁻¹ r_I.
    let j = &found.minimum.jacobian;
    let h = j * j.tr_mul(j).try_inverse().expect("regular") * j.transpose();
    for case in 0..3 {
        let rows = [case, case + 3, case + 6];
        let inner = DMatrix::identity(3, 3) - DMatrix::from_fn(3, 3, |a, b| h[(rows[a], rows[b])]);
        let r = DVector::from_iterator(3, rows.iter().map(|row| found.minimum.residuals[*row]));
        let expected = inner.try_inverse().expect("regular") * r;
        for (place, row) in rows.into_iter().enumerate() {
            let residual = left_out.residuals[row].expect("a prediction");
            assert!((residual / expected[place] - 1.0).abs() < 1e-9);
        }
    }
    let error = cross_validate(&model, &found, Folds::Drawn { count: 4, seed: 1 }).unwrap_err();
    assert_eq!(error, FitError::Count { of: "folds of cases", given: 4, least: 2, most: Some(3) });
}

#[test]
fn folds_depend_on_their_seed_only_and_each_row_is_predicted_once() {
    let model = Curve::line(&X, &Y);
    let found = fitted(&model);
    let with = |threads: usize, seed: u64| {
        let pool = ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
        pool.install(|| cross_validate(&model, &found, Folds::Drawn { count: 4, seed })).expect("folds")
    };
    let one = with(1, 5);
    assert_eq!(one, with(2, 5));
    assert_ne!(one.residuals, with(1, 6).residuals);
    assert_eq!(one.fits, 4);
    assert!(one.residuals.iter().all(Option::is_some));
    // As many folds as cases are the cases one by one.
    let all = cross_validate(&model, &found, Folds::Drawn { count: 9, seed: 3 }).expect("folds");
    let each = cross_validate(&model, &found, Folds::Each).expect("folds");
    assert_eq!(all.residuals, each.residuals);
}

#[test]
fn a_row_that_alone_tells_something_is_not_predicted() {
    // Only the last row sees the step.
    let model = Curve::new(&["level", "step"], &[0.0, 1.0, 2.0, 9.0], &[1.0, 1.1, 0.9, 5.0], |b, x| {
        b[0] + b[1] * if x > 5.0 { 1.0 } else { 0.0 }
    });
    let found = fitted(&model);
    let left_out = cross_validate(&model, &found, Folds::Each).expect("cross-validation");
    assert_eq!((left_out.failed, left_out.undetermined), (0, 1));
    assert_eq!((left_out.residuals[3], left_out.by_case[3].rms), (None, None));
    // Means of the other two: 1, 0.95 and 1.05.
    let expected = [1.0 - 1.0, 0.95 - 1.1, 1.05 - 0.9];
    let rms = (expected.iter().map(|r| r * r).sum::<f64>() / 3.0).sqrt();
    assert!((left_out.rms / rms - 1.0).abs() < 1e-9);
}

#[test]
fn models_of_the_same_rows_are_ranked_and_others_refused() {
    let models = [
        Curve::new(&["a"], &X, &Y, |b, _| b[0]),
        Curve::new(&["a", "b", "c", "d"], &X, &Y, |b, x| b[0] + b[1] * x + b[2] * x * x + b[3] * x.powi(3)),
        Curve::line(&X, &Y),
        Curve::new(&["b"], &X, &Y, |b, x| b[0] * x + 1.0),
    ];
    let names = ["constant", "cubic", "line", "slope"];
    let fits = models.each_ref().map(fitted);
    let rows: Vec<(f64, f64)> = Y.iter().map(|y| (*y, 1.0)).collect();
    let candidate = |i: usize| Candidate {
        name: names[i],
        fit: &fits[i],
        rows: &rows,
        cross_validation_rms: Some(i as f64),
    };
    let ranked = rank(&[candidate(0), candidate(1), candidate(2), candidate(3)]).expect("a ranking");
    // AICc = n ln(S/n) + 2k + 2k(k+1)/(n-k-1), k with the scale.
    let aicc = |i: usize, k: f64| {
        9.0 * (fits[i].sum_of_squares() / 9.0).ln() + 2.0 * k + 2.0 * k * (k + 1.0) / (8.0 - k)
    };
    let expected = [aicc(0, 2.0), aicc(1, 5.0), aicc(2, 3.0), aicc(3, 2.0)];
    let least = expected.iter().copied().fold(f64::INFINITY, f64::min);
    let total: f64 = expected.iter().map(|aicc| (0.5 * (least - aicc)).exp()).sum();
    for line in &ranked {
        let i = names.iter().position(|name| *name == line.name).expect("a name");
        assert!((line.aicc.expect("one") - expected[i]).abs() < 1e-9);
        assert!((line.delta.expect("one") - (expected[i] - least)).abs() < 1e-9);
        assert!((line.weight.expect("one") - (0.5 * (least - expected[i])).exp() / total).abs() < 1e-9);
        assert_eq!(line.cross_validation_rms, Some(i as f64));
    }
    assert!(ranked.is_sorted_by(|a, b| a.aicc <= b.aicc));
    assert_eq!(ranked[0].name, "slope");
    assert_eq!((ranked[0].support, ranked[3].support), (Support::Best, Support::None), "{ranked:?}");
    // The same model twice is not told apart.
    let twice = rank(&[candidate(2), Candidate { name: "again", ..candidate(2) }]).expect("a ranking");
    assert!(twice.iter().all(|line| line.support.code() == "cannot_be_told_apart"));
    assert!(twice.iter().all(|line| (line.weight.expect("one") - 0.5).abs() < 1e-12));
    // Too few rows for an AICc: last, and said so.
    let five = Curve::new(&["a", "b", "c"], &X[..5], &Y[..5], |b, x| b[0] + b[1] * x + b[2] * x * x);
    let two = [fitted(&five), fitted(&Curve::line(&X[..5], &Y[..5]))];
    let of = |i: usize| Candidate { name: "one", fit: &two[i], rows: &rows[..5], cross_validation_rms: None };
    let few = rank(&[of(0), of(1)]).expect("a ranking");
    assert_eq!((few[1].support, few[1].weight, few[1].counted), (Support::NotRanked, None, 4));

    let refusal = |other: Candidate<'_>| rank(&[candidate(2), other]).unwrap_err().to_string();
    assert_eq!(refusal(of(1)), "line was fitted to 9 rows and one to 5: expected the same rows");
    let mut changed = rows.clone();
    changed[4].0 = 6.4;
    let other = Candidate { rows: &changed, ..candidate(0) };
    assert!(refusal(other).starts_with("row 5: line has 6.3 with sigma 1 and constant has 6.4"));
    let known = FitOptions { scale: Scale::Known, ..FitOptions::default() };
    let known = fit(&models[0], &[0.0], &known).expect("a fit");
    assert!(refusal(Candidate { fit: &known, ..candidate(0) }).starts_with("the scale of line is estimated"));
    let solver = LeastSquaresOptions { loss: Loss::SoftL1, ..LeastSquaresOptions::default() };
    let robust = FitOptions { solver, ..FitOptions::default() };
    let robust = fit(&models[0], &[1.0], &robust).expect("a fit");
    let error = rank(&[candidate(2), Candidate { fit: &robust, ..candidate(0) }]).unwrap_err();
    assert_eq!(error, FitError::RobustLoss { method: "an information criterion" });
    assert!(rank(&[]).is_err());
}
