//! Factors of a rate law as a recipe writes them, one table or number each.

use crate::constants::ZERO_CELSIUS_K;
use crate::document::Dependence;
use crate::document::reader::{Bounds, Reader, Role};
use crate::document::slot::Slot;
use crate::error::Result;
use crate::model::slots::Slots;
use crate::model::traces::Traces;
use crate::surface::{
    Accelerator, Adsorbate, Adsorption, Arrhenius, Concentration, Factor, Inhibition, InhibitionForm,
    IonicStrength, Order, PhOrder, Saturation, Stabilizer, Suppression,
};

const FORMS: [(&str, InhibitionForm); 2] =
    [("exponential", InhibitionForm::Exponential), ("hyperbolic", InhibitionForm::Hyperbolic)];
const EXPONENT: Bounds =
    Bounds::between(-5.0, 5.0, "an exponent between -5 and 5").slope(Dependence::Exponent);
pub(crate) const REFERENCE_TEMPERATURE: Bounds =
    Bounds::between(0.0, 100.0, "a reference temperature between 0 and 100 degC").linear();
pub(crate) const REFERENCE_PH: Bounds = Bounds::between(0.0, 14.0, "a pH between 0 and 14").linear();
const GAIN: Bounds = Bounds::between(0.0, 100.0, "a gain between 0 and 100");

/// The factors of the law in a table.
pub(crate) fn read_factors(reader: &Reader, slots: &Slots, table: &str) -> Result<Vec<Factor<Slot>>> {
    let path = |key: &str| format!("{table}.{key}");
    let mut factors = Vec::new();
    let reference_or = |path: &str, bounds, default| {
        reader.with_role(Role::Reference, || reader.number_or(path, bounds, default))
    };
    pass_over_what_is_off(reader, table);
    if let Some(energy) = reader.optional_slot(
        &path("activation_energy_kj_mol"),
        Bounds::between(-300.0, 300.0, "an activation energy between -300 and 300 kJ/mol (kJ, not J)")
            .slope(Dependence::Temperature),
    )? {
        let reference = reader.reference(&path("reference_temperature_c"), REFERENCE_TEMPERATURE)?;
        factors.push(Factor::Arrhenius(Arrhenius {
            activation_energy_kj_mol: energy,
            reference_temperature_k: reference + ZERO_CELSIUS_K,
        }));
    }
    if let Some(decades_per_ph) = reader.optional_slot(
        &path("ph_order"),
        Bounds::between(-5.0, 5.0, "decades per pH between -5 and 5").slope(Dependence::Ph),
    )? {
        let reference_ph = reader.reference(&path("reference_ph"), REFERENCE_PH)?;
        factors.push(Factor::PhOrder(PhOrder { decades_per_ph, reference_ph }));
    }
    for (name, order) in reader.slots_under(
        &path("order"),
        Bounds::between(-5.0, 5.0, "an order between -5 and 5").slope(Dependence::Order),
    )? {
        let of = concentration(reader, slots, &path(&format!("order.{name}")), &path("basis"), &name)?;
        let (reference, other) = references(slots, table, &name, of);
        reader.entry(&other);
        let reference_mol_l =
            reader.with_role(Role::Reference, || reader.slot(&reference, Bounds::POSITIVE))?;
        // The range of a reference concentration is that of the order.
        let range = reader.document().get(&reference).and_then(|entry| entry.range);
        let valid_from_mol_l = range.map(|(low, _)| low).filter(|low| *low > 0.0);
        factors.push(Factor::Order(Order { of, order, reference_mol_l, valid_from_mol_l }));
    }
    for name in reader.document().children(&path("saturation")) {
        let inner = |key: &str| path(&format!("saturation.{name}.{key}"));
        if reader.is_off(&inner("constant_mol_l")) {
            continue;
        }
        factors.push(Factor::Saturation(Saturation {
            of: concentration(reader, slots, &inner("constant_mol_l"), &path("basis"), &name)?,
            constant_mol_l: reader.slot(&inner("constant_mol_l"), Bounds::POSITIVE)?,
            reference_mol_l: reference_or(&inner("reference_mol_l"), Bounds::POSITIVE, f64::INFINITY)?,
        }));
    }
    for name in reader.document().children(&path("inhibition")) {
        let inner = |key: &str| path(&format!("inhibition.{name}.{key}"));
        if reader.is_off(&inner("constant_mol_l")) {
            continue;
        }
        let of = concentration(reader, slots, &inner("constant_mol_l"), &path("basis"), &name)?;
        factors.push(Factor::Inhibition(Inhibition {
            of,
            form: reader.choice(&inner("form"), &FORMS)?,
            constant_mol_l: reader.slot(&inner("constant_mol_l"), Bounds::POSITIVE)?,
            exponent: reader.slot_or(&inner("exponent"), EXPONENT, 1.0)?,
        }));
    }
    read_strength(reader, table, &mut factors)?;
    read_adsorption(reader, slots, table, &mut factors)?;
    read_traces(reader, slots, table, &mut factors)?;
    Ok(factors)
}

