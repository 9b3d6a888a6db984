//! How fast it plates: laws, films, mixed potentials, the start on a substrate.

mod decomposition;
mod film;
mod film_temperature;
mod mixed_potential;
mod rate_laws;
mod scaled;
mod stabilizer;
mod start;
mod stoichiometry;
