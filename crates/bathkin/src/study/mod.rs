//! 8. What one asks of a bath or a life: rates and their reasons, sweeps, titrations, plans, strategies, warnings.

pub(crate) mod aged;
pub(crate) mod analyses;
pub mod apparent_energy;
pub mod bath;
pub mod beyond_limits;
pub mod bleed;
pub mod ensemble;
pub mod equations;
pub(crate) mod off_set_point;
pub mod optimise;
pub mod plan;
pub(crate) mod racks_out;
pub(crate) mod reasons;
pub(crate) mod saturation;
pub mod sensitivity;
pub mod shop_step;
pub mod strategy;
pub mod sweep;
pub(crate) mod unmoved;
pub(crate) mod usual_strategies;
pub(crate) mod warnings;

pub use aged::aged;
pub use apparent_energy::ApparentEnergy;
pub use bath::{
    Bath, BathDistribution, BathPolarisation, BathSensitivity, BathTitration, HeldSolution, ParameterKind,
    Plate, Plated, Rate, reference_electrode,
};
pub use beyond_limits::LifeCost;
pub use bleed::{BleedForLimit, SteadyBleed};
pub use ensemble::{Driver, ElementaryEffects, FailedMember, OutputStatistics, Silent, VarianceShare};
pub use equations::{Equation, Equations, Notation};
pub use plan::{InUse, Plan, PlanRequest};
pub use saturation::CouplePotential;
pub use sensitivity::{LifeSensitivity, RankedBy, Sensitivity};
pub use shop_step::ShopStep;
pub use strategy::{Horizon, Strategy, StrategyResult};
pub use sweep::{SweepPoint, sweep};