/// The number of a table without which its factor says nothing: `"off"` there switches the factor off.
const SWITCHES: [&str; 3] = ["constant_mol_l", "constant_mg_l", "gain"];

/// What belongs to a factor that is `"off"` is not asked for.
fn pass_over_what_is_off(reader: &Reader, table: &str) {
    let path = |key: &str| format!("{table}.{key}");
    for (key, needs) in
        [("activation_energy_kj_mol", "reference_temperature_c"), ("ph_order", "reference_ph")]
    {
        if reader.is_off(&path(key)) {
            reader.entry(&path(needs));
        }
    }
    let document = reader.document();
    for name in document.children(&path("order")) {
        if reader.is_off(&path(&format!("order.{name}"))) {
            reader.entry(&path(&format!("reference_mol_l.{name}")));
            reader.entry(&path(&format!("reference_free_mol_l.{name}")));
            reader.entry(&path(&format!("basis.{name}")));
        }
    }
    for kind in ["saturation", "inhibition", "stabilizer", "accelerator", "suppression"] {
        for name in document.children(&path(kind)) {
            let inner = path(&format!("{kind}.{name}"));
            if SWITCHES.iter().any(|key| reader.is_off(&format!("{inner}.{key}"))) {
                reader.pass_over(&inner);
                reader.entry(&path(&format!("basis.{name}")));
            }
        }
    }
    if reader.is_off(&path("ionic_strength.constant_mol_l")) {
        reader.pass_over(&path("ionic_strength"));
    }
}

/// `[<law>.ionic_strength]`.
fn read_strength(reader: &Reader, table: &str, factors: &mut Vec<Factor<Slot>>) -> Result<()> {
    let inner = |key: &str| format!("{table}.ionic_strength.{key}");
    let none = reader.document().children(&format!("{table}.ionic_strength")).is_empty();
    if none || reader.is_off(&inner("constant_mol_l")) {
        return Ok(());
    }
    factors.push(Factor::IonicStrength(IonicStrength {
        form: reader.choice(&inner("form"), &FORMS)?,
        constant_mol_l: reader.slot(&inner("constant_mol_l"), Bounds::POSITIVE)?,
        reference_mol_l: reader.with_role(Role::Reference, || {
            reader.number_or(&inner("reference_mol_l"), Bounds::NOT_NEGATIVE, 0.0)
        })?,
        exponent: reader.slot_or(&inner("exponent"), EXPONENT, 1.0)?,
    }));
    Ok(())
}

/// `[<law>.adsorption]`, with `[<law>.adsorption.adsorbate.<name>]` for each that takes sites.
fn read_adsorption(
    reader: &Reader,
    slots: &Slots,
    table: &str,
    factors: &mut Vec<Factor<Slot>>,
) -> Result<()> {
    const SITES: Bounds = Bounds::between(0.0, 10.0, "a number of sites between 0 and 10");
    const POWER: Bounds = Bounds::between(1.0, 10.0, "a power between 1 and 10");
    let of_table = format!("{table}.adsorption");
    if reader.document().children(&of_table).is_empty() {
        return Ok(());
    }
    let adsorbate = |name: String| {
        let inner = |key: &str| format!("{of_table}.adsorbate.{name}.{key}");
        let path = inner("constant_l_mol");
        Ok(Adsorbate {
            // Its own basis: nickel may take sites in any form and discharge as the free ion.
            of: concentration_by(reader, slots, &path, &inner("basis"), &name)?,
            constant_l_mol: reader.slot(&path, Bounds::NOT_NEGATIVE)?,
            power: reader.slot_or(&inner("power"), POWER, 1.0)?,
            reference_mol_l: reader.reference(&inner("reference_mol_l"), Bounds::NOT_NEGATIVE)?,
        })
    };
    let names = reader.document().children(&format!("{of_table}.adsorbate"));
    factors.push(Factor::Adsorption(Adsorption {
        sites: reader.slot(&format!("{of_table}.sites"), SITES)?,
        adsorbates: names.into_iter().map(adsorbate).collect::<Result<_>>()?,
    }));
    Ok(())
}

