//! Many members of one recipe: its bath and its life at many values of its numbers.
//!
//! A member is a number from 0. Its values follow from that number and the seed alone ([`design`]), and so do its answers
//! ([`plan`], [`points`]): whatever threads, processes or machines compute a part, and in whatever order, the bits are the same. Work goes by
//! chunks of [`CHUNK`] members ([`run`]), and a chunk is also what is written to a file that an ended computation goes on
//! from, and what a worker hands back ([`record`]). What is found is kept member by member, or reduced as it comes
//! ([`collected`]). Nothing here opens files: who calls does.

pub mod collected;
pub mod design;
pub mod output;
pub mod plan;
pub mod points;
pub mod record;
pub mod run;
pub mod sensitivity;

pub use collected::{Collected, FailedMember, OutputStatistics};
pub use design::Design;
pub use output::Output;
pub use plan::{CHUNK, Chunk, EnsemblePlan};
pub use points::Points;
pub use sensitivity::{Driver, ElementaryEffects, Silent, VarianceShare};
