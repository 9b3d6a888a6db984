//! The damped linear step: min ‖A y + b‖ over ‖y‖ ≤ Δ.

use nalgebra::{DMatrix, DVector};

/// A step and whether the radius did not limit it.
pub(super) struct Damped {
    pub y: DVector<f64>,
    pub free: bool,
}

/// Minimises ‖A y + b‖ over ‖y‖ ≤ radius. Directions A cannot see, to rounding or to `unseen` of its largest
/// singular value, get no step.
///
/// With A = U S Vᵀ the step is y(λ) = -V S/(S²+λ) Uᵀb. If y(0) is too long, λ follows from Hebden's
/// iteration, Newton's on 1/‖y(λ)‖ = 1/Δ (Moré 1978), which rises to the root monotonically.
pub(super) fn damped(a: &DMatrix<f64>, b: &DVector<f64>, radius: f64, unseen: f64) -> Damped {
    // A few percent in λ cost nothing: the step is scaled onto the sphere afterwards.
    const RADIUS_TOLERANCE: f64 = 1e-3;
    let (triangle, projected) = if a.nrows() > a.ncols() {
        let qr = a.clone().qr();
        let mut turned = b.clone();
        qr.q_tr_mul(&mut turned);
        (qr.unpack_r(), turned.rows(0, a.ncols()).into_owned())
    } else {
        (a.clone(), b.clone())
    };
    let svd = triangle.svd(true, true);
    let (Some(u), Some(v_t)) = (&svd.u, &svd.v_t) else {
        return Damped { y: DVector::zeros(a.ncols()), free: false };
    };
    let s = &svd.singular_values;
    let c = u.tr_mul(&projected);
    let floor = s.max() * unseen.max(f64::EPSILON * a.nrows().max(a.ncols()) as f64);
    let seen: Vec<usize> = (0..s.len()).filter(|i| s[*i] > floor).collect();
    let step = |lambda: f64| {
        let mut weights = DVector::zeros(s.len());
        for i in &seen {
            weights[*i] = -c[*i] * s[*i] / (s[*i] * s[*i] + lambda);
        }
        weights
    };
    let mut weights = step(0.0);
    let free = weights.norm() <= radius;
    if !free {
        let mut lambda = 0.0;
        for _ in 0..100 {
            let length = weights.norm();
            if (length - radius).abs() <= RADIUS_TOLERANCE * radius {
                break;
            }
            let bend: f64 = seen.iter().map(|i| weights[*i].powi(2) / (s[*i] * s[*i] + lambda)).sum();
            lambda = (lambda + length * length / bend * (length - radius) / radius).max(0.0);
            weights = step(lambda);
        }
        let length = weights.norm();
        weights *= radius / length;
    }
    Damped { y: v_t.tr_mul(&weights), free }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_within_the_radius_solves_the_normal_equations() {
        let a = DMatrix::from_row_slice(3, 2, &[1.0, 2.0, 0.5, -1.0, 3.0, 1.0]);
        let b = DVector::from_row_slice(&[1.0, -2.0, 0.5]);
        let step = damped(&a, &b, 1e3, 0.0);
        assert!(step.free);
        assert!(a.tr_mul(&(&a * &step.y + &b)).norm() < 1e-13);
    }

    #[test]
    fn a_limited_step_lies_on_the_sphere_along_the_damped_path() {
        let a = DMatrix::from_row_slice(3, 2, &[1.0, 2.0, 0.5, -1.0, 3.0, 1.0]);
        let b = DVector::from_row_slice(&[1.0, -2.0, 0.5]);
        let step = damped(&a, &b, 0.1, 0.0);
        assert!(!step.free && (step.y.norm() - 0.1).abs() < 1e-15);
        // The gradient of the model is antiparallel to the step.
        let gradient = a.tr_mul(&(&a * &step.y + &b));
        let cosine = gradient.dot(&step.y) / gradient.norm() / step.y.norm();
        assert!((cosine + 1.0).abs() < 1e-4, "{cosine}");
    }

    #[test]
    fn directions_without_effect_get_no_step_and_wide_matrices_work() {
        let a = DMatrix::from_row_slice(1, 2, &[1.0, 1.0]);
        let step = damped(&a, &DVector::from_row_slice(&[2.0]), 10.0, 0.0);
        assert!((step.y[0] + 1.0).abs() < 1e-14 && (step.y[1] + 1.0).abs() < 1e-14);
        let a = DMatrix::from_row_slice(3, 2, &[1.0, 0.0, 1.0, 0.0, 1.0, 0.0]);
        let step = damped(&a, &DVector::from_element(3, 1.0), 10.0, 0.0);
        assert!((step.y[0] + 1.0).abs() < 1e-14 && step.y[1] == 0.0);
    }

    #[test]
    fn a_direction_that_is_only_an_error_of_a_gets_no_step() {
        let a = DMatrix::from_row_slice(3, 2, &[1.0, 1.0, 1.0, 1.0 + 1e-9, 1.0, 1.0 - 1e-9]);
        let b = DVector::from_row_slice(&[1.0, 2.0, 0.0]);
        let step = damped(&a, &b, 1e12, 1e-7);
        assert!((step.y[0] + 0.5).abs() < 1e-8 && (step.y[1] + 0.5).abs() < 1e-8);
        // Believed, it goes far.
        assert!(damped(&a, &b, 1e12, 0.0).y.norm() > 1e7);
    }
}
