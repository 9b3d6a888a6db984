//! The reagent that sets the pH of the make-up and the one that holds it over the life.

use crate::document::reader::Reader;
use crate::document::{Entry, Value};
use crate::model::make_up::{AT_MAKE_UP, IN_THE_LIFE, PhAdjustment};
use crate::solution::{Chemistry, Reagent};
use bathkin_numerics::short;

/// Flags one of two reagents that were the same and of which one alone was changed: the bath is then made up
/// with one and run on the other, which is seldom meant. A recipe that names both means both.
pub(crate) fn flag_differing(
    reader: &Reader,
    chemistry: &Chemistry,
    adjustment: Option<&PhAdjustment>,
    corrector: Option<&Reagent>,
    corrector_g_l: f64,
) {
    let (Some(first), Some(second)) = (reader.entry(AT_MAKE_UP), reader.entry(IN_THE_LIFE)) else { return };
    let changed_alone = |changed: &Entry, kept: &Entry| {
        let was = changed.history.inherited.as_ref() == Some(&kept.value);
        changed.is_set_above(kept) && was && changed.value != kept.value
    };
    let (changed, kept) = match (changed_alone(first, second), changed_alone(second, first)) {
        (true, _) => (first, second),
        (_, true) => (second, first),
        _ => return,
    };
    let title = |entry: &Entry| match &entry.value {
        Value::Text(name) => {
            chemistry.reagent(name).map_or_else(|| name.clone(), |found| found.title.clone())
        }
        other => other.to_string(),
    };
    let made_up = adjustment.map_or_else(
        || "none of it needed".to_owned(),
        |set| format!("{} g/L or {} mol/L of it", short(set.g_l), short(set.mol_l)),
    );
    let strength = corrector.map_or(f64::NAN, |reagent| corrector_g_l / reagent.molar_mass_g_mol);
    reader.flag(
        &changed.path,
        format!(
            "{} = {} ({}) was changed alone: the bath is made up with {} ({made_up}), and over its life the pH is \
             held with {}, {} g/L or {} mol/L. Both were {} before: set {} as well, to the \
             same where one reagent does both, or to {} again where two are meant",
            changed.path,
            changed.value,
            changed.place,
            title(first),
            title(second),
            short(corrector_g_l),
            short(strength),
            kept.value,
            kept.path,
            kept.value,
        ),
    );
}
