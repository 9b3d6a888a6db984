//! How well the numbers of a recipe are known.
//!
//! Formation constants and enthalpies of the species of its bath, normal about their values with their standard deviations, stated
//! or by class ([`bathkin::solution::Width`]); numbers of its laws that have a range as [`Prior::from_recipe`] takes it. All that
//! draws numbers of a recipe draws them so.

use bathkin::Recipe;
use bathkin::document::Role;
use bathkin::recipe::SpeciesConstant;

use crate::error::DataError;

/// How well a number of a recipe is known.
#[derive(Debug, Clone, PartialEq)]
pub struct NumberWidth {
    /// Its path.
    pub path: String,
    /// Mean and standard deviation; `None`: the prior of the recipe, its range or the error of its fit.
    pub normal: Option<(f64, f64)>,
}

/// Numbers of a recipe that have a width: constants first, those of `solids` that can fall out too where that is asked for; then
/// numbers of laws.
///
/// ```
/// let recipe = bathkin::Recipe::built_in("nickel-acid")?;
/// let known = bathkin_fit::widths(&recipe, false)?;
/// let energy = known.iter().find(|one| one.path == "deposition.activation_energy_kj_mol");
/// assert_eq!(energy.expect("it has a range").normal, None);
/// # Ok::<(), bathkin_fit::DataError>(())
/// ```
///
/// # Errors
/// As [`Recipe::model`].
pub fn widths(recipe: &Recipe, solids: bool) -> Result<Vec<NumberWidth>, DataError> {
    let parameters = recipe.model()?.parameters();
    let known = |one: &NumberWidth| parameters.iter().any(|parameter| parameter.path == one.path);
    // The law of water has no such numbers.
    let constants = recipe.constants()?;
    let mut found: Vec<NumberWidth> =
        constants.iter().flat_map(|one| of_constant("species", one)).filter(known).collect();
    if solids {
        found.extend(recipe.solid_constants()?.iter().flat_map(|one| of_constant("solids", one)));
    }
    let of_law = parameters.into_iter().filter(|one| one.role == Role::Law && one.range.is_some());
    found.extend(of_law.map(|one| NumberWidth { path: one.path, normal: None }));
    Ok(found)
}

/// Widths of a formation constant and its enthalpy.
fn of_constant(table: &str, one: &SpeciesConstant) -> Vec<NumberWidth> {
    let constant = &one.constant;
    let log_k = ("log_k_25c", Some(constant.log_k_25c), Some(constant.log_k_uncertainty));
    let enthalpy = ("enthalpy_kj_mol", constant.enthalpy_kj_mol, constant.enthalpy_uncertainty_kj_mol);
    let of = |(name, value, sd): (&str, Option<f64>, Option<f64>)| {
        let normal = value.zip(sd).filter(|(_, sd)| *sd > 0.0)?;
        Some(NumberWidth { path: format!("{table}.{}.{name}", one.name), normal: Some(normal) })
    };
    [log_k, enthalpy].into_iter().filter_map(of).collect()
}
