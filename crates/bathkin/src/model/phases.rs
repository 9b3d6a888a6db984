//! Solids, couples and gases as the constants and recipes write them.

use crate::document::below;
use crate::document::reader::{Bounds, Reader};
use crate::error::Result;
use crate::model::fields::{balanced, component, formula, stoichiometry};
use crate::model::species::{Constants, constants_of, source, van_t_hoff};
use crate::solution::formula::add;
use crate::solution::{Chemistry, Couple, Elements, Formula, Gas, Solid};

/// Reads `[solids.*]`, `[couples.*]` and `[gases.*]` into a chemistry whose components and species
/// are there.
pub(crate) fn read_phases(reader: &Reader, chemistry: &mut Chemistry) -> Result<()> {
    for name in reader.document().children("solids") {
        let solid = one_solid(reader, chemistry, name)?;
        chemistry.solids.push(solid);
    }
    for name in reader.document().children("couples") {
        let couple = one_couple(reader, chemistry, name)?;
        chemistry.couples.push(couple);
    }
    for name in reader.document().children("gases") {
        let gas = one_gas(reader, chemistry, name)?;
        chemistry.gases.push(gas);
    }
    Ok(())
}

fn one_solid(reader: &Reader, chemistry: &Chemistry, name: String) -> Result<Solid> {
    let table = below("solids", &name);
    let formula = formula(reader, &table)?;
    let forms_from = stoichiometry(reader, chemistry, &below(&table, "forms_from"))?;
    balanced(reader, chemistry, &below(&table, "formula"), &forms_from, &formula)?;
    let Constants { constant, evidence, alternatives, group } = constants_of(reader, &table)?;
    Ok(Solid {
        title: title(reader, &table, &name)?,
        name,
        formula,
        forms_from,
        group,
        constant,
        evidence,
        alternatives,
    })
}

fn one_couple(reader: &Reader, chemistry: &Chemistry, name: String) -> Result<Couple> {
    let table = below("couples", &name);
    let path = |key: &str| below(&table, key);
    let forms_from = stoichiometry(reader, chemistry, &path("forms_from"))?;
    let electrons = reader.number(&path("electrons"), Bounds::POSITIVE)?;
    let mut pure =
        Formula { text: "the pure solids".to_owned(), elements: Elements::new(), charge: electrons };
    for (text, count) in reader.numbers_under(&path("pure"), Bounds::ANY)? {
        let key = path(&format!("pure.{text}"));
        let one =
            Formula::parse(&text).map_err(|what| reader.refuse(&key, "a formula = number", Some(what)))?;
        add(&mut pure.elements, &one.elements, count);
    }
    // The electrons on the left take the charge of the components away: what is pure has none.
    chemistry.check_balance(&forms_from, &pure).map_err(|what| {
        let expected = "a reduction whose elements and charge balance";
        reader.refuse(&path("electrons"), expected, Some(what))
    })?;
    let metal = reader.text(&path("metal"))?;
    Ok(Couple {
        title: title(reader, &table, &name)?,
        metal: component(reader, chemistry, &path("metal"), metal)?,
        constant: van_t_hoff(reader, &table)?,
        note: note(reader, &table)?,
        source: source(reader, &table)?,
        name,
        forms_from,
        electrons,
    })
}

fn one_gas(reader: &Reader, chemistry: &Chemistry, name: String) -> Result<Gas> {
    let table = below("gases", &name);
    let formula = formula(reader, &table)?;
    let forms_from = stoichiometry(reader, chemistry, &below(&table, "forms_from"))?;
    balanced(reader, chemistry, &below(&table, "formula"), &forms_from, &formula)?;
    Ok(Gas {
        title: title(reader, &table, &name)?,
        dissolved: reader.text(&below(&table, "dissolved"))?.to_owned(),
        henry: van_t_hoff(reader, &table)?,
        note: note(reader, &table)?,
        source: source(reader, &table)?,
        name,
        formula,
        forms_from,
    })
}

fn title(reader: &Reader, table: &str, name: &str) -> Result<String> {
    Ok(reader.optional_text(&below(table, "title"))?.unwrap_or(name).to_owned())
}

fn note(reader: &Reader, table: &str) -> Result<Option<String>> {
    Ok(reader.optional_text(&below(table, "note"))?.map(str::to_owned))
}
