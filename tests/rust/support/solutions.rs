//! Solutions the tests share: from reagents or components to a solved equilibrium.

use std::collections::BTreeMap;

use bathkin::constants::LN_10;
use bathkin::document::Document;
use bathkin::model::database::chemistry_for;
use bathkin::solution::chemistry::{PROTON, WATER};
use bathkin::solution::{Activity, Chemistry, Equilibrium, Speciation};

/// The plain Davies equation.
pub const DAVIES: Activity = Activity::Davies { held_above_mol_l: f64::INFINITY };

/// Davies, held where it is no longer trusted.
pub const HELD: Activity = Activity::Davies { held_above_mol_l: 0.5 };

/// log K of the acids of EDTA in Skoog & West's textbook: K1 to K4 1.02e-2, 2.14e-3, 6.92e-7, 5.50e-11; laid
/// over the built-in constants.
pub const EDTA_OF_A_TEXTBOOK: &str = "
[species.hydrogen_edta]
log_k_25c = 10.2596
[species.dihydrogen_edta]
log_k_25c = 16.4195
[species.trihydrogen_edta]
log_k_25c = 19.0891
[species.edta_acid]
log_k_25c = 21.0805
[species.pentahydrogen_edta]
log_k_25c = -99.0
";

/// The built-in constants with a text laid over them.
pub fn chemistry_with(text: &str) -> Chemistry {
    let document = Document::parse("the test", text).unwrap_or_else(|error| panic!("{error}"));
    let chemistry = chemistry_for(&document).unwrap_or_else(|error| panic!("{error}"));
    Chemistry::clone(&chemistry)
}

/// (names, totals) of the components that reagents bring, the proton and water left out.
pub fn components_of(chemistry: &Chemistry, reagents: &[(&str, f64)]) -> (Vec<String>, Vec<f64>) {
    let mut totals: BTreeMap<String, f64> = BTreeMap::new();
    for (name, moles) in reagents {
        let reagent = chemistry.reagent(name).unwrap_or_else(|| panic!("no reagent {name}"));
        for (component, count) in &reagent.gives {
            let component = &chemistry.components[*component].name;
            // The proton follows from electroneutrality, and water is the solvent.
            if component != PROTON && component != WATER {
                *totals.entry(component.clone()).or_default() += count * moles;
            }
        }
    }
    totals.into_iter().unzip()
}

/// Component names as an equilibrium takes them.
pub fn names(of: &[&str]) -> Vec<String> {
    of.iter().map(|name| (*name).to_owned()).collect()
}

/// Solved from nothing.
pub fn cold(equilibrium: &Equilibrium, totals: &[f64], temperature_k: f64) -> Speciation {
    let mut speciation = equilibrium.speciation();
    let solved = speciation.solve(equilibrium, totals, temperature_k);
    solved.unwrap_or_else(|error| panic!("{error} at {temperature_k} K for {totals:?}"));
    speciation
}

/// Place of a component among the totals.
pub fn place(equilibrium: &Equilibrium, name: &str) -> usize {
    let at = equilibrium.component_names().iter().position(|known| known == name);
    at.unwrap_or_else(|| panic!("no component {name}"))
}

/// mol/L of a dissolved substance.
pub fn mol_l(equilibrium: &Equilibrium, speciation: &Speciation, name: &str) -> f64 {
    let found = speciation.species(equilibrium).find(|(known, _)| *known == name);
    found.unwrap_or_else(|| panic!("no species {name}")).1
}

/// ln of the activity of a formed species, by mass action from its components.
pub fn ln_activity_of(
    chemistry: &Chemistry,
    equilibrium: &Equilibrium,
    speciation: &Speciation,
    name: &str,
) -> f64 {
    let species = chemistry.species.iter().find(|species| species.name == name).expect("a species");
    let of = |index: usize| match chemistry.components[index].name.as_str() {
        PROTON => -speciation.ph() * LN_10,
        WATER => speciation.ln_water_activity,
        component => speciation.ln_activity(equilibrium, place(equilibrium, component)),
    };
    let ln_k: f64 = species.constant.ln_k(speciation.temperature_k);
    ln_k + species.forms_from.iter().map(|(index, count)| count * of(*index)).sum::<f64>()
}

/// For every substance in the order of [`Speciation::species`]: charge, (component, count).
pub type Substances = Vec<(f64, Vec<(usize, f64)>)>;

/// What every dissolved substance of an equilibrium is made of.
pub fn substances(chemistry: &Chemistry, equilibrium: &Equilibrium) -> Substances {
    let speciation = equilibrium.speciation();
    speciation.species(equilibrium).map(|(name, _)| substance(chemistry, equilibrium, name)).collect()
}

/// Charge and components of a substance by its name.
fn substance(chemistry: &Chemistry, equilibrium: &Equilibrium, name: &str) -> (f64, Vec<(usize, f64)>) {
    let position = |of: &str| equilibrium.component_names().iter().position(|known| known == of);
    if let Some(component) = chemistry.components.iter().find(|component| component.name == name) {
        let parts = position(name).map(|slot| (slot, 1.0)).into_iter().collect();
        return (component.formula.charge, parts);
    }
    let species = chemistry.species.iter().find(|species| species.name == name).expect("a species");
    let parts = species
        .forms_from
        .iter()
        .filter_map(|(index, count)| position(&chemistry.components[*index].name).map(|slot| (slot, *count)))
        .collect();
    (species.formula.charge, parts)
}

/// Largest relative error of any mass balance, and of electroneutrality over all charges.
pub fn residuals(
    substances: &Substances,
    equilibrium: &Equilibrium,
    speciation: &Speciation,
    totals: &[f64],
) -> (f64, f64) {
    let mut sums = vec![0.0; totals.len()];
    let (mut net, mut all) = (0.0, 0.0);
    for ((charge, parts), (_, mol_l)) in substances.iter().zip(speciation.species(equilibrium)) {
        net += charge * mol_l;
        all += charge.abs() * mol_l;
        for (component, count) in parts {
            sums[*component] += count * mol_l;
        }
    }
    let off = sums.iter().zip(totals).map(|(sum, total)| (sum / total - 1.0).abs());
    (off.fold(0.0, f64::max), net.abs() / all)
}
