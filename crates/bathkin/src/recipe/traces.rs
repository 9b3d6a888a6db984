//! Concentrations of traces: in mol/L, or in mg/L of the component.

use super::reader::{Bounds, Reader};
use super::slots::Slots;
use super::substance::weighed_as_itself;
use crate::error::Result;

const MG_PER_G: f64 = 1e3;

/// The table of a factor that follows a trace.
pub(super) struct Traces<'a, 'b> {
    pub(super) reader: &'a Reader<'b>,
    pub(super) slots: &'a Slots<'a>,
    /// Path of the table.
    pub(super) table: &'a str,
    /// The substance.
    pub(super) name: &'a str,
}

impl Traces<'_, '_> {
    /// `<key>_mol_l` or `<key>_mg_l`, mol/L, if there.
    pub(super) fn optional(&self, key: &str, bounds: Bounds) -> Result<Option<f64>> {
        let (molar, mass) = (format!("{}.{key}_mol_l", self.table), format!("{}.{key}_mg_l", self.table));
        match (self.reader.optional(&molar, bounds)?, self.reader.optional(&mass, bounds)?) {
            (moles, None) => Ok(moles),
            (Some(_), Some(_)) => Err(self.reader.refuse(&mass, "one of the two, mol/L or mg/L", None)),
            (None, Some(mg)) => {
                let chemistry = self.slots.chemistry;
                let component = chemistry.component(self.name);
                let g_mol = component.and_then(|component| weighed_as_itself(chemistry, component));
                g_mol.map(|g_mol| Some(mg / MG_PER_G / g_mol)).ok_or_else(|| {
                    let hint = match component {
                        Some(_) => format!("milligrams of {} as what?", self.name),
                        None => format!("{} is no component, so its mass is not known here", self.name),
                    };
                    self.reader.refuse(&mass, &format!("{key}_mol_l"), Some(hint))
                })
            }
        }
    }

    /// The same, when it must be there.
    pub(super) fn required(&self, key: &str, bounds: Bounds) -> Result<f64> {
        match self.optional(key, bounds)? {
            Some(mol_l) => Ok(mol_l),
            None => self.reader.number(&format!("{}.{key}_mol_l", self.table), bounds),
        }
    }

    /// The same, with a default in mol/L.
    pub(super) fn or(&self, key: &str, bounds: Bounds, default_mol_l: f64) -> Result<f64> {
        Ok(self.optional(key, bounds)?.unwrap_or(default_mol_l))
    }
}
