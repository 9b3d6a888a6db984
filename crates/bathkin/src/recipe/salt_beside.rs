//! A salt beside which another of the same component would be laid.

use crate::document::{Entry, Value};
use crate::error::Result;
use crate::model::substance::Name;
use crate::recipe::Recipe;

impl Recipe {
    /// The path of a salt in the make-up that stays beside one added at `path` and brings the same component.
    ///
    /// ```
    /// use bathkin::recipe::Recipe;
    /// let beside = Recipe::built_in("nickel-acid")?.salt_beside("make_up.nickel_sulfate_heptahydrate_g_l")?;
    /// assert_eq!(beside.as_deref(), Some("make_up.nickel_sulfate_hexahydrate_g_l"));
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn salt_beside(&self, path: &str) -> Result<Option<String>> {
        let chemistry = &self.model()?.chemistry;
        let reagent = |path: &str| chemistry.reagent(Name::split(path.strip_prefix("make_up.")?)?.substance);
        let Some(added) = reagent(path).filter(|_| self.document().get(path).is_none()) else {
            return Ok(None);
        };
        let beside = |entry: &&Entry| {
            matches!(entry.value, Value::Number(amount) if amount > 0.0)
                && reagent(&entry.path).is_some_and(|stays| chemistry.shared_purpose(added, stays).is_some())
        };
        Ok(self.document().under("make_up").find(beside).map(|entry| entry.path.clone()))
    }
}
