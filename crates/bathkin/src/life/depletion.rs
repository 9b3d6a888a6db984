//! What of the make-up leaves a bath and is not fed back.

use super::table::Table;

/// Less than this part of the make-up is worth saying.
const PART: f64 = 0.5;

/// A sentence for each component of the make-up, but for those in `said`, of which less than half is left
/// at the end: drag-out, bleed, overflow and treatments take it along or it is used up, and no solution brings
/// enough of it.
pub(crate) fn depleted_by_drag_out(
    table: &Table,
    names: &[String],
    fresh_mol_l: &[f64],
    said: &[usize],
) -> Vec<String> {
    let Some(turnovers) = table.column("turnovers") else { return Vec::new() };
    let of = |(slot, (name, fresh)): (usize, (&String, &f64))| {
        let held =
            table.column(&format!("{name}_mol_l")).filter(|_| *fresh > 0.0 && !said.contains(&slot))?;
        let last = held.last().copied().filter(|last| *last < PART * fresh)?;
        let since = held.iter().rposition(|held| *held >= PART * fresh).and_then(|row| turnovers.get(row));
        let since =
            since.map_or(String::new(), |turnovers| format!(", below half after {turnovers:.1} turnovers"));
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
