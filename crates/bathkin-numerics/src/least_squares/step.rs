//! A step within the bounds: the damped step, bent along the bounds it meets.

use nalgebra::{DMatrix, DVector};

use super::options::Bounds;
use super::trust::damped;

/// The linear model of the problem at a point: residuals and J weighted by the loss.
pub(super) struct LinearModel {
    pub residuals: DVector<f64>,
    pub jacobian: DMatrix<f64>,
}

/// A step, the fall of F it promises, and whether the radius did not limit it.
pub(super) struct Step {
    pub to: Vec<f64>,
    /// ‖D p‖.
    pub length: f64,
    pub predicted: f64,
    pub free: bool,
}

/// Minimises the model over ‖D p‖ ≤ radius and the bounds, leaving out the parameters not in `moving` and
/// directions `unseen`.
pub(super) fn bounded_step(
    model: &LinearModel,
    at: &[f64],
    bounds: &Bounds,
    scale: &[f64],
    radius: f64,
    unseen: f64,
    mut moving: Vec<usize>,
) -> Step {
    let mut p = DVector::zeros(at.len());
    let mut to = at.to_vec();
    let mut free = true;
    while !moving.is_empty() {
        // What the parameters already on their bounds leave of residuals and radius.
        let mut settled = p.clone();
        moving.iter().for_each(|i| settled[*i] = 0.0);
        let used: f64 = (0..at.len()).map(|i| (scale[i] * settled[i]).powi(2)).sum();
        let left = (radius * radius - used).max(0.0).sqrt();
        if left == 0.0 {
            free = false;
            break;
        }
        let b = &model.residuals + &model.jacobian * &settled;
        let a = DMatrix::from_fn(b.len(), moving.len(), |row, column| {
            model.jacobian[(row, moving[column])] / scale[moving[column]]
        });
        let step = damped(&a, &b, left, unseen);
        free = step.free;
        let target: Vec<f64> = moving.iter().zip(step.y.iter()).map(|(i, y)| y / scale[*i]).collect();
        let Some((met, bound, part)) = first_bound(&p, &target, at, bounds, &moving) else {
            for (i, target) in moving.iter().zip(target) {
                p[*i] = target;
                to[*i] = at[*i] + target;
            }
            break;
        };
        for (i, target) in moving.iter().zip(target) {
            p[*i] += part * (target - p[*i]);
            to[*i] = at[*i] + p[*i];
        }
        let i = moving.remove(met);
        p[i] = bound - at[i];
        to[i] = bound;
    }
    // Rounding in at + p may pass a bound by one unit in the last place.
    for (i, to) in to.iter_mut().enumerate() {
        *to = to.clamp(bounds.lower[i], bounds.upper[i]);
    }
    let change = &model.jacobian * &p;
    let predicted = -(change.dot(&model.residuals) + 0.5 * change.norm_squared());
    let length = (0..at.len()).map(|i| (scale[i] * p[i]).powi(2)).sum::<f64>().sqrt();
    Step { to, length, predicted, free }
}

/// The first bound on the way from p to the target: place in `moving`, bound, part of the way.
fn first_bound(
    p: &DVector<f64>,
    target: &[f64],
    at: &[f64],
    bounds: &Bounds,
    moving: &[usize],
) -> Option<(usize, f64, f64)> {
    let mut first: Option<(usize, f64, f64)> = None;
    for (place, (i, target)) in moving.iter().zip(target).enumerate() {
        let end = at[*i] + target;
        let bound = if end < bounds.lower[*i] {
            bounds.lower[*i]
        } else if end > bounds.upper[*i] {
            bounds.upper[*i]
        } else {
            continue;
        };
        let part = ((bound - at[*i] - p[*i]) / (target - p[*i])).clamp(0.0, 1.0);
        if first.is_none_or(|(_, _, earlier)| part < earlier) {
            first = Some((place, bound, part));
        }
    }
    first
}
