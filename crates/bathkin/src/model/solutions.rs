//! What is weighed out beside the make-up, and the reactions: together they tell which components the bath has.

use crate::document::reader::{Reader, Role};
use crate::error::Result;
use crate::model::amounts::Amounts;
use crate::model::bulk::{BulkEquation, read_bulk_equations};
use crate::model::contents::component_names;
use crate::model::doses::{FurtherSolution, further_solutions};
use crate::model::events::{EventSolution, event_solutions};
use crate::model::exchange::exchanged_gases;
use crate::model::laws::read_half_reactions;
use crate::model::make_up::{AT_MAKE_UP, IN_THE_LIFE, read_amounts, reagent_named};
use crate::model::running::read_drag_in;
use crate::solution::{Chemistry, Gas, Reagent};
use crate::surface::HalfReaction;

/// Solutions and reactions of a recipe.
#[derive(Debug)]
pub(crate) struct Solutions {
    /// Sets the pH of the make-up.
    pub(crate) ph_reagent: Option<Reagent>,
    /// Holds the pH over the life.
    pub(crate) corrector: Option<Reagent>,
    pub(crate) metal: Amounts,
    pub(crate) reductant: Amounts,
    pub(crate) half_reactions: Vec<HalfReaction>,
    pub(crate) bulk: Vec<BulkEquation>,
    pub(crate) gases: Vec<Gas>,
    /// Carried in with the work, L/m².
    pub(crate) drag_in_l_m2: f64,
    pub(crate) drag_in: Amounts,
    pub(crate) further: Vec<FurtherSolution>,
    pub(crate) poured: Vec<EventSolution>,
    /// The components of the bath, in the order of its totals.
    pub(crate) names: Vec<String>,
}

impl Solutions {
    pub(crate) fn read(reader: &Reader, chemistry: &Chemistry, make_up: &Amounts) -> Result<Self> {
        let ph_reagent = reagent_named(reader, chemistry, AT_MAKE_UP)?.cloned();
        let corrector = reagent_named(reader, chemistry, IN_THE_LIFE)?.cloned().or(ph_reagent.clone());
        reader.role(Role::Solution);
        let metal = read_amounts(reader, chemistry, "replenisher.metal")?;
        let reductant = read_amounts(reader, chemistry, "replenisher.reductant")?;
        reader.role(Role::Stoichiometry);
        let half_reactions = read_half_reactions(reader, chemistry)?;
        let bulk = read_bulk_equations(reader, chemistry)?;
        let gases = exchanged_gases(reader, chemistry)?;
        reader.role(Role::Solution);
        let (drag_in_l_m2, drag_in) = read_drag_in(reader, chemistry)?;
        let further = further_solutions(reader, chemistry)?;
        let poured = event_solutions(reader, chemistry)?;
        let mut all = Solutions {
            ph_reagent,
            corrector,
            metal,
            reductant,
            half_reactions,
            bulk,
            gases: gases.into_iter().cloned().collect(),
            drag_in_l_m2,
            drag_in,
            further,
            poured,
            names: Vec::new(),
        };
        all.names = component_names(chemistry, all.brought(make_up).chain(all.reacting()));
        Ok(all)
    }

    /// Everything that is weighed out.
    pub(crate) fn weighed_out<'a>(&'a self, make_up: &'a Amounts) -> impl Iterator<Item = &'a Amounts> {
        [make_up, &self.metal, &self.reductant, &self.drag_in]
            .into_iter()
            .chain(self.further.iter().map(FurtherSolution::amounts))
            .chain(self.poured.iter().map(EventSolution::amounts))
    }

    /// Components that something brings.
    fn brought<'a>(&'a self, make_up: &'a Amounts) -> impl Iterator<Item = usize> + 'a {
        let reagents = self.ph_reagent.iter().chain(&self.corrector);
        let of_reagents = reagents.flat_map(|reagent| reagent.gives.iter().map(|(index, _)| *index));
        self.weighed_out(make_up).flat_map(Amounts::components).chain(of_reagents)
    }

    /// Components that react.
    fn reacting(&self) -> impl Iterator<Item = usize> {
        let of_surface = self.half_reactions.iter().map(|reaction| &reaction.liquid);
        let of_liquid = self.bulk.iter().map(|reaction| &reaction.liquid);
        let of_air = self.gases.iter().map(|gas| &gas.forms_from);
        of_surface.chain(of_liquid).chain(of_air).flatten().map(|(index, _)| *index)
    }
}
