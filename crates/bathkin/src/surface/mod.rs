//! 2. How fast it plates: half-reactions on the catalytic surface, closed by electrons.
//!
//! Several half-reactions run on the same surface at rates r_j, mol/(m² s). With e_j electrons
//! given (+) or taken (-) by each, sum_j e_j r_j = 0. One of them follows a rate law, others follow
//! by selectivity, and the oxidation of the reductant closes the electron balance.

pub mod arrhenius;
pub mod conditions;
pub mod film;
pub mod film_rate;
mod film_solve;
pub mod half_reaction;
pub mod inhibition;
pub mod kinetics;
pub mod order;
pub mod ph_order;
pub mod rate_law;
pub mod saturation;

pub use arrhenius::Arrhenius;
pub use conditions::{Concentration, Conditions};
pub use film::{Film, FirstState};
pub use film_rate::{FilmSurface, SteadyState};
pub use half_reaction::HalfReaction;
pub use inhibition::{Inhibition, InhibitionForm};
pub use kinetics::{Drive, Kinetics};
pub use order::Order;
pub use ph_order::PhOrder;
pub use rate_law::{Factor, RateLaw};
pub use saturation::Saturation;
