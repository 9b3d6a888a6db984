//! A state that moves on from row to row and is seen through readings with error: the extended Kalman filter.
//!
//! x(k+1) = f(x(k)) + w, w ~ N(0, Q); y(k) = h(x(k)) + v, v ~ N(0, R). With F = df/dx and H = dh/dx at the mean, the
//! belief N(x, P) before a row becomes after its readings
//!
//! S = H P Hᵀ + R, K = P Hᵀ S⁻¹, x + K (y - h), (I - K H) P (I - K H)ᵀ + K R Kᵀ (Joseph's form),
//!
//! and before the next row f(x), F P Fᵀ + Q. Exact where f and h are linear and all errors normal.
//! Source: R. E. Kalman, *J. Basic Eng.* 82 (1960) 35; the form that stays symmetric: R. S. Bucy and P. D. Joseph,
//! *Filtering for Stochastic Processes with Applications to Guidance*, Interscience 1968 (from memory).
//!
//! | piece | what it does |
//! | --- | --- |
//! | [`belief`] | mean and covariance, and draws from them |
//! | [`followed`] | what can be followed: a model that moves a state on and says what readings it expects |
//! | [`gate`] | leaves out a wild reading, and lets the next one on the same side in |
//! | [`filter`] | the filter over the rows of a log |
//! | [`jump`] | the score of a jump of the state between two rows, and its size |
//! | [`mod@own_noise`] | what a kind of reading scatters by, as its own rows tell |
//! | [`ensemble`] | the same by members, where derivatives are not to be had |

pub mod belief;
pub mod ensemble;
pub mod filter;
pub mod followed;
pub mod gate;
pub mod jump;
pub mod own_noise;

pub use belief::Belief;
pub use ensemble::Ensemble;
pub use filter::{FilteredRow, Innovation, follow};
pub use followed::{Advanced, Followed, Reading};
pub use gate::Gate;
pub use jump::{JumpScore, jump_scores};
pub use own_noise::own_noise;
