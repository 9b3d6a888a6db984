//! A number that can be set, told in full.

use schemars::JsonSchema;
use serde::Serialize;

use super::Parameter;
use crate::document::{ParameterScale, Role};
use crate::source::Kind;

/// A number of a recipe that can be set.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
#[serde(rename = "Parameter")]
pub struct DescribedParameter {
    /// Dotted path, with the unit at its end.
    pub path: String,
    /// Value, or none where the recipe leaves it out.
    pub value: Option<f64>,
    /// Unit, empty for a number without one.
    pub unit: &'static str,
    /// What stands for it where it is left out.
    pub default: Option<f64>,
    /// What it may be, in words.
    pub bounds: String,
    /// Least value.
    pub least: Option<f64>,
    /// Greatest value.
    pub greatest: Option<f64>,
    /// How fits move it: `log` or `linear`.
    pub scale: ParameterScale,
    /// What it is to the bath: `law`, `constant`, `make_up`, `operation`, `price`, ...
    pub role: Role,
    /// Range the author vouches for.
    pub range: Option<(f64, f64)>,
    /// Where the value comes from.
    pub source: Option<String>,
    /// How far it is backed.
    pub kind: Option<Kind>,
    /// What it is called.
    pub text: String,
}

impl Parameter {
    /// With its unit, bounds and name in words.
    pub fn described(&self) -> DescribedParameter {
        DescribedParameter {
            path: self.path.clone(),
            value: self.value,
            unit: self.unit(),
            default: self.default.filter(|value| value.is_finite()),
            bounds: self.bounds.to_string(),
            least: (self.bounds.low > f64::MIN).then_some(self.bounds.low),
            greatest: (self.bounds.high < f64::MAX).then_some(self.bounds.high),
            scale: self.scale,
            role: self.role,
            range: self.range,
            source: self.source.as_ref().map(|source| source.text.clone()),
            kind: self.source.as_ref().map(|source| source.kind),
            text: self.text(),
        }
    }
}
