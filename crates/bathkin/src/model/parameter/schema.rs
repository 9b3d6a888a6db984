//! The JSON Schema of recipes, for editors: what each key may hold, as it was told where it is read.

use std::collections::BTreeMap;

use serde::Serialize;

use super::Parameter;
use crate::document::declared::Words;
use crate::model::Model;
use crate::solution::Chemistry;

/// A value of a JSON document.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Json {
    /// A number.
    Number(f64),
    /// A text.
    Text(String),
    /// A list.
    List(Vec<Json>),
    /// A table.
    Table(BTreeMap<String, Json>),
}

fn text(text: impl Into<String>) -> Json {
    Json::Text(text.into())
}

fn table<const N: usize>(entries: [(&str, Json); N]) -> Json {
    Json::Table(entries.into_iter().map(|(key, value)| (key.to_owned(), value)).collect())
}

/// A number, it with its source, or `"off"`.
const NUMBER: &str = "#/$defs/number";
/// A table of reagents by amount.
const AMOUNTS: &str = "#/$defs/amounts";
/// Stands for any name.
const ANY: &str = "*";
/// Units in which reagents are weighed out or poured.
const WEIGHED: &str = "g_l|mg_l|mol_l|mmol_l|ml_l";

/// The schema (JSON Schema, draft 2020-12) of recipes that read what these do, each key with its unit, bounds and
/// default. A key it does not know is no error of the schema: reagents and laws have names of their own.
///
/// ```
/// use bathkin::model::parameter::{Json, recipe_schema};
///
/// let recipe = bathkin::Recipe::built_in("nickel-acid")?;
/// let Json::Table(schema) = recipe_schema([recipe.model()?]) else { panic!("a table") };
/// assert!(schema.contains_key("properties"));
/// # Ok::<(), bathkin::Error>(())
/// ```
pub fn recipe_schema<'a>(models: impl IntoIterator<Item = &'a Model>) -> Json {
    let mut root = Node::default();
    let mut reagents: Vec<String> = Vec::new();
    for model in models {
        for parameter in model.parameters() {
            let path = of_any(&parameter.path);
            root.put(&path, number(&Parameter { path: path.clone(), ..parameter }));
        }
        // In one order whatever the table's, for what is said first stays.
        for (path, words) in model.kept.declared.words.iter().collect::<BTreeMap<_, _>>() {
            root.put(path, words_of(words));
        }
        reagents.extend(names(&model.chemistry));
    }
    reagents.sort_unstable();
    reagents.dedup();
    let Json::Table(mut schema) = root.schema("") else { return root.schema("") };
    schema.insert("$defs".to_owned(), definitions(&reagents));
    schema.insert("$schema".to_owned(), text("https://json-schema.org/draft/2020-12/schema"));
    schema.insert("title".to_owned(), text("Recipe of an electroless plating bath"));
    Json::Table(schema)
}

fn names(chemistry: &Chemistry) -> impl Iterator<Item = String> + '_ {
    chemistry.reagents.iter().map(|reagent| reagent.name.clone())
}

/// The path for any species and any of its alternatives: all of them hold the same.
fn of_any(path: &str) -> String {
    let mut words: Vec<&str> = path.split('.').collect();
    for place in 1..words.len() {
        if (place == 1 && words[0] == "species") || words[place - 1] == "alternatives" {
            words[place] = ANY;
        }
    }
    words.join(".")
}

/// What a key with a number holds, and a table of the reagents that are known.
fn definitions(reagents: &[String]) -> Json {
    let of = |kind: &str| table([("type", text(kind))]);
    let number = table([
        ("type", Json::List(["number", "object", "string"].map(text).to_vec())),
        ("pattern", text("^off$")),
        ("required", Json::List(vec![text("value")])),
        (
            "properties",
            table([
                ("value", of("number")),
                ("range", table([("type", text("array")), ("items", of("number"))])),
                ("kind", of("string")),
                ("source", of("string")),
            ]),
        ),
    ]);
    let weighed = format!("^({})_({WEIGHED})$", reagents.join("|"));
    let amounts = table([("patternProperties", table([(&weighed, table([("$ref", text(NUMBER))]))]))]);
    table([("number", number), ("amounts", amounts)])
}

/// A number within its bounds.
fn number(parameter: &Parameter) -> Json {
    let told = parameter.described();
    let least = if parameter.bounds.low_open { "exclusiveMinimum" } else { "minimum" };
    let ends = [(least, told.least), ("maximum", told.greatest)];
    let bounds: BTreeMap<String, Json> =
        ends.into_iter().filter_map(|(key, end)| Some((key.to_owned(), Json::Number(end?)))).collect();
    let unit = if told.unit.is_empty() { String::new() } else { format!(", {}", told.unit) };
    let mut leaf = bounds.clone();
    leaf.extend([
        ("$ref".to_owned(), text(NUMBER)),
        ("description".to_owned(), text(format!("{}{unit}: {}", told.text, told.bounds))),
    ]);
    if !bounds.is_empty() {
        leaf.insert("properties".to_owned(), table([("value", Json::Table(bounds))]));
    }
    leaf.extend(told.default.map(|default| ("default".to_owned(), Json::Number(default))));
    Json::Table(leaf)
}

fn words_of(words: &Words) -> Json {
    match words {
        Words::Text => table([("type", text("string"))]),
        Words::Boolean => table([("type", text("boolean"))]),
        Words::List => table([("type", text("array")), ("items", table([("type", text("string"))]))]),
        Words::Choice(names) => table([("enum", Json::List(names.iter().map(text).collect()))]),
    }
}

/// A table of the schema, or a key.
#[derive(Default)]
struct Node {
    leaf: Option<Json>,
    tables: BTreeMap<String, Node>,
}

impl Node {
    /// The first that is told of a key stands.
    fn put(&mut self, path: &str, leaf: Json) {
        let node = path.split('.').fold(self, |node, word| node.tables.entry(word.to_owned()).or_default());
        node.leaf.get_or_insert(leaf);
    }

    fn schema(&self, path: &str) -> Json {
        let below = |name: &str| if path.is_empty() { name.to_owned() } else { format!("{path}.{name}") };
        let properties: BTreeMap<String, Json> = self
            .tables
            .iter()
            .filter(|(name, _)| *name != ANY)
            .map(|(name, node)| (name.clone(), node.schema(&below(name))))
            .collect();
        let weighed = path == "make_up" || path.starts_with("replenisher.") || path == "drag_in";
        let mut schema = BTreeMap::new();
        if !properties.is_empty() {
            schema.insert("type".to_owned(), text("object"));
            schema.insert("properties".to_owned(), Json::Table(properties));
            if weighed {
                schema.insert("$ref".to_owned(), text(AMOUNTS));
            }
        }
        if let Some(any) = self.tables.get(ANY) {
            schema.insert("type".to_owned(), text("object"));
            schema.insert("additionalProperties".to_owned(), any.schema(&below(ANY)));
        }
        match (&self.leaf, schema.is_empty()) {
            (Some(leaf), true) => leaf.clone(),
            // A key that is a value in one recipe and a table in another.
            (Some(leaf), false) => table([("anyOf", Json::List(vec![leaf.clone(), Json::Table(schema)]))]),
            (None, _) => Json::Table(schema),
        }
    }
}
