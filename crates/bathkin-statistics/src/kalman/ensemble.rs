//! The filter by members, where derivatives are not to be had.
//!
//! With h of each member, c the covariance of a component with h over the members and v its variance, a reading y moves
//! each member by c/(v + R) (y + e - h), e drawn from N(0, R) and centred. A mask says which components a reading may move:
//! small ensembles correlate what has nothing to do with each other.
//! Source: G. Evensen, *J. Geophys. Res.* 99 (1994) 10143; perturbed readings: G. Burgers, P. J. van Leeuwen and
//! G. Evensen, *Mon. Weather Rev.* 126 (1998) 1719 (from memory).

use ndarray::{Array1, Array2, Axis};

use super::belief::Belief;
use crate::random::Stream;

/// Members, a row each.
#[derive(Debug, Clone, PartialEq)]
pub struct Ensemble {
    /// A row for each member, a column for each component.
    pub members: Array2<f64>,
}

impl Ensemble {
    /// Members drawn from a belief.
    pub fn drawn(belief: &Belief, count: usize, seed: u64) -> Self {
        let drawn = belief.draws(count, seed);
        Ensemble {
            members: Array2::from_shape_fn((count, belief.mean.len()), |(row, column)| drawn[row][column]),
        }
    }

    /// Mean of each component.
    pub fn mean(&self) -> Array1<f64> {
        self.members.mean_axis(Axis(0)).unwrap_or_default()
    }

    /// Standard deviation of each component.
    pub fn standard_deviation(&self) -> Array1<f64> {
        self.members.std_axis(Axis(0), 1.0)
    }

    /// Takes a reading with its variance, where `expected` is h of each member; gives its standardised innovation. Moves
    /// only the components that `mask` lets it; errors are drawn from a stream of the seed.
    pub fn take(
        &mut self,
        measured: f64,
        variance: f64,
        expected: &[f64],
        mask: &[bool],
        (seed, stream): (u64, u64),
    ) -> f64 {
        let count = expected.len() as f64;
        let mean = expected.iter().sum::<f64>() / count;
        let own = expected.iter().map(|h| (h - mean).powi(2)).sum::<f64>() / (count - 1.0);
        let mut stream = Stream::new(seed, stream);
        let mut errors: Vec<f64> = expected.iter().map(|_| variance.sqrt() * stream.normal()).collect();
        let off = errors.iter().sum::<f64>() / count;
        errors.iter_mut().zip(expected).for_each(|(error, h)| *error = measured + *error - off - h);
        for (mut component, _) in
            self.members.columns_mut().into_iter().zip(mask).filter(|(_, moves)| **moves)
        {
            let middle = component.mean().unwrap_or(0.0);
            let across = component.iter().zip(expected).map(|(x, h)| (x - middle) * (h - mean)).sum::<f64>();
            let gain = across / (count - 1.0) / (own + variance);
            component.iter_mut().zip(&errors).for_each(|(x, difference)| *x += gain * difference);
        }
        (measured - mean) / (own + variance).sqrt()
    }
}
