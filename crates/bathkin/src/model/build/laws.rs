//! What a model being read computes: the laws written into its tank, and what the user set.

use std::collections::BTreeSet;

use super::Build;
use crate::document::slot::ParameterId;
use crate::model::amounts::Amounts;
use crate::model::chapters::LAWS;
use crate::model::law_slots::LawSlots;
use crate::model::laws_in_use::touched;
use crate::model::make_up::{AT_MAKE_UP, IN_THE_LIFE};
use crate::model::solutions::Solutions;
use crate::solution::Chemistry;
use crate::tank::Tank;

impl Build<'_> {
    /// Writes the laws into the tank, unless they are those it has; gives the numbers that were written since they
    /// were read.
    pub(super) fn write_laws(&self, tank: &mut Tank, laws: &LawSlots) -> Vec<(ParameterId, f64)> {
        let written = match (&self.before, self.kept(LAWS)) {
            (Some((model, moved)), Some(_)) => model.kept.written_with(moved),
            _ => Vec::new(),
        };
        match self.kept(LAWS).filter(|model| model.kept.written == written) {
            Some(model) => {
                tank.bath.kinetics = model.tank.bath.kinetics.clone();
                tank.bath.bulk = model.tank.bath.bulk.clone();
                tank.bath.decomposition = model.tank.bath.decomposition.clone();
            }
            None => {
                let at = laws.at(&written);
                tank.bath.kinetics = at.kinetics.into();
                tank.bath.bulk = at.bulk.into();
                tank.bath.decomposition = at.decomposition;
                tank.bath.film = laws.film.clone();
                tank.plant.exchanges = laws.exchanges.clone();
            }
        }
        written
    }

    /// Components that the user set or added.
    pub(super) fn by_hand(
        &self,
        chemistry: &Chemistry,
        make_up: &Amounts,
        solutions: &Solutions,
    ) -> BTreeSet<usize> {
        let mut by_hand = touched(solutions.weighed_out(make_up));
        let reagents = [(AT_MAKE_UP, &solutions.ph_reagent), (IN_THE_LIFE, &solutions.corrector)];
        for (path, reagent) in reagents {
            let changed = reagent.as_ref().filter(|_| self.reader.is_changed(path));
            by_hand.extend(changed.into_iter().flat_map(|one| chemistry.purpose_beyond_counter_ions(one)));
        }
        by_hand
    }
}
