//! Concentrations of traces: in mol/L, in mg/L of what is weighed as itself, or in mg/L as a formula.

use crate::document::reader::{Bounds, Reader, Role};
use crate::document::slot::Slot;
use crate::error::Result;
use crate::model::slots::Slots;
use crate::model::substance::{Name, Unclear, Unit, content};

/// How a number is read.
type Read = fn(&Reader, &str, Bounds) -> Result<Option<Slot>>;

fn unslotted(reader: &Reader, path: &str, bounds: Bounds) -> Result<Option<Slot>> {
    Ok(reader.optional(path, bounds)?.map(Slot::fixed))
}

/// The table of a factor that follows a trace.
pub(crate) struct Traces<'a, 'b> {
    pub(crate) reader: &'a Reader<'b>,
    pub(crate) slots: &'a Slots<'a>,
    /// Path of the table.
    pub(crate) table: &'a str,
    /// The substance.
    pub(crate) name: &'a str,
}

impl Traces<'_, '_> {
    /// `<key>_mol_l`, `<key>_mg_l` or the key with any other ending of an amount of the substance, mol/L, if
    /// there.
    fn optional(&self, key: &str, bounds: Bounds, read: Read) -> Result<Option<Slot>> {
        for unit in [Unit::Moles, Unit::Milligrams] {
            self.reader.entry(&format!("{}.{key}{}", self.table, unit.ending()));
        }
        let mut found = None;
        for child in self.reader.document().children(self.table) {
            let Some(ending) = child.strip_prefix(key) else { continue };
            let name = format!("{}{ending}", self.name);
            let Some(said) = Name::split(&name).filter(|said| said.substance == self.name) else { continue };
            let path = format!("{}.{child}", self.table);
            let Some(amount) = read(self.reader, &path, bounds)? else { continue };
            if found.is_some() {
                return Err(self.reader.refuse(&path, "one of the two, mol/L or mg/L", None));
            }
            found = Some(amount * self.mol_l(&path, &name, said, amount.value)?);
        }
        Ok(found)
    }

    /// Moles per litre for one in the unit of a name.
    fn mol_l(&self, path: &str, name: &str, said: Name, amount: f64) -> Result<f64> {
        let chemistry = self.slots.chemistry;
        if chemistry.component(self.name).is_some()
            && let Some(content) = content(chemistry, &[], name, amount)
        {
            let refuse = |unclear: Unclear| self.reader.refuse(path, &unclear.expected, Some(unclear.hint));
            return content.map(|content| content.mol_l).map_err(refuse);
        }
        if said.unit.is_mass() {
            let hint = format!("{} is no component, so its mass is not known here", self.name);
            return Err(self.reader.refuse(path, "the same in mol/L", Some(hint)));
        }
        Ok(said.unit.mol_l(f64::NAN))
    }

    /// The same, when it must be there.
    pub(crate) fn required(&self, key: &str, bounds: Bounds) -> Result<Slot> {
        match self.optional(key, bounds, |reader, path, bounds| reader.optional_slot(path, bounds))? {
            Some(mol_l) => Ok(mol_l),
            None => self.reader.slot(&format!("{}.{key}_mol_l", self.table), bounds),
        }
    }

    /// The same of a number that no slot keeps.
    pub(crate) fn plain(&self, key: &str, bounds: Bounds) -> Result<f64> {
        match self.optional(key, bounds, unslotted)? {
            Some(mol_l) => Ok(mol_l.value),
            None => self.reader.number(&format!("{}.{key}_mol_l", self.table), bounds),
        }
    }

    /// Reads what belongs to the reference state.
    pub(crate) fn reference<T>(&self, read: impl FnOnce() -> T) -> T {
        self.reader.with_role(Role::Reference, read)
    }

    /// The same, with a default in mol/L.
    pub(crate) fn or(&self, key: &str, bounds: Bounds, default_mol_l: f64) -> Result<f64> {
        Ok(self.optional(key, bounds, unslotted)?.map_or(default_mol_l, |found| found.value))
    }
}
