//! The reagent that a key of a make-up or a replenisher names.

use crate::model::substance::readings::{figures, listed, of_hydrates, readings};
use crate::model::substance::{Name, Unclear, bought_for, weighed_as_itself};
use crate::solution::{Chemistry, Reagent};

/// The reagent a name says is weighed out; `None` where no substance is called so.
///
/// # Errors
/// [`Unclear`]: a component for which several reagents may be weighed out, with the numbers of each.
pub(crate) fn weighed<'a>(
    chemistry: &'a Chemistry,
    name: Name,
    value: f64,
) -> Option<Result<&'a Reagent, Unclear>> {
    if let Some(reagent) = chemistry.reagent(name.substance).filter(|_| name.form.is_none()) {
        return Some(Ok(reagent));
    }
    let Some(component) = chemistry.component(name.substance) else {
        let is_salt = name.form.is_none() && !chemistry.hydrates_of(name.substance).is_empty();
        return is_salt.then(|| Err(of_hydrates(chemistry, name.substance, name.unit, value)));
    };
    if let Some(key) = name.form.filter(|_| name.unit.is_mass()) {
        let of_form =
            crate::model::substance::forms::form(chemistry, component, key).and_then(|form| form.reagent);
        if let Some(reagent) = of_form.and_then(|reagent| chemistry.reagent(&reagent)) {
            return Some(Ok(reagent));
        }
    }
    Some(Err(salts(chemistry, component, name, value)))
}

/// Which salt is weighed out for so much of a component.
fn salts(chemistry: &Chemistry, component: usize, name: Name, value: f64) -> Unclear {
    let (substance, unit) = (name.substance, name.unit);
    let known = crate::model::substance::forms::form(chemistry, component, name.form.unwrap_or_default())
        .map(|form| form.g_mol);
    let g_mol = known.or_else(|| weighed_as_itself(chemistry, component));
    let expected = "the salt that is weighed out, by name".to_owned();
    let amount = format!("{} {}", figures(value), unit.text());
    let Some(mol_l) = (if unit.is_mass() {
        g_mol.map(|g_mol| value * unit.mol_l(g_mol))
    } else {
        Some(value * unit.mol_l(1.0))
    }) else {
        let read = readings(chemistry, &[], component, unit, value);
        return Unclear { expected, hint: format!("{substance} as what? {}", listed(&read, unit, value)) };
    };
    let salts: Vec<String> = chemistry
        .reagents
        .iter()
        .filter_map(|reagent| {
            let (_, moles) =
                bought_for(chemistry, &[], reagent).filter(|(bought, _)| *bought == component)?;
            Some(format!("{}_g_l = {}", reagent.name, figures(mol_l / moles * reagent.molar_mass_g_mol)))
        })
        .take(5)
        .collect();
    Unclear { expected, hint: format!("{amount} of {substance} is {}", salts.join(", or ")) }
}
