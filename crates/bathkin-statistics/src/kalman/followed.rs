//! What can be followed from row to row.

use nalgebra::{DMatrix, DVector};

/// A reading of a row, and what the model expects there.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Which kind of reading it is: the gate remembers the last of each kind.
    pub channel: usize,
    /// What was read.
    pub measured: f64,
    /// h: what is expected at the mean.
    pub expected: f64,
    /// A row of H: its slopes by the components of the state.
    pub slopes: Vec<f64>,
    /// A diagonal entry of R.
    pub variance: f64,
    /// Component whose variance is opened, and by how much, where two readings in a row are wild on the same side.
    pub released: Option<(usize, f64)>,
}

/// The state before the next row.
#[derive(Debug, Clone, PartialEq)]
pub struct Advanced {
    /// f(x).
    pub state: DVector<f64>,
    /// F.
    pub slopes: DMatrix<f64>,
    /// Q.
    pub noise: DMatrix<f64>,
}

/// A model that moves a state on from row to row and says what readings it expects.
pub trait Followed {
    /// Why a row cannot be computed.
    type Error;

    /// The readings of a row, with what is expected of a state.
    ///
    /// # Errors
    /// When the model has no answer there.
    fn readings(&self, row: usize, state: &DVector<f64>) -> Result<Vec<Reading>, Self::Error>;

    /// A state at a row, moved on to the next.
    ///
    /// # Errors
    /// When the model has no answer there.
    fn advance(&self, row: usize, state: &DVector<f64>) -> Result<Advanced, Self::Error>;
}
