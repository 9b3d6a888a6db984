//! A remark: what programs act on, its values, and the sentence.

use schemars::JsonSchema;
use serde::Serialize;

/// A remark on a result.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Remark {
    /// What it is about, a word for programs.
    pub code: &'static str,
    /// The sentence.
    pub text: String,
    /// Its values by name.
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, RemarkValue>")]
    pub values: Vec<(String, RemarkValue)>,
}

/// A value in a remark.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
#[serde(untagged)]
pub enum RemarkValue {
    /// None there is.
    Missing(()),
    /// Yes or no.
    Flag(bool),
    /// A count, or the number of a row.
    Count(usize),
    /// A number.
    Number(f64),
    /// Two ends.
    Interval([f64; 2]),
    /// A word or name.
    Text(String),
    /// Counts.
    Counts(Vec<usize>),
    /// Numbers.
    Numbers(Vec<f64>),
    /// Words or names.
    Texts(Vec<String>),
}

macro_rules! from {
    ($($kind:ty => $variant:ident),* $(,)?) => {
        $(impl From<$kind> for RemarkValue {
            fn from(value: $kind) -> Self {
                RemarkValue::$variant(value)
            }
        })*
    };
}

from!(
    bool => Flag, usize => Count, f64 => Number, [f64; 2] => Interval, String => Text,
    Vec<usize> => Counts, Vec<f64> => Numbers, Vec<String> => Texts,
);

impl From<&'static str> for RemarkValue {
    fn from(value: &'static str) -> Self {
        RemarkValue::Text(value.to_owned())
    }
}

impl<T: Into<RemarkValue>> From<Option<T>> for RemarkValue {
    fn from(value: Option<T>) -> Self {
        value.map_or(RemarkValue::Missing(()), T::into)
    }
}
