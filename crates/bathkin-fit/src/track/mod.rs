//! A bath followed along its log: where it stands today, what is odd in the log, and when it must go.
//!
//! An extended Kalman filter ([`bathkin_statistics::kalman`]) over the real model. Its state has what the bath holds and
//! what no recipe knows of it (rate, ageing, strengths, biases ...); additions are taken as written. Then members drawn from
//! the last belief go on to their first limit. What fails otherwise: a fit without noise of the process gives a band that is
//! far too narrow when the model is wrong.
//!
//! | piece | what it does |
//! | --- | --- |
//! | `observed` | the readings of a log by rows, with their errors |
//! | `coordinates` | what a bath holds, as numbers that move independently and leave it neutral |
//! | `unknown` | what a recipe does not know of a bath |
//! | `start` | what is believed before the first row |
//! | `followed` | the model as the filter follows it |
//! | `passes` | the filter over the log: noise of its own, with a gate, and without |
//! | [`finding`] | a finding and its grade |
//! | `findings` | what is odd, in two grades |
//! | `corrector` | what following a measured pH took |
//! | `accept` | findings that are acted on |
//! | `misread` | columns that are ten times too large or too small |
//! | `standing` | how it stands today |
//! | `alarms` | what asks for somebody now |
//! | `all_along` | what the whole log tells: drifts, strengths, what the model misses |
//! | `load` | the work to come |
//! | `rest` | the rest of a life, to the first limit |
//! | `members` | members to their first limit |
//! | `numbers` | numbers of the recipe that members draw |
//! | `moved` | the bath with other numbers, as far as its log has not told them |
//! | `held` | numbers of the recipe that no member draws |
//! | `told` | what members and rows tell |
//! | `today` | all together |
//! | [`mod@backtest`] | forecasts of a log whose tail is hidden, scored |

mod accept;
mod alarms;
mod all_along;
pub mod backtest;
mod coordinates;
mod corrector;
pub mod finding;
mod findings;
mod followed;
mod held;
mod load;
mod members;
mod misread;
mod moved;
mod numbers;
mod observed;
mod passes;
mod rest;
pub mod result;
mod standing;
mod start;
mod today;
mod told;
mod typed;
mod unknown;

pub use backtest::{Backtest, BacktestOptions, backtest};
pub use finding::{Finding, Grade, SmallestSeen};
pub use load::WorkAhead;
pub use result::{DrawnNumber, Track};
pub use start::Age;
pub use today::{TrackOptions, Tracked, track};
pub use typed::held_against;
pub use unknown::AgeingForm;
