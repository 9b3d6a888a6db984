//! The chapters a recipe is read in: each is read again as a whole, or kept.

use std::sync::Arc;

use crate::document::Document;
use crate::document::declared::{Chapter, Declared};
use crate::document::slot::ParameterId;
use crate::flag::Flag;
use crate::model::amounts::Amounts;
use crate::model::database::Constants;
use crate::model::fresh_liquid::{Conditions, FreshLiquid};
use crate::model::ground::Ground;
use crate::model::law_slots::LawSlots;
use crate::model::limits::LimitKeys;
use crate::model::solutions::Solutions;

/// Heading, chemistry, substrates.
pub(crate) const GROUND: Chapter = Chapter(0);
/// What is weighed out for the fresh bath.
pub(crate) const MAKE_UP: Chapter = Chapter(1);
/// What else is weighed out, and the reactions.
pub(crate) const SOLUTIONS: Chapter = Chapter(2);
/// Temperature, pH and volume.
pub(crate) const CONDITIONS: Chapter = Chapter(3);
/// The laws of surface and liquid.
pub(crate) const LAWS: Chapter = Chapter(4);
/// How the tank is built and run.
pub(crate) const PLANT: Chapter = Chapter(5);
/// What follows from the fresh bath, such as a limit in per cent of its rate: always read.
pub(crate) const DERIVED: Chapter = Chapter(6);

/// What a model keeps of its reading, for models at other numbers.
#[derive(Debug)]
pub(crate) struct Kept {
    /// The document.
    pub(crate) document: Document,
    /// Its numbers.
    pub(crate) declared: Arc<Declared>,
    /// Doubts, with the chapter each was raised in.
    pub(crate) flags: Vec<(Chapter, Flag)>,
    pub(crate) ground: Arc<Ground>,
    /// Doubts about its constants.
    pub(crate) switched: Vec<Flag>,
    /// The constants in use.
    pub(crate) constants: Arc<Constants>,
    pub(crate) make_up: Arc<Amounts>,
    pub(crate) solutions: Arc<Solutions>,
    pub(crate) conditions: Arc<Conditions>,
    pub(crate) liquid: Arc<FreshLiquid>,
    pub(crate) limit_keys: Arc<LimitKeys>,
    pub(crate) laws: Arc<LawSlots>,
    /// Numbers of its laws that were written since.
    pub(crate) written: Vec<(ParameterId, f64)>,
}
