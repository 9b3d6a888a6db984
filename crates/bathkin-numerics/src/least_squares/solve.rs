//! The iteration.

use nalgebra::{DMatrix, DVector};

use super::options::{Bounds, LeastSquaresOptions};
use super::outcome::{LeastSquaresError, Minimum, Termination};
use super::problem::Residuals;
use super::secant::Secants;
use super::spectrum::Spectrum;
use super::step::{LinearModel, bounded_step};

/// Minimises F within the bounds, from `start`. See the [module](super) for equation and method.
///
/// # Errors
/// [`LeastSquaresError`]: arguments that do not fit, a start outside the bounds, or one where the problem
/// fails. Everything later ends in a [`Minimum`] that says why.
///
/// ```
/// use bathkin_numerics::least_squares::{Bounds, LeastSquaresOptions, Residuals, least_squares};
/// use std::convert::Infallible;
///
/// /// Rosenbrock's valley: 10 (b - a²), 1 - a.
/// struct Valley;
/// impl Residuals for Valley {
///     type Error = Infallible;
///     fn parameters(&self) -> usize { 2 }
///     fn rows(&self) -> usize { 2 }
///     fn residuals(&self, x: &[f64], f: &mut [f64]) -> Result<(), Infallible> {
///         f.copy_from_slice(&[10.0 * (x[1] - x[0] * x[0]), 1.0 - x[0]]);
///         Ok(())
///     }
///     fn linearise(&self, x: &[f64], f: &mut [f64], j: &mut [f64]) -> Result<(), Infallible> {
///         j.copy_from_slice(&[-20.0 * x[0], 10.0, -1.0, 0.0]);
///         self.residuals(x, f)
///     }
/// }
///
/// let free = least_squares(&Valley, &[-1.2, 1.0], &Bounds::none(2), &LeastSquaresOptions::default()).unwrap();
/// assert!(free.termination.converged() && (free.parameters[0] - 1.0).abs() < 1e-10);
///
/// let bounds = Bounds { lower: vec![-2.0, -2.0], upper: vec![0.5, 2.0] };
/// let held = least_squares(&Valley, &[-1.2, 1.0], &bounds, &LeastSquaresOptions::default()).unwrap();
/// assert_eq!(held.at_bound, [true, false]);
/// assert_eq!(held.parameters[0], 0.5);
/// assert!((held.parameters[1] - 0.25).abs() < 1e-10);
/// ```
pub fn least_squares<P: Residuals>(
    problem: &P,
    start: &[f64],
    bounds: &Bounds,
    options: &LeastSquaresOptions,
) -> Result<Minimum, LeastSquaresError<P::Error>> {
    check(problem.parameters(), start, bounds, options)?;
    let mut point = Point::at_start(problem, start, options)?;
    let mut counts = Counts { evaluations: 1, jacobians: 1, ..Counts::default() };
    let mut scale = vec![0.0; start.len()];
    point.grow(&mut scale, options.least_norm);
    let size =
        |scale: &[f64], x: &[f64]| scale.iter().zip(x).map(|(d, x)| (d * x).powi(2)).sum::<f64>().sqrt();
    let mut radius = size(&scale, start);
    if radius == 0.0 {
        radius = point.model.residuals.norm();
    }
    // Promise of the last step taken although F could not judge it.
    let mut promised = f64::INFINITY;
    let mut secants = Secants::default();
    let mut termination = 'search: loop {
        let moving = point.moving(bounds, &scale);
        if point.stationary(&moving, options.gradient_tolerance) {
            break Termination::Gradient;
        }
        // A corrected step that disappoints is tried again as it was.
        let mut learning = true;
        // Trials from this point, ever shorter, until one lowers F.
        loop {
            let step =
                bounded_step(&point.model, &point.at, bounds, &scale, radius, options.unseen, moving.clone());
            let smallest = size(&scale, &point.at);
            let exhausted = step.free && step.predicted <= options.decrease_tolerance * point.cost;
            let minute = step.free && step.length <= options.step_tolerance * smallest;
            // NaN and minus zero belong here too.
            if !(step.predicted > 0.0 && step.length > 0.0) {
                break 'search if step.free { Termination::Decrease } else { Termination::Stalled };
            }
            if step.free && step.predicted <= options.negligible_decrease * point.cost {
                break 'search Termination::Decrease;
            }
            if counts.evaluations >= options.max_evaluations {
                break 'search Termination::Evaluations;
            }
            counts.evaluations += 1;
            let corrected = if learning { secants.correct(&point.model, &point.at, &step) } else { None };
            let corrected = corrected.filter(|to| bounds.hold(to));
            let trial = point.trial(problem, corrected.as_ref().unwrap_or(&step.to), options);
            let collapsed = step.length <= 4.0 * f64::EPSILON * smallest;
            let Some(trial) = trial else {
                counts.failures += 1;
                if corrected.is_some() {
                    learning = false;
                    continue;
                }
                if collapsed || radius < f64::MIN_POSITIVE {
                    break 'search Termination::ProblemFails;
                }
                radius = 0.25 * step.length;
                continue;
            };
            let fall = point.cost - trial.cost;
            let ratio = fall / step.predicted;
            let noise = options.noise_of(point.cost);
            let unseen = step.free && step.predicted <= noise && fall.abs() <= 10.0 * noise;
            if unseen && step.predicted > 0.5 * promised {
                break 'search Termination::Decrease;
            }
            if corrected.is_some() && !unseen && ratio < 0.25 {
                counts.refused += 1;
                learning = false;
                continue;
            }
            let accepted = fall > 0.0 || unseen;
            if unseen {
                promised = step.predicted;
            } else if ratio < 0.25 {
                radius = 0.25 * step.length;
            } else if ratio > 0.75 && step.length > 0.95 * radius {
                radius *= 2.0;
            }
            let small = |change: f64| change.abs() <= options.decrease_tolerance * point.cost;
            let settled = !unseen && small(fall) && small(step.predicted) && ratio > 0.25;
            if accepted {
                // A point that has residuals but no derivatives is a refused step like any other.
                counts.evaluations += 1;
                counts.jacobians += 1;
                match Point::of(problem, trial.at, options) {
                    Ok(next) => {
                        secants.keep(&point.at, &step, point.cost);
                        point = next;
                    }
                    Err(_) => {
                        counts.failures += 1;
                        if collapsed || radius < f64::MIN_POSITIVE {
                            break 'search Termination::ProblemFails;
                        }
                        radius = 0.25 * step.length;
                        continue;
                    }
                }
                counts.iterations += 1;
                point.grow(&mut scale, options.least_norm);
            } else {
                counts.refused += 1;
            }
            if exhausted || settled {
                break 'search Termination::Decrease;
            }
            if minute {
                break 'search Termination::Step;
            }
            if accepted {
                break;
            }
            if collapsed || radius < f64::MIN_POSITIVE {
                break 'search Termination::Stalled;
            }
        }
    };
    if termination == Termination::Stalled {
        // Where residuals are large, steps overshoot until F cannot tell them any more. What the whole step
        // would gain tells a minimum from a search that got stuck.
        let moving = point.moving(bounds, &scale);
        let whole =
            bounded_step(&point.model, &point.at, bounds, &scale, f64::INFINITY, options.unseen, moving);
        // Not the resolution: a chord's is coarse, and its steps may lead nowhere.
        let unseen = options.noise_of(point.cost) - options.resolution * point.cost;
        if whole.predicted <= options.decrease_tolerance.max(ROUNDING) * point.cost + unseen {
            termination = Termination::Decrease;
        }
    }
    Ok(point.into_minimum(bounds, options, termination, &counts))
}

