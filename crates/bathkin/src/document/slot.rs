//! A number read from a document that can be written again without reading it.

use std::ops::{Div, Mul};

use crate::scalar::Scalar;

/// Place of a number among those that a recipe declares.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct ParameterId(pub(crate) usize);

/// A value, and the number of the document that it is so many times.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slot {
    /// Value as read.
    pub value: f64,
    follows: Option<(ParameterId, f64)>,
}

impl Slot {
    /// A value that follows nothing.
    pub fn fixed(value: f64) -> Self {
        Slot { value, follows: None }
    }

    /// A number of the document as it is.
    pub fn of(value: f64, parameter: ParameterId) -> Self {
        Slot { value, follows: Some((parameter, 1.0)) }
    }

    /// The value where the numbers have these values; those that are not among them stay.
    pub fn at<D: Scalar>(&self, values: &[(ParameterId, D)]) -> D {
        let Some((parameter, factor)) = self.follows else { return D::from(self.value) };
        match values.iter().find(|(id, _)| *id == parameter) {
            Some((_, value)) => *value * factor,
            None => D::from(self.value),
        }
    }

    /// How many times a number of the document it is; zero where it does not follow that one.
    pub fn times(&self, parameter: ParameterId) -> f64 {
        self.follows.filter(|(id, _)| *id == parameter).map_or(0.0, |(_, factor)| factor)
    }
}

impl Mul<f64> for Slot {
    type Output = Slot;
    fn mul(self, by: f64) -> Slot {
        Slot { value: self.value * by, follows: self.follows.map(|(id, factor)| (id, factor * by)) }
    }
}

impl Div<f64> for Slot {
    type Output = Slot;
    fn div(self, by: f64) -> Slot {
        Slot { value: self.value / by, follows: self.follows.map(|(id, factor)| (id, factor / by)) }
    }
}
