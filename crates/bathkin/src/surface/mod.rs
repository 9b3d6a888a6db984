//! 2. How fast it plates: half-reactions on the catalytic surface, closed by electrons.
//!
//! Several half-reactions run on the same surface at rates r_j, mol/(m² s). With e_j electrons
//! given (+) or taken (-) by each, sum_j e_j r_j = 0. One of them follows a rate law, others follow
//! by selectivity, and the oxidation of the reductant closes the electron balance; or each has a partial current,
//! a current that depends on the potential, and the potential is the one at which they cancel.

pub mod accelerator;
pub mod adsorption;
pub mod arrhenius;
pub mod conditions;
pub mod coverage;
pub mod decomposition;
pub mod diffusion;
pub mod factor;
pub mod film;
pub mod film_rate;
mod film_solve;
pub mod half_reaction;
pub mod inhibition;
pub mod ionic_strength;
pub mod kinetics;
pub mod mixed_potential;
pub mod order;
pub mod partial_current;
pub mod partial_current_changes;
pub mod ph_order;
pub mod rate_law;
pub mod reference_electrode;
pub mod saturation;
pub mod stabilizer;
pub mod substrate;
pub mod suppression;

pub use accelerator::Accelerator;
pub use adsorption::{Adsorbate, Adsorption};
pub use arrhenius::Arrhenius;
pub use conditions::{Concentration, Conditions, OwnedConditions};
pub use coverage::Coverage;
pub use decomposition::Decomposition;
pub use diffusion::diffusion_gain;
pub use factor::{Factor, FactorKind, FactorName};
pub use film::{Film, FirstState};
pub use film_rate::{FilmSurface, SteadyState};
pub use half_reaction::HalfReaction;
pub use inhibition::{Inhibition, InhibitionForm};
pub use ionic_strength::IonicStrength;
pub use kinetics::{Drive, Kinetics};
pub use mixed_potential::{MixedPotential, PolarisationPoint};
pub use order::Order;
pub use partial_current::{BackReaction, PartialCurrent, ReferencePotential, Shift, Shifter, Transport};
pub use partial_current_changes::PartialCurrentChange;
pub use ph_order::PhOrder;
pub use rate_law::RateLaw;
pub use reference_electrode::ReferenceElectrode;
pub use saturation::Saturation;
pub use stabilizer::Stabilizer;
pub use substrate::{Activation, Behaviour, Start};
pub use suppression::Suppression;
