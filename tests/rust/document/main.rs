//! The document: what it may say, and how it is refused.

mod bounded;
mod constant_sets;
mod inherited;
mod parameters;
mod random_recipes;
mod refusals;
mod roles;
mod substances;
