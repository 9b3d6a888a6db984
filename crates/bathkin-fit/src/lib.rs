//! 6. Learning from data, with honest uncertainty.
//!
//! [`problem`] lays coupon [`runs`] and bath [`logs`] over a recipe, [`answer`] fits it to them.
//! [`arrhenius`] fits an activation energy and a rate at a reference temperature to a plain table.
//!
//! ```
//! use bathkin_fit::arrhenius::{Reference, fit_arrhenius};
//!
//! let temperature_k = [313.0, 319.0, 323.0, 328.0, 333.0];
//! let k = [0.00043, 0.00103, 0.0018, 0.00355, 0.00717];
//! let fit = fit_arrhenius(&temperature_k, &k, Reference::HarmonicMean)?;
//! assert!((fit.activation_energy_kj_mol.value - 121.4883).abs() < 1e-3);
//! # Ok::<(), bathkin_statistics::FitError>(())
//! ```

pub mod answer;
pub mod arrhenius;
pub mod arrhenius_direct;
mod arrhenius_remarks;
pub mod logs;
pub mod problem;
pub mod runs;
pub mod stop;

pub use answer::{RecipeFit, RecipeFitOptions, fit_recipe};
pub use arrhenius::{ArrheniusFit, Estimate, Reference, activation_energy_kj_mol, fit_arrhenius};
pub use problem::{Data, DataError, Question, Sheet};
pub use stop::Stop;
