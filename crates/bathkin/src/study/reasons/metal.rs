//! What holds the metal, and what changed in that.

use crate::study::reasons::words::{molar, spoken};
use crate::tank::{BathState, Tank};

/// The metal of a bath, mol/L, and the share of it in each dissolved substance that holds it, in the
/// order of [`crate::tank::Forms::metal`].
#[derive(Debug, Clone)]
pub(crate) struct Shares {
    total_mol_l: f64,
    of: Vec<f64>,
}

pub(crate) fn shares(tank: &Tank, observed: &BathState) -> Shares {
    let metal = tank.bath.roles.metal;
    let total_mol_l = observed.totals_mol_l[metal];
    let count = |substance: usize| -> f64 {
        let parts = tank.bath.equilibrium.made_of(substance);
        parts.iter().filter(|(slot, _)| *slot == metal).map(|(_, count)| count).sum()
    };
    let share = |at: &usize| count(*at) * observed.dissolved_mol_l[*at] / total_mol_l;
    Shares { total_mol_l, of: tank.bath.forms.metal.iter().map(share).collect() }
}

/// Why the free metal changed: its total, its free share, and the complexes that took or gave most.
pub(crate) fn why_free(tank: &Tank, before: &Shares, after: &Shares) -> Option<String> {
    const WORTH_SAYING: f64 = 1e-3;
    // A second complex is told when it moved by at least this part of the first.
    const BESIDE: f64 = 1.0 / 3.0;
    let names: Vec<&str> = tank.bath.equilibrium.substance_names().collect();
    let metal = spoken(names[tank.bath.roles.metal]);
    let mut said = Vec::new();
    if (after.total_mol_l / before.total_mol_l).ln().abs() > WORTH_SAYING {
        let (from, to) = (before.total_mol_l, after.total_mol_l);
        said.push(format!("{metal} {} from {} to {} in all", way(from, to), molar(from), molar(to)));
    }
    let mut held = Vec::new();
    for (place, (from, to)) in tank.bath.forms.metal.iter().zip(before.of.iter().zip(&after.of)) {
        if *place == tank.bath.roles.metal {
            if (to / from).ln().abs() > WORTH_SAYING {
                let (a, b) = (part(*from), part(*to));
                said.push(format!("the free part of the {metal} {} from {a} to {b}", way(*from, *to)));
            }
        } else {
            held.push(((to - from).abs(), spoken(names[*place]), *from, *to));
        }
    }
    held.sort_by(|a, b| b.0.total_cmp(&a.0));
    let most = held.first().map_or(0.0, |(moved, ..)| *moved);
    for (moved, name, from, to) in held {
        if moved > WORTH_SAYING && moved >= BESIDE * most {
            said.push(format!("{name} {} from {} to {}", way(from, to), part(from), part(to)));
        }
    }
    (!said.is_empty()).then(|| said.join("; "))
}

fn way(from: f64, to: f64) -> &'static str {
    if to > from { "rises" } else { "falls" }
}

/// A part of one as per cent.
fn part(share: f64) -> String {
    let pct = 100.0 * share;
    if pct != 0.0 && pct.abs() < 0.1 { format!("{pct:.1e} %") } else { format!("{pct:.1} %") }
}
