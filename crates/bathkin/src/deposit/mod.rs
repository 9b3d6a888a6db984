//! 3. What comes out: mass, composition, density and thickness of the deposit.

pub mod density;
pub mod layer;
pub mod plausible;
pub mod stress;

pub use density::DensityScale;
pub use layer::Layer;
pub use plausible::{FASTEST_UM_H, warning_of_metalloid, warning_of_rate};
pub use stress::{StressStatus, StressTendency};
