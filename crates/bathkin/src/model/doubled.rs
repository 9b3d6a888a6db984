//! A salt laid over another of the same component: both are weighed out, which is seldom meant.

use crate::document::Entry;
use crate::document::reader::Reader;
use crate::document::slot::Slot;
use crate::solution::{Chemistry, Reagent};
use bathkin_numerics::short;

/// Flags every reagent of a table that was added to an inherited one which brings the same component and
/// stays; `paths` are those of `amounts` (reagent, mol/L).
///
/// A recipe that names both itself means both, and so does who restates the inherited one.
pub(crate) fn flag_doubled(
    reader: &Reader,
    chemistry: &Chemistry,
    paths: &[String],
    amounts: &[(Reagent, Slot)],
) {
    let of = || paths.iter().zip(amounts).filter(|(_, (_, mol_l))| mol_l.value > 0.0);
    for (path, (added, added_mol_l)) in of() {
        for (other, (stays, stays_mol_l)) in of() {
            let (Some(new), Some(old)) = (reader.entry(path), reader.entry(other)) else { continue };
            if !new.is_added_above(old) {
                continue;
            }
            if let Some(component) = chemistry.shared_purpose(added, stays) {
                let brought = added.moles_of(component) * added_mol_l.value
                    + stays.moles_of(component) * stays_mol_l.value;
                reader.flag(path, words(chemistry, new, old, component, brought));
            }
        }
    }
}

fn words(chemistry: &Chemistry, new: &Entry, old: &Entry, component: usize, mol_l: f64) -> String {
    let component = &chemistry.components[component];
    let g_l = component.formula.molar_mass_g_mol(&chemistry.atomic_weights).map(|g_mol| g_mol * mol_l);
    let mol_l = format!("{} mol/L", short(mol_l));
    let both = g_l.map_or_else(|_| mol_l.clone(), |g_l| format!("{} g/L ({mol_l})", short(g_l)));
    format!(
        "{} = {} ({}) is added to {} = {} ({}), which stays: together {both} {}. \
         Set {} to \"off\" where the new one takes its place, or to {} again where both are meant",
        new.path,
        new.value,
        new.place,
        old.path,
        old.value,
        old.place,
        component.name.replace('_', " "),
        old.path,
        old.value,
    )
}
