//! Importance sampling about a fit: a posterior without a chain.
//!
//! Points x_i are drawn from a density q that is heavier than the posterior π, Student's t about the estimates with the
//! covariance of the fit, and each gets a weight in proportion to π(x_i)/q(x_i). Means over the posterior are weighted
//! means. Where the ratio has a heavy tail the largest weights are smoothed by a generalised Pareto distribution, whose
//! shape k says whether the answer may be trusted at all ([`pareto`]); where it may not, q is fitted to what was drawn
//! and the points are drawn again ([`sampling`]).
//!
//! Source: A. Vehtari, D. Simpson, A. Gelman, Y. Yao and J. Gabry, *Pareto smoothed importance sampling*, Journal of Machine
//! Learning Research 25 (2024), number 72.

pub mod marginals;
pub mod pareto;
pub mod proposal;
pub mod sampling;

pub use marginals::{Marginal, marginal, resampled};
pub use proposal::Proposal;
pub use sampling::{Sampled, SamplingOptions, sample};
