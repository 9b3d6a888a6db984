//! What comes out: layers and what is in them.

mod brightener;
mod layers;
