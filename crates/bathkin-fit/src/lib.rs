//! 6. Learning from data, with honest uncertainty.
//!
//! | room | what is in it |
//! | --- | --- |
//! | [`data`] | sheets of numbers, coupon runs, bath logs, and how their errors are distributed |
//! | [`objective`] | free parameters of a recipe, and the residuals of data laid over it |
//! | [`estimate`] | from the recipe's numbers to the minimum: starts, bounds, error variances, priors |
//! | [`result`] | the solution: estimates, intervals, statistics, residuals, the fitted recipe |
//! | [`report`] | what stays undetermined, what was assumed, what the data miss |
//! | [`predict`] | predictions, samples of the parameters, the posterior, the dump date, the next runs, candidate models side by side |
//! | [`track`] | a bath followed along its log: where it stands today, what is odd in the log, the rest of its life |
//! | [`error`] | why data cannot be fitted, or a fit cannot answer |
//! | [`arrhenius`] | an activation energy and a rate at a reference temperature from a plain table |
//!
//! The statistics are those of [`bathkin_statistics`].
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

pub mod arrhenius;
pub mod data;
pub mod error;
pub mod estimate;
pub(crate) mod format;
pub mod objective;
pub mod predict;
pub(crate) mod recipe_fit;
pub mod report;
pub mod result;
pub mod stop;
pub mod track;

pub use arrhenius::{ArrheniusFit, Reference, activation_energy_kj_mol, fit_arrhenius};
pub use data::{Data, Sheet};
pub use error::DataError;
pub use estimate::{NumberWidth, RecipeFitOptions, widths};
pub use objective::FitSpecification;
pub use recipe_fit::{RecipeFit, fit_recipe};
pub use stop::Stop;
