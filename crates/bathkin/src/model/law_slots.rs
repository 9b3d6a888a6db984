//! The laws of a bath as they were read: their numbers in slots, so that they can be written again.

use std::sync::Arc;

use crate::document::reader::{Reader, Role};
use crate::document::slot::{ParameterId, Slot};
use crate::error::Result;
use crate::model::bulk::read_bulk_reactions;
use crate::model::contents::{elements_of, indexed};
use crate::model::decomposition::read_decomposition;
use crate::model::exchange::read_exchanges;
use crate::model::film::read_film;
use crate::model::partial_currents::read_kinetics;
use crate::model::slots::Slots;
use crate::model::solutions::Solutions;
use crate::scalar::Scalar;
use crate::solution::chemistry::{PROTON, WATER};
use crate::solution::{Element, Formula};
use crate::surface::{Decomposition, Film, Kinetics};
use crate::tank::{BulkReaction, Exchange, ResolvedReaction};

/// What the reactions move.
#[derive(Debug)]
pub(crate) struct Matter {
    /// Formulas of the liquid's slots: components, proton, water.
    pub(crate) liquid: Arc<[Formula]>,
    pub(crate) deposited: Vec<Element>,
    pub(crate) evolved: Vec<Element>,
    pub(crate) settled: Vec<Element>,
    pub(crate) reactions: Arc<[ResolvedReaction]>,
}

impl Matter {
    fn of(slots: &Slots, solutions: &Solutions) -> Self {
        let liquid = slots.names.iter().map(String::as_str).chain([PROTON, WATER]);
        let components = liquid.filter_map(|name| slots.chemistry.component(name));
        let (surface, bulk) = (&solutions.half_reactions, &solutions.bulk);
        let deposited = elements_of(surface.iter().map(|reaction| &reaction.deposit));
        let gas = surface.iter().map(|reaction| &reaction.gas);
        let evolved = elements_of(gas.chain(bulk.iter().map(|reaction| &reaction.gas)));
        let resolved = surface.iter().map(|reaction| ResolvedReaction {
            liquid: reaction.liquid.iter().map(|(index, n)| (slots.liquid_slot(*index), *n)).collect(),
            deposit: indexed(&deposited, &reaction.deposit),
            gas: indexed(&evolved, &reaction.gas),
        });
        Matter {
            liquid: components.map(|index| slots.chemistry.components[index].formula.clone()).collect(),
            reactions: resolved.collect(),
            settled: elements_of(bulk.iter().map(|reaction| &reaction.solid)),
            deposited,
            evolved,
        }
    }
}

/// Laws over any scalar.
#[derive(Debug, Clone)]
pub struct Laws<D = f64> {
    /// Of the surface.
    pub kinetics: Kinetics<D>,
    /// Of the liquid.
    pub bulk: Vec<BulkReaction<D>>,
    /// Of plate-out.
    pub decomposition: Option<Decomposition<D>>,
}

impl<D> Laws<D> {
    fn map<E>(&self, of: &mut impl FnMut(&D) -> E) -> Laws<E> {
        Laws {
            kinetics: self.kinetics.map(of),
            bulk: self.bulk.iter().map(|reaction| reaction.map(of)).collect(),
            decomposition: self.decomposition.as_ref().map(|law| law.map(of)),
        }
    }
}

/// The laws as they were read.
#[derive(Debug)]
pub(crate) struct LawSlots {
    pub(crate) matter: Matter,
    slots: Laws<Slot>,
    pub(crate) film: Option<Film>,
    pub(crate) exchanges: Vec<Exchange>,
}

impl LawSlots {
    pub(crate) fn read(
        reader: &Reader,
        slots: &Slots,
        solutions: &Solutions,
        metal: (&str, usize),
    ) -> Result<Self> {
        let matter = Matter::of(slots, solutions);
        reader.role(Role::Law);
        let laws = Laws {
            kinetics: read_kinetics(reader, slots, &solutions.half_reactions, metal.0)?,
            decomposition: read_decomposition(reader, slots)?,
            bulk: read_bulk_reactions(reader, slots, &solutions.bulk, &matter.evolved, &matter.settled)?,
        };
        let film = read_film(reader, slots, metal.1, &matter.reactions)?;
        reader.role(Role::GasExchange);
        let exchanges = read_exchanges(reader, slots, slots.equilibrium, &solutions.gases)?;
        Ok(LawSlots { matter, slots: laws, film, exchanges })
    }

    /// The laws where numbers have these values; all others are as they were read.
    pub(crate) fn at(&self, values: &[(ParameterId, f64)]) -> Laws {
        self.slots.map(&mut |slot| slot.at(values))
    }

    /// The same of the surface alone, over any scalar.
    pub(crate) fn kinetics_at<D: Scalar>(&self, values: &[(ParameterId, D)]) -> Kinetics<D> {
        self.slots.kinetics.map(&mut |slot| slot.at(values))
    }
}
