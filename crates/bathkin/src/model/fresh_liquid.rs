//! The fresh liquid: what was weighed out, at its temperature, with its pH set.

use crate::constants::{REFERENCE_TEMPERATURE_K, ZERO_CELSIUS_K};
use crate::document::reader::{Bounds, Reader};
use crate::document::slot::Slot;
use crate::error::Result;
use crate::model::amounts::Amounts;
use crate::model::make_up::{PhAdjustment, set_ph};
use crate::model::operation::read_stated_energy;
use crate::model::running::TEMPERATURE;
use crate::model::slots::Slots;
use crate::model::slurry::check_bath;
use crate::model::solutions::Solutions;
use crate::solution::Speciation;
use crate::tank::Roles;

/// Temperature, pH and volume.
#[derive(Debug)]
pub(crate) struct Conditions {
    pub(crate) temperature_k: f64,
    pub(crate) ph_temperature_k: f64,
    /// What a reagent brings the pH to.
    pub(crate) ph_wanted: Option<Slot>,
    pub(crate) volume_l: f64,
}

/// The fresh liquid with its pH set.
#[derive(Debug)]
pub(crate) struct FreshLiquid {
    pub(crate) totals_mol_l: Vec<f64>,
    pub(crate) ph: f64,
    /// What set it.
    pub(crate) adjustment: Option<PhAdjustment>,
    /// As it was solved for that.
    pub(crate) solved: Speciation,
}

impl Conditions {
    pub(crate) fn read(reader: &Reader) -> Result<Self> {
        let temperature_k = ZERO_CELSIUS_K + reader.number("operation.temperature_c", TEMPERATURE)?;
        read_stated_energy(reader)?;
        let cooled = reader.choice("operation.ph_reading", &[("hot", false), ("cooled", true)])?;
        const PH: Bounds = Bounds::between(0.0, 14.0, "a pH between 0 and 14").linear();
        Ok(Conditions {
            temperature_k,
            ph_temperature_k: if cooled { REFERENCE_TEMPERATURE_K } else { temperature_k },
            ph_wanted: reader.optional_slot("operation.ph", PH)?,
            volume_l: reader.number("tank.volume_l", Bounds::POSITIVE)?,
        })
    }
}

impl FreshLiquid {
    pub(crate) fn made_up(
        reader: &Reader,
        slots: &Slots,
        roles: Roles,
        make_up: &Amounts,
        solutions: &Solutions,
        at: &Conditions,
    ) -> Result<Self> {
        let mut totals = slots.totals(make_up);
        for (role, slot) in [("metal", roles.metal), ("reductant", roles.reductant)] {
            if totals[slot] <= 0.0 {
                let expected = format!("a reagent that brings {}", slots.names[slot]);
                return Err(reader.refuse(&format!("make_up ({role})"), &expected, None));
            }
        }
        check_bath(reader, slots.equilibrium, make_up, &totals, make_up.solutes_g_l(slots.chemistry))?;
        let reagent = solutions.ph_reagent.as_ref().map(|reagent| (reagent, slots.gives(reagent)));
        let mut solved = slots.equilibrium.speciation();
        let (ph, adjustment) = set_ph(
            reader,
            slots.equilibrium,
            &mut totals,
            reagent,
            at.ph_wanted.map(|ph| ph.value),
            at.ph_temperature_k,
            &mut solved,
        )?;
        Ok(FreshLiquid { totals_mol_l: totals, ph, adjustment, solved })
    }
}
