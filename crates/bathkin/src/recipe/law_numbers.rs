//! Which numbers of a recipe are numbers of its laws, and the laws at other numbers.

use crate::document::reader::Reader;
use crate::document::{Document, Value};
use crate::error::Result;
use crate::model::bulk::{TABLE, read_bulk_equations, read_bulk_reactions};
use crate::model::law_numbers::{LAWS, Laws};
use crate::model::partial_currents::read_kinetics;
use crate::model::slots::Slots;
use crate::recipe::Recipe;

/// Keys of a reaction of the liquid that are no part of its law.
const EQUATION: [&str; 3] = ["liquid", "gas", "solid"];

impl Recipe {
    /// Whether a path is a number of a rate law, a partial current, or a law of the liquid. Nothing but rates
    /// follows from those.
    ///
    /// ```
    /// let recipe = bathkin::Recipe::built_in("nickel-acid")?;
    /// assert!(recipe.is_law_number("deposition.order.nickel"));
    /// assert!(!recipe.is_law_number("operation.temperature_c"));
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    pub fn is_law_number(&self, path: &str) -> bool {
        let document = self.document();
        if !document.get(path).is_some_and(|entry| matches!(entry.value, Value::Number(_))) {
            return false;
        }
        let within = |table: &str| path.strip_prefix(table).is_some_and(|rest| rest.starts_with('.'));
        if let Some((name, key)) =
            path.strip_prefix(&format!("{TABLE}.")).and_then(|rest| rest.split_once('.'))
        {
            let equation = key.split('.').next().is_some_and(|first| EQUATION.contains(&first));
            return !equation && document.children(TABLE).iter().any(|known| known == name);
        }
        document.children("half_reaction").iter().any(|name| {
            LAWS.iter().any(|key| {
                let named = document.get(&format!("half_reaction.{name}.{key}")).map(|entry| &entry.value);
                matches!(named, Some(Value::Text(table)) if within(table))
            })
        })
    }

    /// The laws of this recipe at other numbers, (path, value); `by` is named in messages.
    ///
    /// # Errors
    /// As [`Recipe::model`], and [`crate::Error::Recipe`] for a number that the law does not take.
    pub fn laws_at(&self, numbers: &[(&str, f64)], by: &str) -> Result<Laws> {
        let model = self.model()?;
        let mut document: Document = self.document().clone();
        for (path, value) in numbers {
            document.set(path, Value::Number(*value), by);
        }
        let reader = Reader::new(&document);
        let (tank, chemistry) = (&model.tank, &model.chemistry);
        let names = tank.equilibrium.component_names();
        let slots = Slots { chemistry, names, equilibrium: &tank.equilibrium };
        let equations = read_bulk_equations(&reader, chemistry)?;
        Ok(Laws {
            kinetics: read_kinetics(&reader, &slots, tank.kinetics.half_reactions(), &model.heading.metal)?
                .into(),
            bulk: read_bulk_reactions(&reader, &slots, &equations, &tank.evolved, &tank.settled)?.into(),
        })
    }
}