/// `[<law>.stabilizer.<name>]`, `[<law>.accelerator.<name>]` and `[<law>.suppression.<name>]`.
fn read_traces(reader: &Reader, slots: &Slots, table: &str, factors: &mut Vec<Factor<Slot>>) -> Result<()> {
    const STEEPNESS: Bounds = Bounds::between(1.01, 50.0, "a steepness between 1.01 and 50");
    type Read = fn(&Traces, Concentration) -> Result<Factor<Slot>>;
    let kinds: [(&str, Read); 3] = [
        ("stabilizer", |of_table, of| {
            let set_point_mol_l = of_table.plain("set_point", Bounds::NOT_NEGATIVE)?;
            let stop_mol_l = of_table.or("stop", Bounds::POSITIVE, f64::INFINITY)?;
            if set_point_mol_l >= stop_mol_l {
                return Err(of_table.reader.refuse(of_table.table, "a set-point below the stop", None));
            }
            Ok(Factor::Stabilizer(Stabilizer {
                of,
                gain: of_table.reader.slot(&format!("{}.gain", of_table.table), GAIN)?,
                trace_mol_l: of_table.required("trace", Bounds::POSITIVE)?,
                critical_mol_l: of_table.required("critical", Bounds::POSITIVE)?,
                steepness: of_table.reader.slot(&format!("{}.steepness", of_table.table), STEEPNESS)?,
                stop_mol_l,
                set_point_mol_l,
            }))
        }),
        ("accelerator", |of_table, of| {
            Ok(Factor::Accelerator(Accelerator {
                of,
                gain: of_table.reader.slot(&format!("{}.gain", of_table.table), GAIN)?,
                constant_mol_l: of_table.required("constant", Bounds::POSITIVE)?,
                reference_mol_l: of_table
                    .reference(|| of_table.or("reference", Bounds::NOT_NEGATIVE, 0.0))?,
            }))
        }),
        ("suppression", |of_table, of| {
            Ok(Factor::Suppression(Suppression {
                of,
                constant_mol_l: of_table.required("constant", Bounds::POSITIVE)?,
                reference_mol_l: of_table.reference(|| of_table.plain("reference", Bounds::NOT_NEGATIVE))?,
            }))
        }),
    ];
    for (kind, read) in kinds {
        for name in reader.document().children(&format!("{table}.{kind}")) {
            let inner = format!("{table}.{kind}.{name}");
            if SWITCHES.iter().any(|key| reader.is_off(&format!("{inner}.{key}"))) {
                continue;
            }
            let of = concentration(reader, slots, &inner, &format!("{table}.basis"), &name)?;
            factors.push(read(&Traces { reader, slots, table: &inner, name: &name }, of)?);
        }
    }
    Ok(())
}

/// Where the reference of an order stands, and where that of its other basis does: a component by its free
/// form has a reference of its own, so that a change of basis leaves the rate of the reference state.
fn references(slots: &Slots, table: &str, name: &str, of: Concentration) -> (String, String) {
    let total = format!("{table}.reference_mol_l.{name}");
    let free = format!("{table}.reference_free_mol_l.{name}");
    let is_free = matches!(of, Concentration::Dissolved(at) if at < slots.names.len());
    if is_free { (free, total) } else { (total, free) }
}

/// The concentration a law names: a component (`basis.<name>` says whether in total or free) or any
/// other dissolved substance of the bath.
pub(crate) fn concentration(
    reader: &Reader,
    slots: &Slots,
    path: &str,
    basis: &str,
    name: &str,
) -> Result<Concentration> {
    concentration_by(reader, slots, path, &format!("{basis}.{name}"), name)
}

/// The same, `basis_path` being the whole path of its basis.
fn concentration_by(
    reader: &Reader,
    slots: &Slots,
    path: &str,
    basis_path: &str,
    name: &str,
) -> Result<Concentration> {
    if let Some(component) = slots.names.iter().position(|known| known == name) {
        let total = reader.choice(basis_path, &[("total", true), ("free", false)])?;
        return Ok(if total { Concentration::Total(component) } else { Concentration::Dissolved(component) });
    }
    slots.dissolved(reader, path, name).map(Concentration::Dissolved)
}
