//! Numbers that were changed after a document was read, and which chapters of it they are in.

use std::sync::Arc;

use crate::document::declared::Chapter;
use crate::document::reader::extrapolated;
use crate::document::slot::ParameterId;
use crate::document::{Document, Value};
use crate::error::Result;
use crate::flag::Flag;
use crate::model::chapters::{DERIVED, Kept, LAWS};
use crate::model::database::Constants;

/// Numbers changed since a document was read.
pub(crate) struct Moved<'a> {
    document: &'a Document,
    /// Those of the recipe, with their values.
    own: Vec<(ParameterId, f64)>,
    /// Whether all of them that are in a law are in slots alone.
    laws_in_slots: bool,
    /// The constants with those that were changed.
    pub(crate) constants: Arc<Constants>,
}

impl Kept {
    /// The numbers at these paths, where nothing but numbers was changed: what was there is there, and what was not
    /// is not.
    ///
    /// # Errors
    /// As reading the constants of a recipe.
    pub(crate) fn moved<'a>(&self, document: &'a Document, paths: &[&str]) -> Result<Option<Moved<'a>>> {
        let number = |document: &Document, path: &str| match document.get(path)?.value {
            Value::Number(number) => Some(number),
            _ => None,
        };
        let (mut own, mut constants) = (Vec::new(), Vec::new());
        for path in paths {
            let Some(value) = number(document, path) else { return Ok(None) };
            if let Some(id) = self.declared.id(path).filter(|_| number(&self.document, path).is_some()) {
                own.push((id, value));
            } else if number(&self.constants.document, path).is_some() {
                constants.push(*path);
            } else {
                return Ok(None);
            }
        }
        let constants = if constants.is_empty() {
            self.constants.clone()
        } else {
            let Some(read) = self.constants.with_species(document, &constants)? else { return Ok(None) };
            Arc::new(read)
        };
        let within = |(id, value): &(ParameterId, f64)| {
            self.declared.is_slot(*id) && self.declared.all[id.0].bounds.allow(*value)
        };
        let mut in_laws = own.iter().filter(|(id, _)| self.declared.is_read_in(*id, LAWS));
        let laws_in_slots = in_laws.all(within);
        Ok(Some(Moved { document, own, laws_in_slots, constants }))
    }

    /// The numbers of its laws that were written since they were read, with those moved now.
    pub(crate) fn written_with(&self, moved: &Moved) -> Vec<(ParameterId, f64)> {
        let mut written = self.written.clone();
        for (id, value) in moved.in_laws(self) {
            match written.iter_mut().find(|(known, _)| *known == id) {
                Some((_, before)) => *before = value,
                None => written.push((id, value)),
            }
        }
        written
    }

    /// Doubts of a first reading that stand at the moved numbers, and those about the moved numbers of laws.
    pub(crate) fn flags_at(&self, moved: &Moved) -> impl Iterator<Item = (Chapter, Flag)> {
        let slots: Vec<&str> =
            moved.in_laws(self).map(|(id, _)| self.declared.all[id.0].path.as_str()).collect();
        let in_slots = |place: &str| moved.laws_in_slots && slots.contains(&place);
        let stays = |(chapter, flag): &&(Chapter, Flag)| {
            let anew = *chapter == DERIVED || moved.reads(self, *chapter);
            let written = *chapter == LAWS && in_slots(&flag.r#where);
            !(anew || written)
        };
        let mut flags: Vec<(Chapter, Flag)> = self.flags.iter().filter(stays).cloned().collect();
        for (id, value) in moved.in_laws(self).filter(|_| moved.laws_in_slots) {
            let path = &self.declared.all[id.0].path;
            let range = moved.document.get(path).and_then(|entry| entry.range);
            flags.extend(extrapolated(value, range).map(|what| (LAWS, Flag { r#where: path.clone(), what })));
        }
        flags.into_iter()
    }
}

impl Moved<'_> {
    /// Whether a chapter has to be read again.
    pub(crate) fn reads(&self, kept: &Kept, chapter: Chapter) -> bool {
        let in_chapter = self.own.iter().any(|(id, _)| kept.declared.is_read_in(*id, chapter));
        in_chapter && !(chapter == LAWS && self.laws_in_slots)
    }

    fn in_laws<'a>(&'a self, kept: &'a Kept) -> impl Iterator<Item = (ParameterId, f64)> + 'a {
        self.own.iter().copied().filter(|(id, _)| kept.declared.is_read_in(*id, LAWS))
    }
}
