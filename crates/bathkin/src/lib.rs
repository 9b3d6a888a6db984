//! The kinetics and the working life of electroless (autocatalytic) plating baths.
//!
//! Read the modules in the order a bath works:
//!
//! 1. [`solution`]: what is in the tank. Component totals become species, activities and a pH.
//! 2. [`surface`]: how fast it plates. Half-reactions closed by electrons, rate laws, selectivities.
//! 3. [`deposit`]: what comes out. Mass, composition, density, thickness.
//! 4. [`tank`]: running it. Volume, work, replenishers, policies, and the balances of every element.
//! 5. [`life`]: ageing. From dose to dose until a limit is reached, and the verdict.
//! 6. [`model`]: from the document to a model. Names resolved, every value checked, limits and prices laid over the tank.
//! 7. [`recipe`]: a document with its model, the built-in baths, what a fit wrote into it.
//! 8. [`study`]: what one asks. Rates and their reasons, sweeps, titrations, plans, strategies, warnings.
//!
//! Before them all, [`document`] is TOML as dotted paths with their places.
//!
//! Units inside the core: mol, L, m², s, K. Names that cross an interface carry their unit.
//!
//! ```
//! use bathkin::Recipe;
//!
//! let recipe = Recipe::built_in("nickel-acid")?;
//! let bath = recipe.make_up()?;
//! let rate = bath.rate()?;
//! assert!((bath.ph() - 4.8).abs() < 1e-6);
//! assert!(rate.deposition_um_h > 15.0 && rate.deposition_um_h < 20.0);
//!
//! let life = recipe.simulate_life()?;
//! println!("{}: {:.1} turnovers", life.verdict.limit, life.verdict.turnovers);
//! // The bath as chemistry: what its half-reactions come to together, per mole of nickel.
//! let equations = recipe.equations(bathkin::study::Notation::Text)?;
//! assert_eq!(equations.half_reactions[0].equation, "Ni+2 + 2 e- -> Ni");
//! assert!(equations.overall.starts_with("Ni+2 + 2.88 H2PO2- + 2.28 H2O -> Ni + 4.48 H+"));
//! # Ok::<(), bathkin::Error>(())
//! ```
//!
//! The results are estimates for planning, never safety limits: confirm by analysis, follow the
//! safety data sheets, the permit and a qualified person.

pub mod constants;
pub mod deposit;
pub mod document;
pub mod error;
pub mod flag;
pub mod life;
pub mod model;
pub mod named;
pub mod recipe;
pub mod remark;
pub mod scalar;
pub mod solution;
pub mod source;
pub mod stop;
pub mod study;
pub mod surface;
pub mod tank;

pub use document::{Document, Value};
pub use error::{Error, Place};
pub use flag::Flag;
pub use life::{Life, Limit, Verdict};
pub use model::Model;
pub use recipe::Recipe;
pub use remark::Remark;
pub use stop::Stop;
pub use study::{Bath, Plated, Rate};
