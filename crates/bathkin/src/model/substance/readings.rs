//! What an unclear amount may mean, with the number of each reading.

use crate::model::substance::forms::forms;
use crate::model::substance::unit::Unit;
use crate::model::substance::{Unclear, bought_for};
use crate::solution::{Chemistry, Reagent};
use bathkin_numerics::short;

/// One reading of an amount.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The name that says it: `sodium_hypophosphite_monohydrate_g_l`.
    pub name: String,
    /// Moles per litre of the component it then is.
    pub mol_l: f64,
}

/// Most readings in a message.
const MOST: usize = 5;

/// The readings of so many grams (or milligrams) of a component: as itself, and as each reagent bought for it.
pub fn readings(
    chemistry: &Chemistry,
    own: &[&str],
    component: usize,
    unit: Unit,
    value: f64,
) -> Vec<Reading> {
    let substance = &chemistry.components[component].name;
    let ending = unit.ending();
    let mut found = Vec::new();
    for form in forms(chemistry, own, component) {
        let name = match (&form.reagent, found.is_empty()) {
            (Some(reagent), _) => format!("{reagent}{ending}"),
            (None, true) => format!("{substance}{ending}_as_{}", form.key),
            (None, false) => continue,
        };
        found.push(Reading { name, mol_l: value * unit.mol_l(form.g_mol) });
    }
    // A salt whose formula has parentheses has no form of its own, but a name.
    for reagent in &chemistry.reagents {
        let name = format!("{}{ending}", reagent.name);
        let moles = bought_for(chemistry, own, reagent).filter(|(bought, _)| *bought == component);
        if let Some((_, moles)) = moles.filter(|_| found.iter().all(|known| known.name != name)) {
            found.push(Reading { name, mol_l: value * moles * unit.mol_l(reagent.molar_mass_g_mol) });
        }
    }
    found
}

/// Grams of a component that is sold as a salt, or a form of it that is not known.
pub(crate) fn unclear(
    chemistry: &Chemistry,
    component: usize,
    own: &[&str],
    (substance, unit, form): (&str, Unit, Option<&str>),
    value: f64,
) -> Unclear {
    let of = forms(chemistry, own, component);
    let known: Vec<String> = of.iter().map(|form| format!("_as_{}", form.key)).collect();
    if !unit.is_mass() {
        let expected = format!("{substance}{} without what it is weighed as", unit.ending());
        return Unclear { expected, hint: "moles are moles in any form".to_owned() };
    }
    if let Some(form) = form {
        let expected = format!("a form of {substance}: {}", known.join(", "));
        return Unclear { expected, hint: format!("{form} is none of them") };
    }
    let read = readings(chemistry, own, component, unit, value);
    let weight = if unit == Unit::Grams { "grams" } else { "milligrams" };
    Unclear {
        expected: format!("the salt by name, or {substance}_mol_l"),
        hint: format!("{weight} of {substance} as what? {}", listed(&read, unit, value)),
    }
}

/// A reagent that is bought for no one component.
pub(crate) fn of_several(chemistry: &Chemistry, reagent: &Reagent) -> Unclear {
    let brought = reagent.gives.iter().map(|(index, _)| chemistry.components[*index].name.as_str());
    let named: Vec<String> = brought
        .filter(|name| !crate::model::substance::is_solvent(name))
        .map(|name| format!("{name}_mol_l"))
        .collect();
    let brings = if named.is_empty() { "acid or base alone".to_owned() } else { named.join(", ") };
    Unclear {
        expected: "a reagent that is bought for one component".to_owned(),
        hint: format!("{} brings {brings}", reagent.title),
    }
}

/// A salt without its water of crystallisation.
pub(crate) fn of_hydrates(chemistry: &Chemistry, bare: &str, unit: Unit, value: f64) -> Unclear {
    let named = chemistry.reagents.iter().filter(|known| known.hydrate_of.as_deref() == Some(bare));
    let read: Vec<Reading> = named
        .map(|reagent| Reading {
            name: format!("{}{}", reagent.name, unit.ending()),
            mol_l: value * unit.mol_l(reagent.molar_mass_g_mol),
        })
        .collect();
    Unclear {
        expected: "a salt named with its water of crystallisation".to_owned(),
        hint: format!("say which {bare}: {}", listed(&read, unit, value)),
    }
}

/// "22 g/L is 0.3386 mol/L as ..., 0.2076 mol/L as ...".
pub(crate) fn listed(readings: &[Reading], unit: Unit, value: f64) -> String {
    let shown: Vec<String> = readings
        .iter()
        .take(MOST)
        .map(|reading| format!("{} mol/L as {}", figures(reading.mol_l), reading.name))
        .collect();
    let more = if readings.len() > MOST { "; `bathkin reagents` lists them all" } else { "" };
    format!("{} {} is {}{more}", figures(value), unit.text(), shown.join(", "))
}

/// A number with four significant digits.
pub(crate) fn figures(value: f64) -> String {
    short(format!("{value:.3e}").parse().unwrap_or(value))
}
