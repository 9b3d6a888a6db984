//! A value of a document.

use bathkin_numerics::short;

/// A value of a document.
#[derive(Debug, Clone, PartialEq, schemars::JsonSchema, serde::Serialize)]
#[serde(untagged)]
pub enum Value {
    /// A number; its unit is in the name.
    Number(f64),
    /// A text.
    Text(String),
    /// True or false.
    Flag(bool),
    /// A list of texts.
    List(Vec<String>),
}

impl std::fmt::Display for Value {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Value::Number(number) => f.write_str(&short(*number)),
            Value::Text(text) => write!(f, "\"{text}\""),
            Value::Flag(flag) => write!(f, "{flag}"),
            Value::List(list) => write!(f, "[{}]", list.join(", ")),
        }
    }
}

/// A text as TOML has it, quoted: a key or a value.
///
/// ```
/// assert_eq!(bathkin::document::value::quoted("Ni %"), "\"Ni %\"");
/// ```
pub fn quoted(text: &str) -> String {
    toml_edit::Value::from(text).to_string()
}
