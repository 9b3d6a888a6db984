//! Solutions beyond metal and reductant as a recipe writes them, and the unit of every dose.

use std::collections::HashSet;

use crate::constants::SECONDS_PER_HOUR;
use crate::document::reader::{Bounds, Reader};
use crate::error::Result;
use crate::model::amounts::Amounts;
use crate::model::make_up::read_amounts;
use crate::model::slots::Slots;
use crate::solution::Chemistry;
use crate::tank::{DoseUnit, Feed, Occasion, Replenisher};
use bathkin_numerics::short;

/// Tables of `[replenisher]` that every recipe has.
const OWN: [&str; 2] = ["metal", "reductant"];

/// A further solution, before it is known which components the bath has.
#[derive(Debug)]
pub(crate) struct FurtherSolution {
    name: String,
    amounts: Amounts,
}

impl FurtherSolution {
    /// Its name.
    pub(crate) fn name(&self) -> &str {
        &self.name
    }

    /// What it holds.
    pub(crate) fn amounts(&self) -> &Amounts {
        &self.amounts
    }

    fn table(&self) -> String {
        format!("replenisher.{}", self.name)
    }
}

/// The tables of `[replenisher]` beyond metal and reductant.
pub(crate) fn further_solutions(reader: &Reader, chemistry: &Chemistry) -> Result<Vec<FurtherSolution>> {
    let names = reader.document().children("replenisher").into_iter();
    let further = names.filter(|name| !OWN.contains(&name.as_str()));
    further
        .map(|name| {
            let amounts = read_amounts(reader, chemistry, &format!("replenisher.{name}"))?;
            Ok(FurtherSolution { name, amounts })
        })
        .collect()
}

/// Makes replenishers of the further solutions and tells what calls for them.
///
/// `totals` are those of the fresh bath, mol/L.
pub(crate) fn read_feeds(
    reader: &Reader,
    slots: &Slots,
    solutions: &[FurtherSolution],
    totals: &[f64],
    volume_l: f64,
    replenishers: &mut Vec<Replenisher>,
) -> Result<Vec<Feed>> {
    let mut feeds: Vec<Feed> = Vec::new();
    // These two are columns of every life.
    let mut taken: HashSet<String> = ["metal_replenisher", "reductant_replenisher"].map(str::to_owned).into();
    for solution in solutions {
        let (table, name) = (solution.table(), Feed::named(&solution.name));
        if !taken.insert(name.clone()) {
            let expected = format!("another name: there is a column {name}_ml_l already");
            return Err(reader.refuse(&table, &expected, None));
        }
        let mut replenisher = slots.replenisher(reader, &table, &solution.name, &solution.amounts, None)?;
        let held = held_component(reader, slots, &table, &replenisher, totals)?;
        replenisher.dose_unit = read_dose_unit(reader, &table, &replenisher, held, totals)?;
        let occasions = read_occasions(reader, &table, &replenisher, held, totals, volume_l)?;
        feeds.push(Feed { solution: replenishers.len(), name, occasions });
        replenishers.push(replenisher);
    }
    Ok(feeds)
}

/// Slot of the component that `holds` names.
fn held_component(
    reader: &Reader,
    slots: &Slots,
    table: &str,
    replenisher: &Replenisher,
    totals: &[f64],
) -> Result<Option<usize>> {
    let path = format!("{table}.holds");
    let Some(name) = reader.optional_text(&path)? else { return Ok(None) };
    let slot = slots.named(reader, &path, name)?;
    if totals[slot] <= 0.0 {
        return Err(reader.refuse(&path, "a component of the make-up", None));
    }
    if replenisher.per_litre[slot] <= totals[slot] {
        let expected = format!(
            "a component that this solution holds more of than the bath: {} mol/L",
            short(totals[slot])
        );
        return Err(reader.refuse(&path, &expected, None));
    }
    Ok(Some(slot))
}

/// `dose_unit` and `density_g_ml` of a solution that is for the component in `slot`, if for any.
pub(crate) fn read_dose_unit(
    reader: &Reader,
    table: &str,
    replenisher: &Replenisher,
    slot: Option<usize>,
    totals: &[f64],
) -> Result<DoseUnit> {
    let density = reader.optional(
        &format!("{table}.density_g_ml"),
        Bounds::between(0.5, 3.0, "a density between 0.5 and 3 g/mL"),
    )?;
    let path = format!("{table}.dose_unit");
    match reader.choice(&path, &[("ml_l", 0), ("pct_of_make_up", 1), ("g_l", 2)])? {
        1 => {
            let slot = slot.ok_or_else(|| {
                reader.refuse(&path, "a solution whose make-up is known: say what it holds", None)
            })?;
            Ok(DoseUnit::PercentOfMakeUp { per_litre: 100.0 * replenisher.per_litre[slot] / totals[slot] })
        }
        2 => density.map(|density_g_ml| DoseUnit::GramsPerLitre { density_g_ml }).ok_or_else(|| {
            reader.refuse(&format!("{table}.density_g_ml"), "the density, for a dose by weight", None)
        }),
        _ => Ok(DoseUnit::MillilitresPerLitre),
    }
}

/// What calls for a solution: `with_metal_ml_per_ml`, `holds`, `every_h`, `every_turnovers`, `every_m2`.
fn read_occasions(
    reader: &Reader,
    table: &str,
    replenisher: &Replenisher,
    held: Option<usize>,
    totals: &[f64],
    volume_l: f64,
) -> Result<Vec<Occasion>> {
    let bounded = |key: &str, bounds| reader.optional(&format!("{table}.{key}"), bounds);
    let number = |key: &str| bounded(key, Bounds::POSITIVE);
    let mut occasions = Vec::new();
    occasions.extend(number("with_metal_ml_per_ml")?.map(|per_litre| Occasion::WithMetal { per_litre }));
    occasions.extend(held.map(|slot| Occasion::Hold { slot, set_point_mol_l: totals[slot] }));
    let hours = bounded("every_h", Bounds::INTERVAL_H)?;
    let turnovers = bounded("every_turnovers", Bounds::INTERVAL_TURNOVERS)?;
    let area = number("every_m2")?;
    // Some thousands of doses in a turnover: beyond that a stop would never be done with dosing.
    const LEAST_M2_L: f64 = 1e-5;
    if area.is_some_and(|area| area < LEAST_M2_L * volume_l) {
        let expected = format!("at least {} m2 in a bath of {volume_l} L", LEAST_M2_L * volume_l);
        return Err(reader.refuse(&format!("{table}.every_m2"), &expected, None));
    }
    let repeats = hours.is_some() || turnovers.is_some() || area.is_some();
    let unit = replenisher.dose_unit;
    let dose_key = format!("{table}.dose_{}", unit.name());
    let dose = reader.optional(&dose_key, Bounds::POSITIVE)?;
    match dose {
        Some(dose) => {
            let volume_l = unit.volume_l(dose, volume_l);
            occasions.extend(hours.map(|h| Occasion::Clock { every_s: h * SECONDS_PER_HOUR, volume_l }));
            occasions.extend(turnovers.map(|every| Occasion::Turnovers { every, volume_l }));
            occasions.extend(area.map(|every_m2| Occasion::Area { every_m2, volume_l }));
        }
        None if repeats => return Err(reader.refuse(&dose_key, "the dose", None)),
        None => {}
    }
    if occasions.is_empty() || (dose.is_some() && !repeats) {
        let expected = "what calls for it: with_metal_ml_per_ml, holds, or a dose with every_h, every_turnovers \
                        or every_m2";
        return Err(reader.refuse(table, expected, None));
    }
    Ok(occasions)
}
