//! Frozen dataclasses from JSON Schemas.

use std::collections::BTreeMap;
use std::fmt::Write;

use schemars::JsonSchema;
use schemars::generate::{SchemaGenerator, SchemaSettings};
use serde_json::{Map, Value};

const WIDTH: usize = 99;

/// What is written so far: the room of each class.
#[derive(Default)]
pub struct Written {
    rooms: BTreeMap<String, &'static str>,
}

/// Takes the classes of a room.
pub struct Classes(SchemaGenerator);

impl Classes {
    /// Adds a class, and those of its fields.
    pub fn class<T: JsonSchema>(&mut self) {
        self.0.subschema_for::<T>();
    }
}

impl Written {
    /// The file of a room.
    pub fn room(&mut self, room: &'static str, add: impl FnOnce(&mut Classes)) -> String {
        let settings = SchemaSettings::draft2020_12().for_serialize();
        let mut classes = Classes(settings.into_generator());
        add(&mut classes);
        let defined = classes.0.definitions();
        let mut imported: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
        let mut text = String::new();
        for (name, schema) in defined {
            if let Some(other) = self.rooms.get(name) {
                imported.entry(other).or_default().push(name);
            } else if let Some(fields) = Fields::of(schema) {
                assert!(!name.ends_with(|c: char| c.is_ascii_digit()), "two structs are called {name}");
                self.rooms.insert(name.clone(), room);
                text.push_str(&fields.class(name, schema, defined));
            }
        }
        format!("{}{text}", head(&text, &imported))
    }
}

fn head(text: &str, imported: &BTreeMap<&str, Vec<&str>>) -> String {
    let mut head = String::from(
        "\"\"\"Results as the core hands them over. Written by `make results`: change the structs in Rust.\"\"\"\n\n\
         from __future__ import annotations\n\nfrom dataclasses import dataclass\n",
    );
    let typing: Vec<&str> = ["Any", "ClassVar"].into_iter().filter(|name| uses(text, name)).collect();
    if !typing.is_empty() {
        let _ = writeln!(head, "from typing import {}", typing.join(", "));
    }
    head +=
        if text.contains("np.") { "\nimport numpy as np\nfrom numpy.typing import NDArray\n" } else { "" };
    let bases: Vec<&str> =
        ["FlagBase", "Result"].into_iter().filter(|of| text.contains(&format!("({of})"))).collect();
    let _ = writeln!(head, "\nfrom bathkin.core.result import {}", bases.join(", "));
    for (room, names) in imported {
        let mut used: Vec<&str> = names.iter().copied().filter(|name| uses(text, name)).collect();
        used.sort_unstable();
        if !used.is_empty() {
            let _ = writeln!(head, "from bathkin.{room}.results import {}", used.join(", "));
        }
    }
    head
}

fn uses(text: &str, name: &str) -> bool {
    text.lines().any(|line| {
        line.starts_with("    ")
            && line.contains(": ")
            && line.split(|c: char| !c.is_alphanumeric() && c != '_').any(|word| word == name)
            && !line.starts_with("        ")
    })
}

/// Fields of a struct.
struct Fields<'a>(Vec<(&'a str, &'a Value, bool)>);

impl<'a> Fields<'a> {
    fn of(schema: &'a Value) -> Option<Self> {
        if let Some(properties) = schema.get("properties").and_then(Value::as_object) {
            return Some(Fields(properties.iter().map(|(name, of)| (name.as_str(), of, true)).collect()));
        }
        // Variants of an enum that has a tag: what not all of them have may be missing.
        let variants = schema.get("oneOf")?.as_array()?;
        let each: Vec<&Map<String, Value>> =
            variants.iter().filter_map(|of| of.get("properties")?.as_object()).collect();
        if each.is_empty() {
            return None;
        }
        let mut fields: Vec<(&str, &Value, bool)> = Vec::new();
        for (name, of) in each.iter().flat_map(|properties| properties.iter()) {
            if !fields.iter().any(|(known, _, _)| known == name) {
                let always = each.iter().all(|properties| properties.contains_key(name));
                fields.push((name, of, always));
            }
        }
        fields.sort_by_key(|(_, _, always)| !always);
        Some(Fields(fields))
    }

    fn class(&self, name: &str, schema: &Value, defined: &Map<String, Value>) -> String {
        let fields = self.0.iter().filter(|(field, _, _)| *field != "class");
        let mut docs = String::new();
        let mut lines = String::new();
        let mut columns = Vec::new();
        for (field, of, always) in fields {
            let kind = kind(of, defined);
            if kind.contains("NDArray") {
                columns.push(format!("\"{field}\""));
            }
            let text = described(of).unwrap_or_default() + &choices(of, defined);
            docs += &wrapped(&format!("{field}: {text}"), 8, 12);
            let missing = if *always { "" } else { " | None = None" };
            let _ = writeln!(lines, "    {field}: {kind}{missing}");
        }
        let told = described(schema).unwrap_or_default();
        let (first, rest) = told.split_once(". ").map_or((told.as_str(), ""), |(first, rest)| (first, rest));
        let first = format!("{}.", first.trim_end_matches('.'));
        let rest = if rest.is_empty() { String::new() } else { format!("\n{}", wrapped(rest, 4, 4)) };
        let arrays = columns_line(&columns);
        let base = if name == "Flag" { "FlagBase" } else { "Result" };
        format!(
            "\n\n@dataclass(frozen=True, slots=True, eq=False, repr=False)\nclass {name}({base}):\n    \
             \"\"\"{first}\n{rest}\n    Attributes:\n{docs}    \"\"\"\n\n{arrays}{lines}"
        )
    }
}

