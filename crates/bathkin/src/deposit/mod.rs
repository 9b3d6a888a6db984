//! 3. What comes out: mass, composition, density and thickness of the deposit.

pub mod density;
pub mod layer;
pub mod stress;

pub use density::DensityScale;
pub use layer::Layer;
pub use stress::{StressStanding, StressTendency};
