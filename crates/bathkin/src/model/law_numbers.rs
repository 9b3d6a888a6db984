//! Laws at other numbers, without resolving the whole recipe again.

use std::sync::Arc;

use crate::surface::Kinetics;
use crate::tank::{BulkReaction, Tank};

/// Keys of a half-reaction that name the table of its law.
pub(crate) const LAWS: [&str; 3] = ["law", "selectivity", "partial_current"];

/// The laws of a surface and of a liquid. They fit every bath of the same dissolved substances.
#[derive(Debug, Clone)]
pub struct Laws {
    /// Of the surface.
    pub kinetics: Arc<Kinetics>,
    /// Of the liquid.
    pub bulk: Arc<[BulkReaction]>,
}

impl Tank {
    /// This tank with other laws; all else, also what its recipe reads from the rate of the fresh bath, stays
    /// as it is.
    pub fn with_laws(&self, laws: &Laws) -> Tank {
        let Laws { kinetics, bulk } = laws.clone();
        Tank { kinetics, bulk, ..self.clone() }
    }
}
