//! Limits as a recipe writes them.

use super::document::{Entry, Value};
use super::reader::{Bounds, Reader};
use crate::error::{Error, Result};
use crate::life::{Limit, LimitKind};
use crate::solution::{Chemistry, Formula};
use crate::tank::Tank;

const PERCENT: Bounds = Bounds::between(0.0, 100.0, "a percentage between 0 and 100");

/// The limits of `[limits]`.
pub(super) fn read_limits(
    reader: &Reader,
    chemistry: &Chemistry,
    tank: &Tank,
    fresh_deposition_um_h: f64,
    by_product: &str,
) -> Result<Vec<Limit>> {
    let mut limits = Limits { reader, found: Vec::new() };
    let path = |key: &str| format!("limits.{key}");

    limits.plain("turnovers", LimitKind::Turnovers, &path("turnovers"), Bounds::POSITIVE, 1.0)?;
    let name = format!("{by_product}_mol_l");
    limits.plain(&name, LimitKind::ByProduct, &path(&name), Bounds::NOT_NEGATIVE, 1.0)?;
    // Grams of a by-product mean nothing until it is said as which substance.
    let prefix = format!("{by_product}_g_l_as_");
    for key in reader.document().children("limits") {
        if let Some(substance) = key.strip_prefix(&prefix) {
            let molar_mass = by_product_molar_mass(reader, chemistry, &path(&key), by_product, substance)?;
            limits.plain(&name, LimitKind::ByProduct, &path(&key), Bounds::NOT_NEGATIVE, 1.0 / molar_mass)?;
        }
    }
    const PH: Bounds = Bounds::between(0.0, 14.0, "a pH between 0 and 14");
    limits.plain("ph_min", LimitKind::Ph, &path("ph_min"), PH, 1.0)?;
    const GRAVITY: Bounds = Bounds::between(1.0, 3.0, "a specific gravity between 1 and 3");
    limits.plain("specific_gravity", LimitKind::SpecificGravity, &path("specific_gravity"), GRAVITY, 1.0)?;
    limits.saturation(tank)?;
    limits.plain("metal_g_l", LimitKind::Metal, &path("metal_g_l"), Bounds::NOT_NEGATIVE, 1.0)?;
    let percent_of_set_point = tank.metal_g_l(tank.set_points.metal_mol_l) / 100.0;
    limits.plain(
        "metal_g_l",
        LimitKind::Metal,
        &path("metal_pct_of_set_point"),
        PERCENT,
        percent_of_set_point,
    )?;
    limits.plain(
        "deposition_um_h",
        LimitKind::Deposition,
        &path("deposition_um_h"),
        Bounds::NOT_NEGATIVE,
        1.0,
    )?;
    let percent_of_fresh = fresh_deposition_um_h / 100.0;
    limits.plain(
        "deposition_um_h",
        LimitKind::Deposition,
        &path("deposition_pct_of_fresh"),
        PERCENT,
        percent_of_fresh,
    )?;
    if let Some(alloy) = &tank.alloy_column {
        for (suffix, kind) in [("min", LimitKind::AlloyLow), ("max", LimitKind::AlloyHigh)] {
            let name = format!("{alloy}_{suffix}");
            limits.plain(&name, kind, &path(&name), PERCENT, 1.0)?;
        }
    }
    Ok(limits.settled())
}

struct Limits<'a> {
    reader: &'a Reader<'a>,
    found: Vec<Limit>,
}

impl Limits<'_> {
    /// A limit at a path, if there and not `"off"`, times a factor to the unit of its name.
    fn plain(&mut self, name: &str, kind: LimitKind, path: &str, bounds: Bounds, factor: f64) -> Result<()> {
        let off =
            matches!(self.reader.entry(path), Some(Entry { value: Value::Text(text), .. }) if text == "off");
        if off {
            return Ok(());
        }
        if let Some(number) = self.reader.optional(path, bounds)? {
            self.found.push(Limit {
                name: name.to_owned(),
                path: path.to_owned(),
                kind,
                bound: number * factor,
                place: self.reader.place(path),
            });
        }
        Ok(())
    }

    /// Limits on the saturation index of solids this bath can form.
    fn saturation(&mut self, tank: &Tank) -> Result<()> {
        const INDEX: Bounds = Bounds::between(-50.0, 50.0, "a saturation index between -50 and 50");
        for key in self.reader.document().children("limits") {
            let Some(name) = key.strip_prefix("saturation_index_") else { continue };
            let path = format!("limits.{key}");
            let solid = tank.solids.iter().position(|solid| solid.name == name).ok_or_else(|| {
                let valid = tank.solids.iter().map(|solid| solid.name.as_str());
                Error::unknown_name(self.reader.place(&path), "solid of this bath", name, valid)
            })?;
            self.plain(&key, LimitKind::SaturationIndex(solid), &path, INDEX, 1.0)?;
        }
        Ok(())
    }

    /// A limit set from outside the file takes the place of the file's limit on the same reading.
    fn settled(self) -> Vec<Limit> {
        let from_outside = |limit: &Limit| limit.place.line.is_none();
        let replaced = |limit: &Limit| {
            !from_outside(limit)
                && self.found.iter().any(|other| other.name == limit.name && from_outside(other))
        };
        self.found.iter().filter(|limit| !replaced(limit)).cloned().collect()
    }
}

/// Grams of `substance` per mole of by-product: from a formula key such as `h2po3`, `na2hpo3`.
fn by_product_molar_mass(
    reader: &Reader,
    chemistry: &Chemistry,
    path: &str,
    by_product: &str,
    substance: &str,
) -> Result<f64> {
    // Formulas in keys are written small, as names are; each stands for one mole of by-product.
    const KNOWN: [(&str, &str, &str); 9] = [
        ("orthophosphite", "hpo3", "HPO3-2"),
        ("orthophosphite", "h2po3", "H2PO3-"),
        ("orthophosphite", "h3po3", "H3PO3"),
        ("orthophosphite", "nah2po3", "NaH2PO3"),
        ("orthophosphite", "na2hpo3", "Na2HPO3"),
        ("orthophosphite", "na2hpo3_5h2o", "Na2HPO3.5H2O"),
        ("formate", "hcoo", "CHO2-"),
        ("formate", "hcooh", "CH2O2"),
        ("formate", "hcoona", "NaCHO2"),
    ];
    let known = || KNOWN.iter().filter(|(of, ..)| *of == by_product);
    let formula =
        known().find(|(_, key, _)| *key == substance).map(|(.., formula)| *formula).ok_or_else(|| {
            Error::unknown_name(
                reader.place(path),
                "form of the by-product",
                substance,
                known().map(|(_, key, _)| *key),
            )
        })?;
    Formula::parse(formula)
        .and_then(|formula| formula.molar_mass_g_mol(&chemistry.atomic_weights))
        .map_err(|what| reader.refuse(path, "a substance with a molar mass", Some(what)))
}
