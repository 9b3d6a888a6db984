//! Roles of the components of a recipe.

use crate::error::Result;
use crate::recipe::Recipe;
use crate::solution::Role;
use std::collections::BTreeMap;

impl Recipe {
    /// The components of the bath that have a role, with their roles.
    ///
    /// ```
    /// use bathkin::recipe::Recipe;
    /// use bathkin::solution::Role;
    /// let roles = Recipe::built_in("nickel-acid")?.roles()?;
    /// assert_eq!(roles["lactate"], [Role::Complexant]);
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn roles(&self) -> Result<BTreeMap<String, Vec<Role>>> {
        let model = self.model()?;
        let names = model.tank.bath.equilibrium.component_names().iter().cloned();
        Ok(names.zip(model.roles.iter().cloned()).filter(|(_, roles)| !roles.is_empty()).collect())
    }
}
