//! The last few solutions, which [`super::prediction`] draws its curve through.

use super::equilibrium::Equilibrium;

/// Solutions kept.
pub(super) const MOST: usize = 3;

/// A solution: its totals and its unknowns.
#[derive(Debug, Clone)]
pub(super) struct Node {
    /// Totals per kilogram of water.
    pub(super) totals: Vec<f64>,
    /// The unknowns, in the order of the Jacobian.
    pub(super) unknowns: Vec<f64>,
}

/// The last few solutions at one temperature, the latest first.
#[derive(Debug, Clone)]
pub(super) struct Earlier {
    /// So many are known.
    pub(super) known: usize,
    pub(super) nodes: [Node; MOST],
    /// The formed ions that were unknowns of all of them.
    pub(super) felt: Vec<usize>,
}

impl Earlier {
    /// None yet; memory for an equilibrium with so many unknowns at most.
    pub(super) fn new(chemistry: &Equilibrium, most_unknowns: usize) -> Self {
        let node = || Node {
            totals: vec![0.0; chemistry.component_names.len()],
            unknowns: Vec::with_capacity(most_unknowns),
        };
        Earlier {
            known: 0,
            nodes: std::array::from_fn(|_| node()),
            felt: Vec::with_capacity(chemistry.formed.len()),
        }
    }
}