/// Part of F that its rounding hides.
const ROUNDING: f64 = 1e-12;

#[derive(Default)]
struct Counts {
    iterations: usize,
    evaluations: usize,
    jacobians: usize,
    refused: usize,
    failures: usize,
}

/// Residuals at a point that is not yet accepted.
struct Trial {
    at: Vec<f64>,
    cost: f64,
}

/// An accepted point with its linear model.
struct Point {
    at: Vec<f64>,
    residuals: Vec<f64>,
    jacobian: DMatrix<f64>,
    cost: f64,
    model: LinearModel,
}

enum Refusal<E> {
    Problem(E),
    NotFinite(usize),
}

impl Point {
    fn at_start<P: Residuals>(
        problem: &P,
        start: &[f64],
        options: &LeastSquaresOptions,
    ) -> Result<Self, LeastSquaresError<P::Error>> {
        Point::of(problem, start.to_vec(), options).map_err(|refusal| match refusal {
            Refusal::Problem(error) => LeastSquaresError::Start(error),
            Refusal::NotFinite(index) => LeastSquaresError::NotFinite { index },
        })
    }

    fn of<P: Residuals>(
        problem: &P,
        at: Vec<f64>,
        options: &LeastSquaresOptions,
    ) -> Result<Self, Refusal<P::Error>> {
        let (rows, columns) = (problem.rows(), problem.parameters());
        let mut residuals = vec![0.0; rows];
        let mut by_rows = vec![0.0; rows * columns];
        problem.linearise(&at, &mut residuals, &mut by_rows).map_err(Refusal::Problem)?;
        if let Some(index) = residuals.iter().chain(&by_rows).position(|value| !value.is_finite()) {
            return Err(Refusal::NotFinite(index));
        }
        let cost = options.loss.cost(options.loss_scale, &residuals);
        if !cost.is_finite() {
            return Err(Refusal::NotFinite(0));
        }
        let jacobian = DMatrix::from_row_slice(rows, columns, &by_rows);
        let mut model =
            LinearModel { residuals: DVector::from_row_slice(&residuals), jacobian: jacobian.clone() };
        for (row, residual) in residuals.iter().enumerate() {
            let (on_residual, on_row) = options.loss.weights(options.loss_scale, *residual);
            model.residuals[row] *= on_residual;
            model.jacobian.row_mut(row).scale_mut(on_row);
        }
        Ok(Point { at, residuals, jacobian, cost, model })
    }

