//! What a fit says of itself: what stays undetermined, what was assumed, what the data miss.

pub(crate) mod assumptions;
pub(crate) mod data_checks;
pub(crate) mod groups;
pub(crate) mod identifiability;
pub(crate) mod influence_checks;
pub(crate) mod misfit;
pub(crate) mod remarks;
pub(crate) mod replicates;
pub(crate) mod sentences;
pub(crate) mod thresholds;
