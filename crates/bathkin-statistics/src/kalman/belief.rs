//! What is believed of a state: a normal distribution.

use nalgebra::{DMatrix, DVector, SymmetricEigen};

use crate::random::Stream;

/// A normal distribution over states.
#[derive(Debug, Clone, PartialEq)]
pub struct Belief {
    /// Mean.
    pub mean: DVector<f64>,
    /// Covariance.
    pub covariance: DMatrix<f64>,
}

impl Belief {
    /// Independent components with standard deviations.
    pub fn independent(mean: &[f64], standard_deviations: &[f64]) -> Self {
        let variances = DVector::from_iterator(mean.len(), standard_deviations.iter().map(|sd| sd * sd));
        Belief { mean: DVector::from_column_slice(mean), covariance: DMatrix::from_diagonal(&variances) }
    }

    /// Standard deviation of a component.
    pub fn standard_deviation(&self, component: usize) -> f64 {
        self.covariance[(component, component)].max(0.0).sqrt()
    }

    /// Draws by number, each from a stream of its own, so that the order of work does not matter. Directions whose
    /// variance is negative by rounding are held at the mean.
    ///
    /// ```
    /// use bathkin_statistics::kalman::Belief;
    ///
    /// let belief = Belief::independent(&[1.0, 2.0], &[0.1, 0.0]);
    /// let drawn = belief.draws(1000, 7);
    /// let mean = drawn.iter().map(|draw| draw[0]).sum::<f64>() / 1000.0;
    /// assert!((mean - 1.0).abs() < 0.01);
    /// assert!(drawn.iter().all(|draw| draw[1] == 2.0));
    /// ```
    pub fn draws(&self, count: usize, seed: u64) -> Vec<DVector<f64>> {
        let root = self.root();
        let size = self.mean.len();
        (0..count)
            .map(|number| {
                let mut stream = Stream::new(seed, number as u64);
                &self.mean + &root * DVector::from_fn(size, |_, _| stream.normal())
            })
            .collect()
    }

    /// A matrix whose product with its transpose is the covariance.
    fn root(&self) -> DMatrix<f64> {
        let SymmetricEigen { eigenvectors, eigenvalues } = SymmetricEigen::new(self.covariance.clone());
        eigenvectors * DMatrix::from_diagonal(&eigenvalues.map(|value| value.max(0.0).sqrt()))
    }

    /// Adds to the variance of a component.
    pub(super) fn widen(&mut self, component: usize, variance: f64) {
        self.covariance[(component, component)] += variance;
    }
}
