//! Amounts that no litre of solution holds.

use crate::document::reader::Reader;
use crate::error::Result;
use crate::model::amounts::Amounts;
use crate::solution::Equilibrium;

/// Most that a litre of any solution of the trade holds, g: sulfuric acid of 96 % holds 1770 (from memory).
const HEAVIEST_G_L: f64 = 2000.0;
const G_PER_KG: f64 = 1e3;

/// Refuses a solution that is heavier than any.
///
/// # Errors
/// [`crate::Error::Recipe`].
pub(crate) fn check_weight(reader: &Reader, path: &str, amounts: &Amounts) -> Result<()> {
    let grams: f64 = amounts.grams().iter().map(|(_, g_l)| g_l).sum();
    if grams <= HEAVIEST_G_L {
        return Ok(());
    }
    let expected = format!("at most {HEAVIEST_G_L} g in a litre; these are {}", shown(grams));
    Err(reader.refuse(path, &expected, most_of(amounts)))
}

/// Refuses a bath of more salt than water.
///
/// # Errors
/// [`crate::Error::Recipe`].
pub(crate) fn check_bath(
    reader: &Reader,
    equilibrium: &Equilibrium,
    amounts: &Amounts,
    totals_mol_l: &[f64],
    solutes_g_l: f64,
) -> Result<()> {
    let water_g_l = equilibrium.water_kg_l(totals_mol_l) * G_PER_KG;
    if solutes_g_l <= water_g_l {
        return Ok(());
    }
    let expected = format!(
        "a solution, and not more salt than water: {} g/L dissolved beside {} g/L water",
        shown(solutes_g_l),
        shown(water_g_l)
    );
    Err(reader.refuse("make_up", &expected, most_of(amounts)))
}

fn most_of(amounts: &Amounts) -> Option<String> {
    let (name, g_l) = amounts.grams().into_iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
    Some(format!("most of it is {name}, {} g/L", shown(g_l)))
}

fn shown(g_l: f64) -> String {
    if g_l < 1e6 { format!("{g_l:.0}") } else { format!("{g_l:.1e}") }
}
