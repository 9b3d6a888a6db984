//! The fresh bath of a recipe.

use crate::error::Result;
use crate::recipe::Recipe;
use crate::study::Bath;

impl Recipe {
    /// The fresh bath.
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn make_up(&self) -> Result<Bath> {
        self.model()?;
        Bath::fresh(self.clone())
    }
}
