//! A tank with other numbers in its laws, without resolving the whole recipe again.

use super::branches::read_kinetics;
use super::bulk::{TABLE, read_bulk_equations, read_bulk_reactions};
use super::document::Value;
use super::reader::Reader;
use super::slots::Slots;
use super::{Document, Recipe};
use crate::error::Result;
use crate::tank::Tank;

/// Keys of a half-reaction that name the table of its law.
const LAWS: [&str; 3] = ["law", "selectivity", "branch"];
/// Keys of a reaction of the liquid that are no part of its law.
const EQUATION: [&str; 3] = ["liquid", "gas", "solid"];

impl Recipe {
    /// Whether a path is a number of a rate law, a branch, or a law of the liquid. Nothing but rates
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

    /// The tank of this recipe with its laws at other numbers, (path, value); `by` is named in messages.
    /// All else, also what the recipe reads from the rate of the fresh bath, stays as it is.
    ///
    /// # Errors
    /// As [`Recipe::model`], and [`crate::Error::Recipe`] for a number that the law does not take.
    pub fn tank_with_laws(&self, numbers: &[(&str, f64)], by: &str) -> Result<Tank> {
        let model = self.model()?;
        let mut document: Document = self.document().clone();
        for (path, value) in numbers {
            document.set(path, Value::Number(*value), by);
        }
        let reader = Reader::new(&document);
        let equilibrium = &model.tank.equilibrium;
        let names = equilibrium.component_names();
        let slots = Slots { chemistry: &model.chemistry, names, equilibrium };
        let mut tank = model.tank.clone();
        tank.kinetics =
            read_kinetics(&reader, &slots, model.tank.kinetics.half_reactions(), &model.heading.metal)?;
        let equations = read_bulk_equations(&reader, &model.chemistry)?;
        tank.bulk = read_bulk_reactions(&reader, &slots, &equations, &tank.evolved, &tank.settled)?;
        Ok(tank)
    }
}
