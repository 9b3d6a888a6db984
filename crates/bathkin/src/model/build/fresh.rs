//! What a model being read computes: its fresh liquid, and the laws written into its tank.

use std::collections::BTreeSet;

use super::Build;
use crate::constants::{REFERENCE_TEMPERATURE_K, ZERO_CELSIUS_K};
use crate::document::reader::{Bounds, Role as Of};
use crate::document::slot::ParameterId;
use crate::error::Result;
use crate::model::amounts::Amounts;
use crate::model::chapters::{CONDITIONS, LAWS};
use crate::model::law_slots::LawSlots;
use crate::model::laws_in_use::touched;
use crate::model::make_up::{AT_MAKE_UP, IN_THE_LIFE, PhAdjustment, set_ph};
use crate::model::operation::read_stated_energy;
use crate::model::running::TEMPERATURE;
use crate::model::slots::Slots;
use crate::model::slurry::check_bath;
use crate::model::solutions::Solutions;
use crate::solution::Chemistry;
use crate::tank::{Roles, Tank};

/// Temperature, pH and volume.
pub(super) struct Conditions {
    pub(super) temperature_k: f64,
    pub(super) ph_temperature_k: f64,
    ph_wanted: Option<f64>,
    pub(super) volume_l: f64,
}

impl Build<'_> {
    pub(super) fn conditions(&self) -> Result<Conditions> {
        let reader = &self.reader;
        reader.begin(CONDITIONS, Of::Operation);
        let temperature_k = ZERO_CELSIUS_K + reader.number("operation.temperature_c", TEMPERATURE)?;
        read_stated_energy(reader)?;
        let cooled = reader.choice("operation.ph_reading", &[("hot", false), ("cooled", true)])?;
        const PH: Bounds = Bounds::between(0.0, 14.0, "a pH between 0 and 14").linear();
        Ok(Conditions {
            temperature_k,
            ph_temperature_k: if cooled { REFERENCE_TEMPERATURE_K } else { temperature_k },
            ph_wanted: reader.optional("operation.ph", PH)?,
            volume_l: reader.number("tank.volume_l", Bounds::POSITIVE)?,
        })
    }

    /// Totals of the fresh bath with its pH set, that pH, and what set it.
    pub(super) fn fresh_liquid(
        &self,
        slots: &Slots,
        roles: Roles,
        make_up: &Amounts,
        solutions: &Solutions,
        at: &Conditions,
    ) -> Result<(Vec<f64>, f64, Option<PhAdjustment>)> {
        let reader = &self.reader;
        let mut totals = slots.totals(make_up);
        for (role, slot) in [("metal", roles.metal), ("reductant", roles.reductant)] {
            if totals[slot] <= 0.0 {
                let expected = format!("a reagent that brings {}", slots.names[slot]);
                return Err(reader.refuse(&format!("make_up ({role})"), &expected, None));
            }
        }
        check_bath(reader, slots.equilibrium, make_up, &totals, make_up.solutes_g_l(slots.chemistry))?;
        let reagent = solutions.ph_reagent.as_ref().map(|reagent| (reagent, slots.gives(reagent)));
        let (ph, adjustment) =
            set_ph(reader, slots.equilibrium, &mut totals, reagent, at.ph_wanted, at.ph_temperature_k)?;
        Ok((totals, ph, adjustment))
    }

    /// Writes the laws into the tank, unless they are those it has; gives the numbers that were written since they
    /// were read.
    pub(super) fn write_laws(&self, tank: &mut Tank, laws: &LawSlots) -> Vec<(ParameterId, f64)> {
        let written = match (&self.before, self.kept(LAWS)) {
            (Some((model, moved)), Some(_)) => model.kept.written_with(moved),
            _ => Vec::new(),
        };
        match self.kept(LAWS).filter(|model| model.kept.written == written) {
            Some(model) => {
                tank.kinetics = model.tank.kinetics.clone();
                tank.bulk = model.tank.bulk.clone();
                tank.decomposition = model.tank.decomposition.clone();
            }
            None => {
                let at = laws.at(&written);
                tank.kinetics = at.kinetics.into();
                tank.bulk = at.bulk.into();
                tank.decomposition = at.decomposition;
                tank.film = laws.film.clone();
                tank.exchanges = laws.exchanges.clone();
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
