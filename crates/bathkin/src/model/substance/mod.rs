//! What a name with a unit says of a bath: the one rule for recipes, `--set`, analyses, logs, runs and limits.
//!
//! | name | says |
//! | --- | --- |
//! | `hypophosphite_mol_l` | the component, in moles; `_mmol_l` and `_mM` are thousandths |
//! | `nickel_g_l`, `thiourea_mg_l` | an element as itself, or a molecule that is sold under its name |
//! | `sodium_hypophosphite_monohydrate_g_l` | a reagent, for the component it is bought for |
//! | `orthophosphite_g_l_as_na2hpo3` | a component weighed as a formula in small letters |
//!
//! Grams of an ion that is sold as a salt (`hypophosphite_g_l`) say nothing until the salt is named: they are
//! refused with the numbers of each reading, and so is a salt without its water of crystallisation.

mod as_said;
mod forms;
mod list;
mod of_bath;
mod readings;
mod unit;
mod weighed;

use crate::solution::chemistry::{PROTON, WATER};
use crate::solution::{Chemistry, Reagent};

pub use forms::Form;
pub use list::{Reagents, Substance, reagents};
pub use of_bath::OF_SET_POINT;
pub(crate) use readings::figures;
pub use readings::{Reading, readings};
pub use unit::{Name, Unit};
pub(crate) use weighed::weighed;

use forms::form;

/// So much of a component, as a name says it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Content {
    /// Index of the component in the chemistry.
    pub component: usize,
    /// Moles per litre of it for one in the unit of the name.
    pub mol_l: f64,
}

/// Why a name says nothing definite.
#[derive(Debug, Clone, PartialEq)]
pub struct Unclear {
    /// What would have been accepted.
    pub expected: String,
    /// What it may mean, with the numbers of each reading.
    pub hint: String,
}

/// What a name says of a bath; `None` for a name that is of no substance.
///
/// `own` are the metal, the reductant and the by-product of the bath: they may be called so, and a salt that
/// brings two components stands for the first of them. `value` is the number at hand, for the readings.
///
/// ```
/// use bathkin::model::database::built_in;
/// use bathkin::model::substance::content;
///
/// let (_, chemistry) = built_in()?;
/// let own = ["nickel", "hypophosphite", "orthophosphite"];
/// let salt = content(chemistry, &own, "sodium_hypophosphite_monohydrate_g_l", 22.0).unwrap().unwrap();
/// assert!((22.0 * salt.mol_l - 0.2076).abs() < 1e-4);
/// let unclear = content(chemistry, &own, "hypophosphite_g_l", 22.0).unwrap().unwrap_err();
/// assert!(unclear.hint.contains("0.2076 mol/L as sodium_hypophosphite_monohydrate_g_l"), "{}", unclear.hint);
/// # Ok::<(), bathkin::Error>(())
/// ```
pub fn content(
    chemistry: &Chemistry,
    own: &[&str],
    name: &str,
    value: f64,
) -> Option<Result<Content, Unclear>> {
    let Name { substance, unit, form: weighed_as } = Name::split(name)?;
    let substance = match (substance, own) {
        ("metal", [metal, ..]) => *metal,
        ("reductant", [_, reductant, ..]) => *reductant,
        ("by_product", [_, _, by_product, ..]) => *by_product,
        _ => substance,
    };
    let told = |component, g_mol| Content { component, mol_l: unit.mol_l(g_mol) };
    if let Some(component) = chemistry.component(substance).filter(|_| !is_solvent(substance)) {
        let found = match weighed_as {
            Some(key) if unit.is_mass() => form(chemistry, component, key).map(|form| form.g_mol),
            Some(_) => None,
            None if unit.is_mass() => weighed_as_itself(chemistry, component),
            None => Some(f64::NAN),
        };
        let unclear = || readings::unclear(chemistry, component, own, (substance, unit, weighed_as), value);
        return Some(found.map(|g_mol| told(component, g_mol)).ok_or_else(unclear));
    }
    if weighed_as.is_some() {
        return None;
    }
    if let Some(reagent) = chemistry.reagent(substance) {
        let per_component = |(component, moles): (usize, f64)| Content {
            component,
            mol_l: moles * unit.mol_l(reagent.molar_mass_g_mol),
        };
        let found = bought_for(chemistry, own, reagent).map(per_component);
        return Some(found.ok_or_else(|| readings::of_several(chemistry, reagent)));
    }
    let hydrates = chemistry.hydrates_of(substance);
    (!hydrates.is_empty()).then(|| Err(readings::of_hydrates(chemistry, substance, unit, value)))
}

/// What a name of [`content`] weighs, in words, and the unit it ends in: `orthophosphite_g_l_as_na2hpo3` is
/// orthophosphite as Na2HPO3 in g/L. No words where it weighs the component itself.
pub(crate) fn worded(
    chemistry: &Chemistry,
    name: &str,
    component: usize,
) -> Option<(Option<String>, &'static str)> {
    let Name { substance, unit, form: key } = Name::split(name)?;
    let of_form = key.and_then(|key| form(chemistry, component, key)).map(|form| {
        let neutral = form.formula.split(['+', '-']).next().unwrap_or_default();
        format!("{} as {neutral}", chemistry.components[component].name.replace('_', " "))
    });
    let of_reagent = || {
        let is_component = chemistry.component(substance).is_some();
        chemistry.reagent(substance).filter(|_| !is_component).map(|_| substance.replace('_', " "))
    };
    Some((of_form.or_else(of_reagent), unit.text()))
}

/// Grams per mole of a component that is weighed as itself: an element, or a molecule sold under its name.
pub fn weighed_as_itself(chemistry: &Chemistry, component: usize) -> Option<f64> {
    let of = &chemistry.components[component];
    let is_itself =
        of.formula.elements.len() == 1 || (of.formula.charge == 0.0 && chemistry.reagent(&of.name).is_some());
    is_itself.then(|| of.formula.molar_mass_g_mol(&chemistry.atomic_weights).ok()).flatten()
}

/// The component a reagent is bought for, and how much of it a mole brings: the first of the bath's `own`, or
/// the only one beside water, protons, sodium and potassium, or the metal of a salt. `None` where it may be
/// either, as with ammonium chloride, or where nothing is left, as with caustic.
pub fn bought_for(chemistry: &Chemistry, own: &[&str], reagent: &Reagent) -> Option<(usize, f64)> {
    const BESIDES: [&str; 4] = [PROTON, WATER, "sodium", "potassium"];
    let name = |component: usize| chemistry.components[component].name.as_str();
    let brought: Vec<(usize, f64)> = reagent
        .gives
        .iter()
        .copied()
        .filter(|(component, moles)| *moles > 0.0 && !BESIDES.contains(&name(*component)))
        .collect();
    let of_bath = own.iter().find_map(|own| brought.iter().find(|(component, _)| name(*component) == *own));
    let is_metal = |(component, _): &&(usize, f64)| {
        let formula = &chemistry.components[*component].formula;
        formula.charge > 0.0 && formula.elements.len() == 1
    };
    let only = |found: &[(usize, f64)]| if let [one] = found { Some(*one) } else { None };
    let metals: Vec<(usize, f64)> = brought.iter().filter(is_metal).copied().collect();
    of_bath.copied().or_else(|| only(&brought)).or_else(|| only(&metals))
}

fn is_solvent(name: &str) -> bool {
    [PROTON, WATER].contains(&name)
}
