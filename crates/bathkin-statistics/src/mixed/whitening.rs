//! Residuals turned so that groups are no longer off together.
//!
//! W = ∏ (I - c z zᵀ), c = (1 - √d)/zᵀz, d = 1/(1 + θ zᵀz): the symmetric root of (I + θ z zᵀ)⁻¹, group by group, the finer
//! level first; z of the coarser one as the finer has left it. WᵀW = s² V⁻¹.

use bathkin_numerics::least_squares::Residuals;

use crate::mixed::grouping::Grouping;
use crate::residual_model::ResidualModel;

/// W.
#[derive(Debug, Clone)]
pub struct Whitening {
    /// By level, the finer first.
    steps: Vec<Step>,
}

#[derive(Debug, Clone)]
struct Step {
    of_row: Vec<usize>,
    /// z, as the finer level has left it.
    weights: Vec<f64>,
    /// c of every group.
    factors: Vec<f64>,
}

impl Step {
    fn new(of_row: &[usize], groups: usize, weights: Vec<f64>, ratio: f64) -> Self {
        let mut sizes = vec![0.0; groups];
        for (group, z) in of_row.iter().zip(&weights) {
            sizes[*group] += z * z;
        }
        let factor = |size: f64| {
            // (1 - √d)/zᵀz without a difference of nearly equal numbers.
            let root = (1.0 + ratio * size).sqrt();
            ratio / (root * (1.0 + root))
        };
        Step { of_row: of_row.to_vec(), weights, factors: sizes.into_iter().map(factor).collect() }
    }

    /// Turns every `stride`-th number from `from` on.
    fn apply(&self, values: &mut [f64], from: usize, stride: usize) {
        let mut along = vec![0.0; self.factors.len()];
        for (row, (group, z)) in self.of_row.iter().zip(&self.weights).enumerate() {
            along[*group] += z * values[from + row * stride];
        }
        for (row, (group, z)) in self.of_row.iter().zip(&self.weights).enumerate() {
            values[from + row * stride] -= self.factors[*group] * along[*group] * z;
        }
    }
}

impl Whitening {
    /// For ratios of variances, one for each level; `weights` are z.
    pub fn new(grouping: &Grouping, weights: &[f64], ratios: &[f64]) -> Self {
        let mut steps: Vec<Step> = Vec::new();
        let mut weights = weights.to_vec();
        for (level, ratio) in grouping.levels().iter().zip(ratios).rev() {
            let step = Step::new(&level.of_row, level.groups.len(), weights.clone(), *ratio);
            step.apply(&mut weights, 0, 1);
            steps.push(step);
        }
        Whitening { steps }
    }

    /// W times residuals.
    pub fn apply(&self, residuals: &mut [f64]) {
        self.steps.iter().for_each(|step| step.apply(residuals, 0, 1));
    }
}

/// A model whose residuals are turned by W.
#[derive(Debug)]
pub struct Whitened<'a, M> {
    /// The model.
    pub model: &'a M,
    /// W.
    pub whitening: &'a Whitening,
}

impl<M: ResidualModel> Residuals for Whitened<'_, M> {
    type Error = M::Error;

    fn parameters(&self) -> usize {
        self.model.parameters()
    }

    fn rows(&self) -> usize {
        self.model.rows()
    }

    fn residuals(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), Self::Error> {
        self.model.residuals(at, residuals)?;
        self.whitening.apply(residuals);
        Ok(())
    }

    fn linearise(&self, at: &[f64], residuals: &mut [f64], jacobian: &mut [f64]) -> Result<(), Self::Error> {
        self.model.linearise(at, residuals, jacobian)?;
        self.whitening.apply(residuals);
        let columns = self.parameters();
        for step in &self.whitening.steps {
            (0..columns).for_each(|column| step.apply(jacobian, column, columns));
        }
        Ok(())
    }
}

impl<M: ResidualModel> ResidualModel for Whitened<'_, M> {
    fn names(&self) -> &[String] {
        self.model.names()
    }
}
