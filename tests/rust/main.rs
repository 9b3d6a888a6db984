//! Acceptance tests of bathkin.
//!
//! Every expected value has its producer beside it: a file under `shared/reference` (its head says
//! where the numbers come from), a closed form, or a hand computation written out in the test.

mod brightener;
mod buffers;
mod calendar;
mod cases;
mod chemistry_families;
mod closed_forms;
mod constants;
mod copper;
mod copper_bail_out;
mod copper_oxide;
mod decomposition;
mod density;
mod distribution;
mod documents;
mod families;
mod film;
mod film_life;
mod film_recipe;
mod formation;
mod gas_exchange;
mod held_ph;
mod hydrolysis;
mod life;
mod life_policies;
mod mixed_potential;
mod mixtures;
mod molar_masses;
mod more_families;
mod per_turnover;
mod phreeqc;
mod provenance;
mod random_recipes;
mod rate_laws;
mod reasons;
mod recipes;
mod running;
mod scenarios;
mod sit;
mod slopes;
mod solids;
mod solutions;
mod speciation;
mod stabilized;
mod stabilizer;
mod stabilizer_clock;
mod start;
mod stoichiometry;
mod structure;
mod tank_closed_forms;
mod titration;
mod water;
