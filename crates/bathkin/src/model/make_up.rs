//! What is weighed out, and what sets the pH.

use crate::document::reader::{Bounds, Reader};
use crate::error::{Error, Result};
use crate::model::amounts::Amounts;
use crate::model::doubled::flag_doubled;
use crate::model::slurry::check_weight;
use crate::model::substance::{Name, Unclear, weighed};
use crate::solution::ph::{Adjustment, adjust_ph};
use crate::solution::{Chemistry, Equilibrium, Reagent, Speciation};

/// Sets the pH of the make-up.
pub(crate) const AT_MAKE_UP: &str = "operation.ph_reagent";
/// Holds the pH over the life; without it the other does.
pub(crate) const IN_THE_LIFE: &str = "ph_control.reagent";

/// The acid or base that set a pH.
#[derive(Debug, Clone, PartialEq, schemars::JsonSchema, serde::Serialize)]
pub struct PhAdjustment {
    /// The reagent.
    pub reagent: String,
    /// Amount, mol/L.
    pub mol_l: f64,
    /// Amount, g/L.
    pub g_l: f64,
}

/// What a table of reagents may say beside them.
const NOT_REAGENTS: [&str; 11] = [
    "name",
    "density_g_ml",
    "dose_unit",
    "dose_ml_l",
    "dose_pct_of_make_up",
    "dose_g_l",
    "with_metal_ml_per_ml",
    "holds",
    "every_h",
    "every_turnovers",
    "every_m2",
];

/// The reagents of a table: keys `<reagent>_g_l`, `<reagent>_mg_l` or `<reagent>_mol_l`.
pub(crate) fn read_amounts(reader: &Reader, chemistry: &Chemistry, table: &str) -> Result<Amounts> {
    let mut amounts = Amounts::default();
    let mut paths = Vec::new();
    for key in reader.document().children(table) {
        if NOT_REAGENTS.contains(&key.as_str()) {
            continue;
        }
        let path = format!("{table}.{key}");
        let Some(name) = Name::split(&key) else {
            reader.entry(&path);
            return Err(reader.refuse(
                &path,
                "a key that ends in its unit, <reagent>_g_l, <reagent>_mg_l, <reagent>_mol_l or <reagent>_mM",
                None,
            ));
        };
        let Some(amount) = reader.optional_slot(&path, Bounds::NOT_NEGATIVE)? else { continue };
        let reagent = weighed_out(reader, chemistry, &path, name, amount.value)?;
        let moles = amount * name.unit.mol_l(reagent.molar_mass_g_mol);
        if reader.is_changed(&path) {
            amounts.touched.extend(chemistry.purpose(reagent));
        }
        amounts.of.push((reagent.clone(), moles));
        paths.push(path);
    }
    if amounts.of.is_empty() {
        return Err(reader.refuse(table, "a table of reagents, <reagent>_g_l = number", None));
    }
    check_weight(reader, table, &amounts)?;
    flag_doubled(reader, chemistry, &paths, &amounts.of);
    Ok(amounts)
}

/// The reagent that a key of amounts names.
fn weighed_out<'a>(
    reader: &Reader,
    chemistry: &'a Chemistry,
    path: &str,
    name: Name,
    amount: f64,
) -> Result<&'a Reagent> {
    let unclear = |unclear: Unclear| reader.refuse(path, &unclear.expected, Some(unclear.hint));
    weighed(chemistry, name, amount)
        .ok_or_else(|| {
            let valid = chemistry.reagents.iter().map(|reagent| reagent.name.as_str());
            Error::unknown_name(reader.place(path), "reagent", name.substance, valid)
        })?
        .map_err(unclear)
}

/// The reagent a text names, if the text is there.
pub(crate) fn reagent_named<'a>(
    reader: &Reader,
    chemistry: &'a Chemistry,
    path: &str,
) -> Result<Option<&'a Reagent>> {
    reader.optional_text(path)?.map(|name| find_reagent(reader, chemistry, path, name)).transpose()
}

fn find_reagent<'a>(
    reader: &Reader,
    chemistry: &'a Chemistry,
    path: &str,
    name: &str,
) -> Result<&'a Reagent> {
    if let Some(reagent) = chemistry.reagent(name) {
        return Ok(reagent);
    }
    let hydrates = chemistry.hydrates_of(name);
    if hydrates.is_empty() {
        let valid = chemistry.reagents.iter().map(|reagent| reagent.name.as_str());
        return Err(Error::unknown_name(reader.place(path), "reagent", name, valid));
    }
    reader.entry(path);
    Err(reader.refuse(
        path,
        "a salt named with its water of crystallisation",
        Some(format!("say which {name}: {}", hydrates.join(", "))),
    ))
}

/// Sets the pH of the fresh liquid, for which `speciation` is solved then; returns the pH and what set it.
pub(crate) fn set_ph(
    reader: &Reader,
    equilibrium: &Equilibrium,
    totals: &mut [f64],
    reagent: Option<(&Reagent, Vec<f64>)>,
    wanted: Option<f64>,
    temperature_k: f64,
    speciation: &mut Speciation,
) -> Result<(f64, Option<PhAdjustment>)> {
    speciation.solve(equilibrium, totals, temperature_k)?;
    let natural = speciation.ph();
    let (Some(target), Some((reagent, gives))) = (wanted, reagent) else {
        return match wanted {
            None => Ok((natural, None)),
            Some(_) => Err(reader.refuse(AT_MAKE_UP, "the acid or base that sets operation.ph", None)),
        };
    };
    let unreachable = |reason: String| Error::PhNotReachable {
        place: reader.place("operation.ph"),
        target,
        reagent: reagent.title.clone(),
        reason,
    };
    let gives = &gives[..totals.len()];
    match adjust_ph(equilibrium, speciation, totals, gives, temperature_k, target)? {
        Adjustment::Amount(mol_l) => Ok((
            target,
            Some(PhAdjustment {
                reagent: reagent.name.clone(),
                mol_l,
                g_l: mol_l * reagent.molar_mass_g_mol,
            }),
        )),
        Adjustment::AlreadyPast(ph) => Err(unreachable(format!(
            "without any the pH is {ph:.2}, and this reagent moves it away from there"
        ))),
        Adjustment::OutOfReach(ph) => Err(unreachable(format!(
            "{:.0} mol/L leave it at pH {ph:.2}",
            crate::solution::ph::LARGEST_ADJUSTMENT_MOL_L
        ))),
    }
}
