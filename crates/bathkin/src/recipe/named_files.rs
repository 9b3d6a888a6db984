//! Files that a recipe is read from or names.

use crate::document::Value;
use crate::model::calendar::{CALENDAR, beside};
use crate::recipe::Recipe;

impl Recipe {
    /// Files that it is read from: its own, unless it is built in, and the calendar it names.
    ///
    /// ```
    /// use bathkin::Recipe;
    /// let recipe = Recipe::from_toml("shop/line.toml", "base = 'nickel-acid'\nwork.calendar = 'racks.csv'")?;
    /// assert_eq!(recipe.files(), ["shop/line.toml", "shop/racks.csv"]);
    /// assert!(Recipe::built_in("nickel-acid")?.files().is_empty());
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    pub fn files(&self) -> Vec<String> {
        let own = &self.document().file;
        let is_built_in = Recipe::built_in_names().any(|name| name == own);
        let mut files: Vec<String> = (!is_built_in).then(|| own.clone()).into_iter().collect();
        if let Some(entry) = self.document().get(CALENDAR)
            && let Value::Text(name) = &entry.value
        {
            files.push(beside(name, &entry.place).display().to_string());
        }
        files
    }
}
