//! Steps that learn from the ones before: secants of the step itself.
//!
//! Where residuals are large and curved, full steps p_k end short of the minimum or beyond it, each by about the
//! same part of itself. That part shows in how p changed from point to point, and the step is corrected by it,
//!
//! x_k + p_k - Σ_i γ_i ((x_k - x_i) + (p_k - p_i)),  γ = argmin ‖J (p_k - Σ_i γ_i (p_k - p_i))‖,
//!
//! the mixing of D. G. Anderson, *Iterative procedures for nonlinear integral equations*, Journal of the ACM 12
//! (1965) 547-560, with lengths told by J, so that units of the parameters have no say. No derivative beyond J
//! is needed.

use std::collections::VecDeque;

use nalgebra::{DMatrix, DVector};

use super::linear_fit::linear_fit;
use super::step::{LinearModel, Step};

/// Full steps from the latest points, the latest first.
#[derive(Default)]
pub(super) struct Secants {
    steps: VecDeque<FullStep>,
}

struct FullStep {
    from: DVector<f64>,
    by: DVector<f64>,
    predicted: f64,
}

impl FullStep {
    fn of(at: &[f64], step: &Step) -> Self {
        let from = DVector::from_column_slice(at);
        let by = DVector::from_column_slice(&step.to) - &from;
        FullStep { from, by, predicted: step.predicted }
    }
}

impl Secants {
    /// What is further back tells of other curves.
    const MOST: usize = 3;

    /// Keeps the full step by which a point was left. One that promised a good part of F comes from far away, where
    /// the residuals curve in other ways.
    pub fn keep(&mut self, at: &[f64], step: &Step, cost: f64) {
        const NEAR: f64 = 1e-2;
        if step.free && step.predicted <= NEAR * cost {
            self.steps.truncate(Self::MOST - 1);
            self.steps.push_front(FullStep::of(at, step));
        } else {
            self.steps.clear();
        }
    }

    /// Where a full step leads when corrected; `None` where nothing was learned, or nothing to be believed.
    pub fn correct(&self, model: &LinearModel, at: &[f64], step: &Step) -> Option<Vec<f64>> {
        // Steps that do not shrink have no minimum ahead.
        self.steps.front().filter(|last| step.free && step.predicted < last.predicted)?;
        let full = FullStep::of(at, step);
        // Fewer where many say the same.
        (1..=self.steps.len()).rev().find_map(|count| self.corrected_by(count, &model.jacobian, &full))
    }

    fn corrected_by(&self, count: usize, jacobian: &DMatrix<f64>, full: &FullStep) -> Option<Vec<f64>> {
        // What is longer than the step itself is a guess.
        const LONGEST: f64 = 1.0;
        let seen = |p: &DVector<f64>| jacobian * p;
        let earlier = || self.steps.iter().take(count);
        let changes: Vec<Vec<f64>> =
            earlier().map(|earlier| seen(&(&full.by - &earlier.by)).as_slice().to_vec()).collect();
        let parts = linear_fit(&changes, seen(&full.by).as_slice())?.values;
        let mut correction = DVector::zeros(full.by.len());
        for (earlier, part) in earlier().zip(parts) {
            correction += (&full.from - &earlier.from + &full.by - &earlier.by) * part;
        }
        let believed = seen(&correction).norm() <= LONGEST * seen(&full.by).norm();
        believed.then(|| (&full.from + &full.by - correction).as_slice().to_vec())
    }
}
