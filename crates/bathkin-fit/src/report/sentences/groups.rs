//! Sentences on runs that belong together.

use crate::format::{number, probability};

remarks! {
    /// Which runs belong together.
    OfGroups;

    "label-explains", Explains { label: String, groups: usize, f_ratio: f64, p_value: f64 } => {
        let advice = if groups < 3 {
            format!("with {groups} groups give the rate a value for each (per, --per PATH={label})")
        } else {
            format!("name it (group = \"{label}\", --group {label})")
        };
        format!(
            "{label} explains scatter: runs of one {label} agree better than those of different ones (F = {}, {}), so that \
             standard errors and intervals do not hold, most are too small; {advice}",
            number(f_ratio, 3),
            probability(p_value)
        )
    };

    "groups-alike", Alike { label: String } => format!(
        "{label}: groups differ no more than runs within one do, the standard deviation between them comes out as zero; see \
         how large it may be"
    );

    "few-groups", Few { label: String, groups: usize } => format!(
        "{label} has {groups} groups: from so few nobody knows well how far they differ, and intervals come out wide rather \
         than narrow; more groups help more than more runs in each"
    );
}
