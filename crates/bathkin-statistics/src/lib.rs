//! Statistics of nonlinear models, with honest uncertainty. Nothing here knows what the numbers stand for.
//!
//! | piece | what it does |
//! | --- | --- |
//! | [`residual_model`] | what can be fitted: residuals with exact derivatives and names |
//! | [`options`], [`mod@fit`], [`parameter`] | estimates, standard errors, covariance, intervals; or a coded reason, and which combinations stay open |
//! | [`profile`], [`bootstrap`] | intervals that do not rest on a linear approximation |
//! | [`multi_start`] | the same fit from many starts |
//! | [`priors`] | what was known before, as normal priors; the posterior for samplers |
//! | [`importance`] | draws from that posterior without a chain, and whether they can be trusted |
//! | [`criteria`], [`lack_of_fit`], [`influence`], [`linear_model`] | whether to believe it: outlying rows, curvature, autocorrelation |
//! | [`cross_validation`], [`ranking`] | what predicts cases left out; several models side by side |
//! | [`mixed`] | rows of one batch, day or beaker, off together: random effects |
//! | [`censored`] | observations below a detection limit |
//! | [`combinations`] | what can be known together where it cannot be known alone |
//! | [`design`] | which experiments to make next |
//! | [`kalman`] | a state followed through rows of readings, and jumps nobody wrote down |
//! | [`bands`] | how well a value is known, and where an observation will lie |
//! | [`distribution`], [`sobol`] | what is drawn, from random numbers or from points that fill a cube evenly |
//! | [`morris`], [`sobol_indices`], [`correlation`] | which of many numbers matter, and which part of a variance each makes |
//! | [`optimise`] | the best point of a box under limits, and how finely it can be known |
//! | [`streaming`], [`exact_sum`] | what is kept of numbers that are not: the same bits however they were split |
//! | [`quantiles`], [`random`] | distributions, and reproducible streams of random numbers |

#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;

pub mod bands;
pub mod bootstrap;
pub mod censored;
pub mod combinations;
pub mod correlation;
pub mod criteria;
pub mod cross_validation;
pub mod design;
pub mod distribution;
pub mod error;
pub mod exact_sum;
pub mod fit;
pub mod importance;
pub mod influence;
pub mod kalman;
pub mod lack_of_fit;
pub mod linear_model;
pub mod mixed;
pub mod morris;
pub mod multi_start;
pub mod optimise;
pub mod options;
pub mod parameter;
pub mod priors;
pub mod profile;
pub mod progress;
pub mod quantiles;
pub mod random;
pub mod ranking;
pub mod residual_model;
pub mod robust;
pub mod scores;
pub mod sobol;
pub mod sobol_indices;
pub mod streaming;

pub use error::FitError;
pub use fit::{Fit, fit};
pub use options::{FitOptions, Scale};
pub use residual_model::ResidualModel;