fn columns_line(columns: &[String]) -> String {
    if columns.is_empty() {
        return String::new();
    }
    let line = format!("    _ARRAYS: ClassVar = frozenset({{{}}})\n\n", columns.join(", "));
    if line.len() <= WIDTH + 3 {
        return line;
    }
    let inner: String = columns.iter().map(|name| format!("            {name},\n")).collect();
    format!("    _ARRAYS: ClassVar = frozenset(\n        {{\n{inner}        }}\n    )\n\n")
}

/// What a schema says of itself, without the links of Rust.
fn described(schema: &Value) -> Option<String> {
    let text = schema.get("description")?.as_str()?;
    let mut text = text.split("\n\n").next().unwrap_or(text).replace('\n', " ");
    // Links that only the documentation of Rust follows.
    while let Some((before, rest)) = text.split_once(" ([`crate::") {
        let after = rest.split_once("`])").map_or("", |(_, after)| after);
        text = format!("{before}{after}");
    }
    let plain = [("[`", "`"), ("`]", "`"), ("\u{b3}", "3"), ("\u{b2}", "2")];
    Some(plain.iter().fold(text, |text, (from, to)| text.replace(from, to)))
}

fn wrapped(text: &str, first: usize, indent: usize) -> String {
    let mut lines = vec![" ".repeat(first)];
    for word in text.split_whitespace() {
        let last = lines.last_mut().expect("there is a first line");
        let empty = last.trim().is_empty();
        if !empty && last.chars().count() + 1 + word.chars().count() > WIDTH {
            lines.push(format!("{}{word}", " ".repeat(indent)));
        } else {
            *last += if empty { "" } else { " " };
            *last += word;
        }
    }
    lines.join("\n") + "\n"
}

/// The words a field may be, where it is one of a few.
fn choices(schema: &Value, defined: &Map<String, Value>) -> String {
    let target = |of: &Value| Some(defined.get(of.get("$ref")?.as_str()?.rsplit('/').next()?)?.clone());
    let nullable = schema.get("anyOf").and_then(|of| of.as_array()?.first().and_then(target));
    let Some(of) = target(schema).or(nullable) else { return String::new() };
    let word = |value: &Value| Some(format!("`{}`", value.as_str()?));
    let list = |key: &str| of.get(key).and_then(Value::as_array).cloned().unwrap_or_default();
    let mut words: Vec<String> = list("enum").iter().filter_map(word).collect();
    for variant in list("oneOf") {
        words.extend(variant.get("const").and_then(word));
        words.extend(variant.get("enum").and_then(Value::as_array).into_iter().flatten().filter_map(word));
    }
    if words.is_empty() { String::new() } else { format!(" One of {}.", words.join(", ")) }
}

/// The Python type of a schema.
fn kind(schema: &Value, defined: &Map<String, Value>) -> String {
    let of = |schema: &Value| kind(schema, defined);
    let list = |key: &str| schema.get(key).and_then(Value::as_array);
    if let Some(name) = schema.get("$ref").and_then(Value::as_str).and_then(|path| path.rsplit('/').next()) {
        let target = &defined[name];
        return if Fields::of(target).is_some() { name.to_owned() } else { of(target) };
    }
    if let Some(choices) = list("anyOf") {
        let kinds: Vec<String> = choices.iter().map(of).collect();
        // A value of a document: number, text, truth or list.
        return if kinds.len() > 2 { "Any".to_owned() } else { kinds.join(" | ") };
    }
    if list("enum").is_some() || list("oneOf").is_some() || schema.get("const").is_some() {
        let nothing = list("enum").is_some_and(|names| names.contains(&Value::Null));
        return if nothing { "str | None" } else { "str" }.to_owned();
    }
    match schema.get("type") {
        Some(Value::Array(kinds)) => {
            let kinds: Vec<String> = kinds
                .iter()
                .map(|one| {
                    let mut alone = schema.clone();
                    alone["type"] = one.clone();
                    of(&alone)
                })
                .collect();
            kinds.join(" | ")
        }
        Some(Value::String(name)) => match name.as_str() {
            "number" => "float".to_owned(),
            "integer" => "int".to_owned(),
            "string" => "str".to_owned(),
            "boolean" => "bool".to_owned(),
            "null" => "None".to_owned(),
            "array" => sequence(schema, defined),
            "object" => {
                format!("dict[str, {}]", schema.get("additionalProperties").map_or("Any".to_owned(), of))
            }
            other => panic!("a result holds {other}"),
        },
        _ => "Any".to_owned(),
    }
}

fn sequence(schema: &Value, defined: &Map<String, Value>) -> String {
    const COLUMN: &str = "NDArray[np.float64]";
    if let Some(items) = schema.get("prefixItems").and_then(Value::as_array) {
        let kinds: Vec<String> = items.iter().map(|item| kind(item, defined)).collect();
        return format!("tuple[{}]", kinds.join(", "));
    }
    let item = kind(&schema["items"], defined);
    if let Some(count) = schema.get("maxItems").and_then(Value::as_u64) {
        return format!("tuple[{}]", vec![item; usize::try_from(count).expect("a few")].join(", "));
    }
    if item == "float" || item == COLUMN { COLUMN.to_owned() } else { format!("list[{item}]") }
}