    fn trial<P: Residuals>(&self, problem: &P, at: &[f64], options: &LeastSquaresOptions) -> Option<Trial> {
        let mut residuals = vec![0.0; self.residuals.len()];
        problem.residuals(at, &mut residuals).ok()?;
        let cost = options.loss.cost(options.loss_scale, &residuals);
        cost.is_finite().then(|| Trial { at: at.to_vec(), cost })
    }

    /// Raises the scale of each parameter to the norm of its column, or the least where it has any.
    fn grow(&self, scale: &mut [f64], least: f64) {
        for (column, scale) in scale.iter_mut().enumerate() {
            let norm = self.model.jacobian.column(column).norm();
            *scale = scale.max(if norm > 0.0 { norm.max(least) } else { 0.0 });
        }
    }

    /// Parameters that have an effect and are not held on a bound F pushes them against.
    fn moving(&self, bounds: &Bounds, scale: &[f64]) -> Vec<usize> {
        let gradient = self.model.jacobian.tr_mul(&self.model.residuals);
        let held = |i: usize| {
            (self.at[i] <= bounds.lower[i] && gradient[i] >= 0.0)
                || (self.at[i] >= bounds.upper[i] && gradient[i] <= 0.0)
        };
        (0..self.at.len()).filter(|i| scale[*i] > 0.0 && !held(*i)).collect()
    }

    /// Whether the residuals are orthogonal to the columns of all moving parameters.
    fn stationary(&self, moving: &[usize], tolerance: f64) -> bool {
        // Not the norm of the weighted residuals, which a robust loss makes large where they matter least.
        let size = (2.0 * self.cost).sqrt();
        moving.iter().all(|i| {
            let column = self.model.jacobian.column(*i);
            column.dot(&self.model.residuals).abs() <= tolerance * column.norm() * size
        })
    }

    fn into_minimum(
        self,
        bounds: &Bounds,
        options: &LeastSquaresOptions,
        termination: Termination,
        counts: &Counts,
    ) -> Minimum {
        let at_bound: Vec<bool> = (0..self.at.len()).map(|i| bounds.touches(i, self.at[i])).collect();
        let off: Vec<usize> = (0..self.at.len()).filter(|i| !at_bound[*i]).collect();
        Minimum {
            spectrum: Spectrum::of(&self.jacobian, &off, options.rank_tolerance, options.least_norm),
            parameters: self.at,
            residuals: self.residuals,
            jacobian: self.jacobian,
            cost: self.cost,
            at_bound,
            termination,
            iterations: counts.iterations,
            evaluations: counts.evaluations,
            jacobians: counts.jacobians,
            refused: counts.refused,
            failures: counts.failures,
        }
    }
}

fn check<E>(
    parameters: usize,
    start: &[f64],
    bounds: &Bounds,
    options: &LeastSquaresOptions,
) -> Result<(), LeastSquaresError<E>> {
    let bad =
        |what, index, value, expected| Err(LeastSquaresError::Argument { what, index, value, expected });
    for (what, length) in
        [("start", start.len()), ("lower", bounds.lower.len()), ("upper", bounds.upper.len())]
    {
        if length != parameters {
            return bad(what, length, f64::NAN, "one number for each parameter");
        }
    }
    for (i, value) in start.iter().enumerate() {
        let (lower, upper) = (bounds.lower[i], bounds.upper[i]);
        if lower.is_nan() || upper.is_nan() || lower > upper {
            return bad("lower", i, lower, "a number not above the upper bound");
        }
        if !value.is_finite() || *value < lower || *value > upper {
            return bad("start", i, *value, "a finite number within the bounds");
        }
    }
    let positive = [
        ("gradient_tolerance", options.gradient_tolerance),
        ("decrease_tolerance", options.decrease_tolerance),
        ("resolution", options.resolution),
        ("step_tolerance", options.step_tolerance),
        ("loss_scale", options.loss_scale),
        ("rank_tolerance", options.rank_tolerance),
    ];
    for (what, value) in [("least_norm", options.least_norm), ("residual_error", options.residual_error)] {
        if !(value >= 0.0 && value.is_finite()) {
            return bad(what, 0, value, "a number, zero or more");
        }
    }
    for (what, value) in [("unseen", options.unseen), ("negligible_decrease", options.negligible_decrease)] {
        if !(0.0..1.0).contains(&value) {
            return bad(what, 0, value, "zero or more, below one");
        }
    }
    for (what, value) in positive {
        if !(value > 0.0 && value.is_finite()) {
            return bad(what, 0, value, "a number above zero");
        }
    }
    Ok(())
}
