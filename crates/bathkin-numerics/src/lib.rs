//! Mathematics for simulations that alternate between smooth motion and sudden changes.
//!
//! | piece | what it does |
//! | --- | --- |
//! | [`advance`] | carries an ordinary differential equation to an exact stop or to the first located event |
//! | [`bracketed_root`], [`narrow_bracket`] | a root of a function that changes sign between two points |
//! | [`least_squares`] | nonlinear least squares within bounds, and what the data leave undetermined |
//! | [`minimum_within`] | the minimum of a function inside an interval |
//! | [`Lu`] | small dense linear systems, also transposed, without allocation at solve time |
//!
//! Nothing here knows what the numbers stand for. States are expected to be scaled to order one
//! by the caller, since the integrator uses one pair of tolerances for all of them. Every failure
//! is an error value that carries the numbers of its cause; no result ever holds a NaN.

#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;

mod dense;
mod error;
mod events;
mod inside_step;
mod integrate;
pub mod least_squares;
mod linear;
mod lockstep;
mod minimum;
mod options;
mod problem;
mod roots;
mod short;
mod stages;

#[cfg(test)]
mod integrate_failure_tests;
#[cfg(test)]
mod integrate_tests;
#[cfg(test)]
mod test_problems;

pub use error::{IntegrationError, Limiting};
pub use integrate::{Arrival, Stop, advance};
pub use linear::{Lu, SingularMatrix, dot};
pub use lockstep::Lockstep;
pub use minimum::minimum_within;
pub use options::Options;
pub use problem::{Crossing, Problem};
pub use roots::{Bracket, RootError, bracketed_root, narrow_bracket};
pub use short::short;
