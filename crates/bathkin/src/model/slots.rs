//! Components by name to slots of the liquid.

use crate::document::reader::Reader;
use crate::error::{Error, Result};
use crate::model::amounts::Amounts;
use crate::model::fields::component;
use crate::solution::chemistry::{PROTON, WATER};
use crate::solution::{Chemistry, Equilibrium, Reagent};
use crate::tank::{Replenisher, WATER_MOL_L};

/// Components by name to slots of the liquid.
pub(crate) struct Slots<'a> {
    pub(crate) chemistry: &'a Chemistry,
    pub(crate) names: &'a [String],
    pub(crate) equilibrium: &'a Equilibrium,
}

impl Slots<'_> {
    /// Slot of a component that a table names.
    pub(crate) fn named(&self, reader: &Reader, path: &str, name: &str) -> Result<usize> {
        component(reader, self.chemistry, path, name)?;
        self.names.iter().position(|known| known == name).ok_or_else(|| {
            Error::unknown_name(
                reader.place(path),
                "component of this bath",
                name,
                self.names.iter().map(String::as_str),
            )
        })
    }

    /// Place of a dissolved substance that a table names.
    pub(crate) fn dissolved(&self, reader: &Reader, path: &str, name: &str) -> Result<usize> {
        let mut names = self.equilibrium.substance_names();
        names.position(|known| known == name).ok_or_else(|| {
            let valid = self.equilibrium.substance_names();
            Error::unknown_name(reader.place(path), "dissolved substance of this bath", name, valid)
        })
    }

    pub(crate) fn role(&self, reader: &Reader, path: &str, name: &str) -> Result<usize> {
        self.named(reader, path, name)
    }

    pub(crate) fn liquid_slot(&self, component: usize) -> usize {
        let name = &self.chemistry.components[component].name;
        match name.as_str() {
            PROTON => self.names.len(),
            WATER => self.names.len() + 1,
            _ => self.names.iter().position(|known| known == name).unwrap_or(self.names.len() + 1),
        }
    }

    pub(crate) fn gives(&self, reagent: &Reagent) -> Vec<f64> {
        let mut gives = vec![0.0; self.names.len() + 2];
        for (component, moles) in &reagent.gives {
            gives[self.liquid_slot(*component)] += moles;
        }
        gives
    }

    pub(crate) fn totals(&self, amounts: &Amounts) -> Vec<f64> {
        self.sum(amounts)[..self.names.len()].to_vec()
    }

    pub(crate) fn sum(&self, amounts: &Amounts) -> Vec<f64> {
        let mut sum = vec![0.0; self.names.len() + 2];
        for (reagent, moles) in amounts.moles() {
            for (slot, given) in self.gives(reagent).into_iter().enumerate() {
                sum[slot] += moles * given;
            }
        }
        sum
    }

    pub(crate) fn replenisher(
        &self,
        reader: &Reader,
        path: &str,
        name: &str,
        amounts: &Amounts,
        must_bring: Option<usize>,
    ) -> Result<Replenisher> {
        let mut per_litre = self.sum(amounts);
        if let Some(slot) = must_bring
            && per_litre[slot] <= 0.0
        {
            return Err(reader.refuse(path, &format!("a reagent that brings {}", self.names[slot]), None));
        }
        per_litre[self.names.len() + 1] += WATER_MOL_L;
        let name = reader.optional_text(&format!("{path}.name"))?.unwrap_or(name).to_owned();
        if name == WATER {
            return Err(reader.refuse(
                &format!("{path}.name"),
                "another name: the ledger keeps water by it",
                None,
            ));
        }
        Ok(Replenisher { turns_over: true, ..Replenisher::plain(&name, per_litre) })
    }
}
