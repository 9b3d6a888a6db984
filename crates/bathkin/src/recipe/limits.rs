//! Limits as a recipe writes them.

use super::reader::{Bounds, Reader};
use crate::error::{Error, Result};
use crate::life::{Limit, LimitKind};
use crate::solution::{Chemistry, Formula};
use crate::tank::{Observed, Tank};

const PERCENT: Bounds = Bounds::between(0.0, 100.0, "a percentage between 0 and 100");

/// The limits of `[limits]`.
pub(super) fn read_limits(
    reader: &Reader,
    chemistry: &Chemistry,
    tank: &Tank,
    fresh_totals: &[f64],
    by_product: &str,
) -> Result<Vec<Limit>> {
    let mut limits = Vec::new();
    let mut add = |name: &str, kind: LimitKind, bound: f64, path: &str| {
        limits.push(Limit { name: name.to_owned(), kind, bound, place: reader.place(path) });
    };
    let path = |key: &str| format!("limits.{key}");

    if let Some(bound) = reader.optional(&path("turnovers"), Bounds::POSITIVE)? {
        add("turnovers", LimitKind::Turnovers, bound, &path("turnovers"));
    }
    let name = format!("{by_product}_mol_l");
    if let Some(bound) = reader.optional(&path(&name), Bounds::NOT_NEGATIVE)? {
        add(&name, LimitKind::ByProduct, bound, &path(&name));
    }
    // Grams of a by-product mean nothing until it is said as which substance.
    let prefix = format!("{by_product}_g_l_as_");
    for key in reader.document().children("limits") {
        if let Some(substance) = key.strip_prefix(&prefix) {
            let grams = reader.number(&path(&key), Bounds::NOT_NEGATIVE)?;
            let molar_mass = by_product_molar_mass(reader, chemistry, &path(&key), by_product, substance)?;
            add(&name, LimitKind::ByProduct, grams / molar_mass, &path(&key));
        }
    }
    let metal_g_l = tank.metal_g_l(tank.set_points.metal_mol_l);
    if let Some(bound) = reader.optional(&path("metal_g_l"), Bounds::NOT_NEGATIVE)? {
        add("metal_g_l", LimitKind::Metal, bound, &path("metal_g_l"));
    }
    if let Some(percent) = reader.optional(&path("metal_pct_of_set_point"), PERCENT)? {
        add("metal_g_l", LimitKind::Metal, metal_g_l * percent / 100.0, &path("metal_pct_of_set_point"));
    }
    if let Some(bound) = reader.optional(&path("deposition_um_h"), Bounds::NOT_NEGATIVE)? {
        add("deposition_um_h", LimitKind::Deposition, bound, &path("deposition_um_h"));
    }
    if let Some(percent) = reader.optional(&path("deposition_pct_of_fresh"), PERCENT)? {
        let mut observed = Observed::new(tank);
        observed.totals_mol_l.copy_from_slice(fresh_totals);
        observed.update(tank, &mut tank.equilibrium.speciation())?;
        let fresh_um_h = observed.growth_um_s * crate::constants::SECONDS_PER_HOUR;
        add(
            "deposition_um_h",
            LimitKind::Deposition,
            fresh_um_h * percent / 100.0,
            &path("deposition_pct_of_fresh"),
        );
    }
    for (suffix, kind) in [("min", LimitKind::AlloyLow), ("max", LimitKind::AlloyHigh)] {
        let name = format!("{}_{suffix}", tank.alloy_column);
        if let Some(bound) = reader.optional(&path(&name), PERCENT)? {
            add(&name, kind, bound, &path(&name));
        }
    }
    Ok(limits)
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
    const KNOWN: [(&str, &str, &str); 6] = [
        ("orthophosphite", "hpo3", "HPO3-2"),
        ("orthophosphite", "h2po3", "H2PO3-"),
        ("orthophosphite", "h3po3", "H3PO3"),
        ("orthophosphite", "nah2po3", "NaH2PO3"),
        ("orthophosphite", "na2hpo3", "Na2HPO3"),
        ("orthophosphite", "na2hpo3_5h2o", "Na2HPO3.5H2O"),
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
