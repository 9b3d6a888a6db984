//! 1. What is in the tank: from component totals to species, activities and pH.
//!
//! The liquid is described by **component totals** (mol/L): each metal, reductant, by-product and
//! ligand in its fully deprotonated form. Everything else dissolved is a **species** formed from
//! components with an equilibrium constant. The proton has no total of its own: its concentration
//! follows from electroneutrality, so whatever conserves charge conserves the pH state.

pub mod activity;
pub mod activity_product;
mod answer_slopes;
mod answers;
pub mod at_held_ph;
pub mod chemistry;
pub mod couples;
pub mod database;
pub mod density;
pub mod distribution;
mod earlier;
pub mod equilibrium;
pub mod equilibrium_constant;
pub mod evidence;
mod exponential;
pub mod formation;
pub mod formula;
pub mod gases;
pub mod global_start;
pub mod interaction;
mod jacobian;
mod newton;
mod pairs;
pub mod ph;
mod ph_sensitivities;
mod prediction;
pub mod profile;
mod purpose;
mod role;
pub mod sensitivities;
pub mod solids;
pub mod speciation;
pub mod titration;
mod unsolved;
pub mod water;
pub mod width;
pub mod workspace;

pub use activity::Activity;
pub use activity_product::ActivityProduct;
pub use answer_slopes::Answer;
pub use chemistry::{Chemistry, Component, Reagent, Species};
pub use couples::BathCouple;
pub use database::{Couple, Gas, PairCoefficient, Solid};
pub use density::ApparentVolume;
pub use distribution::Distribution;
pub use equilibrium::Equilibrium;
pub use equilibrium_constant::EquilibriumConstant;
pub use evidence::{EnthalpyEvidence, Evidence};
pub(crate) use exponential::Exponentials;
pub use formation::FormationCurve;
pub use formula::{Element, Elements, Formula};
pub use gases::BathGas;
pub use profile::{Onset, Profile};
pub use role::Role;
pub use solids::{BathSolid, PrecipitationOnset};
pub use titration::Titration;
pub use width::{Width, WidthClass};
pub use workspace::Speciation;
