//! Warnings about a bath or a life, in words, each with the numbers it rests on.

pub(crate) mod caps;
pub(crate) mod declared;
pub(crate) mod decomposition;
pub(crate) mod depleted;
pub(crate) mod enthalpies;
pub(crate) mod held_level;
pub(crate) mod of_life;
pub(crate) mod racks;
pub(crate) mod ran_dry;
pub(crate) mod role_drift;
pub(crate) mod surface;
pub(crate) mod working_level;
