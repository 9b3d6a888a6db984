//! Best numbers of a recipe: temperature, pH, set-points ... for the least cost, the longest life or whatever else a life
//! answers, under limits on other answers; and the trade-off between two goals.
//!
//! What is varied and asked is checked before anything is computed ([`request`]). Each point is a member as an ensemble has
//! them (`response`), searched by [`bathkin_statistics::optimise`]. The result says how each limit stands, and how far the
//! goal scatters for changes that are too small to matter, because doses and stops come whole ([`result`]): an optimum is
//! known no finer.

pub mod optimisation;
pub mod request;
mod response;
pub mod result;
pub mod trade_off;

pub use optimisation::optimise;
pub use request::{Aim, Asked, Band, Varied};
pub use result::{Attempts, FailedPoint, Optimisation, OptimumGoal, OptimumLimit, OptimumNumber};
pub use trade_off::{TradeOff, TradeOffPoint, trade_off};
