//! An Arrhenius law from a table of rate (or rate constant) against temperature.
//!
//! ln k = ln k_ref - Ea/R (1/T - 1/T_ref), by least squares in ln k: the errors of k are taken as
//! relative. About the harmonic mean of the temperatures the two parameters are uncorrelated.

pub(crate) mod direct;
pub(crate) mod estimate;
pub(crate) mod law;
pub(crate) mod remarks;

pub use direct::DirectFit;
pub use estimate::{Estimate, OutlyingRow};
pub use law::{ArrheniusFit, Reference, activation_energy_kj_mol, fit_arrhenius};
