//! The dictionary of the numbers of a recipe that can be set, and the model at other values of them.

mod described;
mod schema;
mod words;

pub use described::DescribedParameter;
pub use schema::{Json, recipe_schema};

use crate::document::declared::Declared;
use crate::document::{Bounds, Declaration, Document, ParameterId, ParameterScale, Role, Value};
use crate::error::{Error, Place, Result};
use crate::model::Model;
use crate::model::chapters::LAWS;
use crate::model::law_slots::Laws;
use crate::scalar::Scalar;
use crate::source::Source;
use crate::surface::Kinetics;
use crate::tank::{BathChemistry, Tank};
use bathkin_numerics::short;

/// A number of a recipe that can be set.
#[derive(Debug, Clone, PartialEq)]
pub struct Parameter {
    /// Path, with the unit at its end.
    pub path: String,
    /// Value; none where the recipe leaves it out.
    pub value: Option<f64>,
    /// What stands for it where it is left out.
    pub default: Option<f64>,
    /// What it must be.
    pub bounds: Bounds,
    /// How fits and sensitivities move it.
    pub scale: ParameterScale,
    /// What it is to the bath.
    pub role: Role,
    /// Range the author vouches for.
    pub range: Option<(f64, f64)>,
    /// Where the value comes from.
    pub source: Option<Source>,
}

impl Declaration {
    /// How a number of this value is moved: by its logarithm only where that is there.
    fn scale(&self, value: Option<f64>) -> ParameterScale {
        if value.is_some_and(|value| value <= 0.0) { ParameterScale::Linear } else { self.bounds.scale }
    }
}

fn number(document: &Document, path: &str) -> Option<f64> {
    match document.get(path)?.value {
        Value::Number(number) => Some(number),
        _ => None,
    }
}

impl Model {
    /// The numbers that can be set, in the order in which a recipe is read; after them the constants of the species of
    /// the bath. Those that the recipe leaves out are among them.
    ///
    /// ```
    /// use bathkin::document::{Role, ParameterScale};
    ///
    /// let recipe = bathkin::Recipe::built_in("nickel-acid")?;
    /// let all = recipe.model()?.parameters();
    /// let ph = all.iter().find(|one| one.path == "operation.ph").expect("it has one");
    /// assert_eq!((ph.value, ph.bounds.high, ph.scale, ph.role), (Some(4.8), 14.0, ParameterScale::Linear, Role::Operation));
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    pub fn parameters(&self) -> Vec<Parameter> {
        let listed = |document: &Document, one: &Declaration| {
            let entry = document.get(&one.path);
            let value = number(document, &one.path);
            Parameter {
                path: one.path.clone(),
                value,
                default: one.default,
                bounds: one.bounds,
                scale: one.scale(value),
                role: one.role,
                range: entry.and_then(|entry| entry.range),
                source: entry.and_then(|entry| entry.source.clone()),
            }
        };
        let kept = &self.kept;
        let own = kept.declared.all.iter().map(|one| listed(&kept.document, one));
        let species = self.tank.bath.equilibrium.species_names();
        let of_bath = |one: &&Declaration| {
            let name = one.path.strip_prefix("species.").and_then(|rest| rest.split('.').next());
            name.is_some_and(|name| species.iter().any(|known| known == name))
        };
        let constants = kept.constants.declared.all.iter().filter(of_bath);
        own.chain(constants.map(|one| listed(&kept.constants.document, one))).collect()
    }

    /// What is told of the number at a path.
    pub fn declaration(&self, path: &str) -> Option<&Declaration> {
        let of = |declared: &'_ Declared| declared.id(path).map(|id| id.0);
        let (own, constants) = (&self.kept.declared, &self.kept.constants.declared);
        of(own).map(|at| &own.all[at]).or_else(|| of(constants).map(|at| &constants.all[at]))
    }

    /// How a number of this value is moved.
    pub fn scale_of(&self, path: &str, value: f64) -> ParameterScale {
        self.declaration(path).map_or(ParameterScale::Linear, |one| one.scale(Some(value)))
    }

    /// The model where numbers, (path, value), have these values; `by` is named in messages. What does not follow from
    /// them is kept, and no text is read for what stands in slots. It heeds what this model heeds.
    ///
    /// ```
    /// let recipe = bathkin::Recipe::built_in("nickel-acid")?;
    /// let hotter = recipe.model()?.at(&[("operation.temperature_c", 90.0)], "example")?;
    /// assert!((hotter.tank.operation.temperature_k - 363.15).abs() < 1e-9);
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// As [`crate::Recipe::model`] of the recipe with these values.
    pub fn at(&self, values: &[(&str, f64)], by: &str) -> Result<Model> {
        let mut document = self.kept.document.clone();
        values.iter().for_each(|(path, value)| document.set(path, Value::Number(*value), by));
        let moved: Vec<&str> = values.iter().map(|(path, _)| *path).collect();
        self.again(&document, &moved, self.tank.bath.equilibrium.stop())
    }

    /// The slot of a number that laws alone hold, so that nothing but rates follows from it.
    ///
    /// ```
    /// let recipe = bathkin::Recipe::built_in("nickel-acid")?;
    /// let model = recipe.model()?;
    /// assert!(model.law_slot("deposition.activation_energy_kj_mol").is_some());
    /// assert!(model.law_slot("operation.temperature_c").is_none());
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    pub fn law_slot(&self, path: &str) -> Option<ParameterId> {
        let declared = &self.kept.declared;
        declared.id(path).filter(|id| {
            declared.is_slot(*id)
                && declared.is_read_in_alone(*id, LAWS)
                && number(&self.kept.document, path).is_some()
        })
    }

    /// The laws of the surface where slots have these values; with dual numbers, their derivatives too.
    pub fn kinetics_at<D: Scalar>(&self, values: &[(ParameterId, D)]) -> Kinetics<D> {
        self.kept.laws.kinetics_at(&self.with_written(values))
    }

    /// These values of slots before those that were written since the laws were read: the first of two is taken.
    fn with_written<D: Scalar>(&self, values: &[(ParameterId, D)]) -> Vec<(ParameterId, D)> {
        let written = self.kept.written.iter().map(|(id, value)| (*id, D::from(*value)));
        values.iter().copied().chain(written).collect()
    }

    /// The tank with its laws where slots have these values; all else, also what a recipe reads from the rate of the
    /// fresh bath, stays as it is.
    ///
    /// # Errors
    /// [`Error::Recipe`] for a value out of bounds; `by` is named in it.
    pub fn tank_at(&self, values: &[(ParameterId, f64)], by: &str) -> Result<Tank> {
        let declared = |id: &ParameterId| &self.kept.declared.all[id.0];
        if let Some((id, value)) = values.iter().find(|(id, value)| !declared(id).bounds.allow(*value)) {
            return Err(Error::Recipe {
                place: Place { file: by.to_owned(), line: None },
                key: declared(id).path.clone(),
                value: short(*value),
                expected: declared(id).bounds.what.to_owned(),
                hint: None,
            });
        }
        let Laws { kinetics, bulk, decomposition } = self.kept.laws.at(&self.with_written(values));
        let bath = BathChemistry {
            kinetics: kinetics.into(),
            bulk: bulk.into(),
            decomposition,
            ..self.tank.bath.clone()
        };
        Ok(Tank { bath, plant: self.tank.plant.clone(), operation: self.tank.operation.clone() })
    }
}
