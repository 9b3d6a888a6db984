//! Prices as a recipe writes them.

use std::collections::HashMap;

use crate::constants::ZERO_CELSIUS_K;
use crate::document::reader::{Bounds, Reader};
use crate::error::{Error, Result};
use crate::model::amounts::Amounts;
use crate::model::events::MAKE_UP;
use crate::model::make_up::PhAdjustment;
use crate::solution::Chemistry;
use crate::tank::{Cost, METAL, PH, PricedFeed, Quantity, REDUCTANT, Tank};

const REAGENTS: &str = "cost.reagent_per_kg";
const GRAMS_PER_KG: f64 = 1e3;
const LITRES_PER_ML: f64 = 1e-3;

/// The prices of `[cost]`, resolved against the bath; `None` when the recipe has none.
///
/// A solution costs what `cost.replenisher_per_l` says, or else what is in it. A reagent that is weighed out
/// and has no price costs nothing, and is listed: a cost that leaves out a salt is too kind and says so.
pub(crate) fn read_cost(
    reader: &Reader,
    chemistry: &Chemistry,
    tank: &Tank,
    make_up: &Amounts,
    adjustment: Option<&PhAdjustment>,
    solutions: [&Amounts; 3],
    further: &[(&str, &Amounts)],
) -> Result<Option<Cost>> {
    if reader.document().children("cost").is_empty() {
        return Ok(None);
    }
    for name in reader.document().children(REAGENTS) {
        if chemistry.reagent(&name).is_none() {
            let place = reader.place(&format!("{REAGENTS}.{name}"));
            let valid = chemistry.reagents.iter().map(|reagent| reagent.name.as_str());
            return Err(Error::unknown_name(place, "reagent", &name, valid));
        }
        price(reader, &format!("{REAGENTS}.{name}"))?;
    }
    let or_zero = |key: &str| Ok::<f64, Error>(price(reader, &format!("cost.{key}"))?.unwrap_or(0.0));
    let water_per_l = or_zero("water_per_l")?;
    let made_up = make_up.grams().into_iter().chain(adjustment.map(|it| (it.reagent.clone(), it.g_l)));
    let mut unpriced = Vec::new();
    let make_up_per_l = water_per_l + reagents(reader, made_up, &mut unpriced)?;
    let mut per_l = |name: &str, amounts: Option<&Amounts>| -> Result<f64> {
        let by_litre = price(reader, &format!("cost.replenisher_per_l.{name}"))?;
        match (by_litre, amounts) {
            (Some(price), _) => Ok(price),
            (None, Some(amounts)) => reagents(reader, amounts.grams().into_iter(), &mut unpriced),
            (None, None) if name == MAKE_UP => Ok(make_up_per_l),
            // What is carried in comes from the rinse before.
            (None, None) => Ok(0.0),
        }
    };
    let own = [
        ("metal", METAL, LITRES_PER_ML),
        ("reductant", REDUCTANT, LITRES_PER_ML),
        ("ph_corrector", PH, 1.0 / tank.operation.ph_corrector_g_l),
    ];
    let mut feeds = Vec::new();
    for ((name, solution, litres_per_bath_litre), amounts) in own.into_iter().zip(solutions) {
        let per_l = per_l(name, Some(amounts))?;
        let fed = Quantity::fed(solution);
        feeds.push(PricedFeed { fed, litres_per_bath_litre, per_l, warmed: true });
    }
    // Of several by one name the first is meant.
    let known: HashMap<&str, &Amounts> = further.iter().rev().copied().collect();
    for (solution, _) in tank.operation.further_solutions() {
        let name = tank.operation.replenishers[solution].name.as_str();
        let per_l = per_l(name, known.get(name).copied())?;
        feeds.push(PricedFeed {
            fed: Quantity::fed(solution),
            litres_per_bath_litre: LITRES_PER_ML,
            per_l,
            warmed: false,
        });
    }
    const COLD: Bounds = Bounds::between(0.0, 100.0, "a temperature between 0 and 100 degC").linear();
    const ROOM_C: f64 = 20.0;
    let cold_k = ZERO_CELSIUS_K + reader.number_or("cost.cold_temperature_c", COLD, ROOM_C)?;
    Ok(Some(Cost {
        currency: reader.text("cost.currency")?.to_owned(),
        make_up: make_up_per_l * tank.plant.volume_l,
        feeds,
        energy_per_kwh: or_zero("energy_per_kwh")?,
        warmed_by_k: (tank.operation.temperature_k - cold_k).max(0.0),
        heat_loss_kw: or_zero("heat_loss_kw")?,
        heat_loss_idle_kw: or_zero("heat_loss_idle_kw")?,
        waste_per_l: or_zero("waste_per_l")?,
        waste_per_kg_metal: or_zero("waste_per_kg_metal")?,
        line_per_h: or_zero("line_per_h")?,
        labour_per_dump: or_zero("labour_per_dump")?,
        downtime_h_per_dump: or_zero("downtime_h_per_dump")?,
        volume_l: tank.plant.volume_l,
        unpriced,
    }))
}

fn price(reader: &Reader, path: &str) -> Result<Option<f64>> {
    reader.optional(path, Bounds::NOT_NEGATIVE)
}

/// Price of reagents given in grams; those without a price are added to the list.
fn reagents(
    reader: &Reader,
    grams: impl Iterator<Item = (String, f64)>,
    unpriced: &mut Vec<String>,
) -> Result<f64> {
    let mut sum = 0.0;
    for (name, grams) in grams.filter(|(_, grams)| *grams != 0.0) {
        match price(reader, &format!("{REAGENTS}.{name}"))? {
            Some(per_kg) => sum += per_kg * grams / GRAMS_PER_KG,
            None if unpriced.contains(&name) => {}
            None => unpriced.push(name),
        }
    }
    Ok(sum)
}
