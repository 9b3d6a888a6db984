//! 6. Learning from data, with honest uncertainty.
//!
//! [`arrhenius`] fits an activation energy and a rate at a reference temperature to a plain table.
//!
//! ```
//! use bathkin_fit::arrhenius::{Reference, fit_arrhenius};
//!
//! let temperature_k = [313.0, 319.0, 323.0, 328.0, 333.0];
//! let k = [0.00043, 0.00103, 0.0018, 0.00355, 0.00717];
//! let fit = fit_arrhenius(&temperature_k, &k, Reference::HarmonicMean)?;
//! assert!((fit.activation_energy_kj_mol.value - 121.4883).abs() < 1e-3);
//! # Ok::<(), bathkin_fit::FitError>(())
//! ```

pub mod arrhenius;
pub mod error;

pub use arrhenius::{ArrheniusFit, Estimate, Reference, activation_energy_kj_mol, fit_arrhenius};
pub use error::FitError;
