//! What of the make-up leaves a bath and is not fed back.

use crate::tank::Readings;

/// Less than this part of the make-up is worth saying.
const PART: f64 = 0.5;

/// A sentence for each component of the make-up, but for those in `said`, of which less than half is left
/// at the end: drag-out, bleed, overflow and treatments take it along or it is used up, and no solution brings
/// enough of it.
pub(crate) fn depleted_by_drag_out(
    rows: &[Readings],
    names: &[String],
    fresh_mol_l: &[f64],
    said: &[usize],
) -> Vec<String> {
    let of = |(slot, (name, fresh)): (usize, (&String, &f64))| {
        let last = rows.last().filter(|_| *fresh > 0.0 && !said.contains(&slot))?.totals_mol_l[slot];
        if last >= PART * fresh {
            return None;
        }
        let since = rows.iter().rfind(|row| row.totals_mol_l[slot] >= PART * fresh);
        let since =
            since.map_or(String::new(), |row| format!(", below half after {:.1} turnovers", row.turnovers));
        let part = 100.0 * last / fresh;
        let part = if part < 0.1 { "next to none".to_owned() } else { format!("{part:.2} %") };
        Some(format!(
            "of the {} of the make-up {part} is left{since}: it leaves with the bath or is used up and is not fed back, \
             and what it does for complexing, buffer or rate goes with it",
            name.replace('_', " ")
        ))
    };
    names.iter().zip(fresh_mol_l).enumerate().filter_map(of).collect()
}
