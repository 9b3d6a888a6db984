//! Acceptance tests of bathkin.
//!
//! Every expected value has its producer beside it: a file under `shared/reference` (its head says
//! where the numbers come from), a closed form, or a hand computation written out in the test.

mod buffers;
mod cases;
mod closed_forms;
mod documents;
mod life;
mod life_policies;
mod molar_masses;
mod per_turnover;
mod provenance;
mod random_recipes;
mod recipes;
mod speciation;
mod stoichiometry;
mod structure;
mod water;
