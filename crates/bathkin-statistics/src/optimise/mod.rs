//! The best point of a box under limits, where an answer is dear, may fail, and scatters a little.
//!
//! Points lie in the unit cube. First come points of a scrambled Sobol sequence over the whole of it (`sample`), then local
//! searches from the best of those that lie apart (`search`), then rounds that begin again in ever smaller windows about
//! the best point (`search`, windows of `rounds`). What is best (`problem`) is chosen among all points that were
//! tried: of those within all limits the one with the best goal, and where there is none, the one least beyond them.
//! Searches run side by side and are put together in their order, so that threads change no bit.
//!
//! How far answers scatter about a smooth course for changes that are tiny is measured afterwards (`nearby`): no optimum is
//! known finer.
//!
//! The local search is Powell's COBYLA, of the crate `cobyla`: it asks for no derivatives, which answers with jumps do not
//! have, keeps to bounds, and treats each limit by itself. Source: M. J. D. Powell, in *Advances in Optimization and
//! Numerical Analysis* (Kluwer, 1994) 51-67.

mod nearby;
mod problem;
mod rounds;
mod sample;
mod search;

pub use nearby::Nearby;
pub use problem::{Goal, Limit, Problem};
pub use rounds::Effort;
pub use sample::{Answer, Optimiser, Response, Tried};
