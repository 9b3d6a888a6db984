//! The built-in recipes: sources, laws and lives, against what is published and what practice says.

mod apparent_energy;
mod cannizzaro;
mod copper_laws;
mod copper_lives;
mod copper_oxide;
mod copper_per_turnover;
mod mixed_potential;
mod nickel_cards;
mod nickel_laws;
mod practice;
mod sources;
