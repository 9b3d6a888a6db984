//! 6. Learning from data, with honest uncertainty.
//!
//! | piece | what it does |
//! | --- | --- |
//! | [`model`] | what can be fitted: residuals with exact derivatives and names |
//! | [`mod@fit`] | estimates, standard errors, covariance, intervals; or a coded reason, and which combinations stay open |
//! | [`profile`], [`bootstrap`] | intervals that do not rest on a straight model |
//! | [`multi_start`] | the same fit from many starts |
//! | [`priors`] | what was known before, as normal priors; the posterior for samplers |
//! | [`criteria`], [`lack_of_fit`], [`influence`], [`straight`] | whether to believe it: outlying rows, curvature, autocorrelation |
//! | [`cross_validation`], [`ranking`] | what foretells cases left out; several models side by side |
//! | [`censored`], [`variance`] | observations below a detection limit; how large errors are |
//! | [`combinations`] | what can be known together where it cannot be known alone |
//! | [`design`] | which experiments to make next |
//! | [`bands`] | how well a value is known, and where an observation will lie |
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
//! # Ok::<(), bathkin_fit::FitError>(())
//! ```

pub mod answer;
pub mod arrhenius;
pub mod arrhenius_direct;
mod arrhenius_remarks;
pub mod bands;
pub mod bootstrap;
pub mod censored;
pub mod combinations;
pub mod criteria;
pub mod cross_validation;
pub mod design;
pub mod error;
pub mod fit;
pub mod influence;
pub mod lack_of_fit;
pub mod logs;
pub mod model;
pub mod multi_start;
pub mod priors;
pub mod problem;
pub mod profile;
pub mod quantiles;
mod random;
pub mod ranking;
mod robust;
pub mod runs;
pub mod stop;
pub mod straight;
pub mod variance;

pub use answer::{RecipeFit, RecipeFitOptions, fit_recipe};
pub use arrhenius::{ArrheniusFit, Estimate, Reference, activation_energy_kj_mol, fit_arrhenius};
pub use error::FitError;
pub use fit::{Fit, FitOptions, fit};
pub use model::ResidualModel;
pub use problem::{Data, DataError, Question, Sheet};
pub use stop::Stop;
