//! What is in the tank: constants, activities, equilibrium, pH, solids.

mod acids_and_complexes;
mod buffers;
mod constant_widths;
mod constants;
mod density;
mod distribution;
mod enthalpies;
mod formation;
mod held_ph;
mod mixtures;
mod molar_masses;
mod phreeqc;
mod sensitivities;
mod sit;
mod solids;
mod solved_from_nothing;
mod speciation;
mod titration;
mod water;
