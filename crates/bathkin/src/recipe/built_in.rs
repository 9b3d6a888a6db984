//! The built-in recipes, and recipes on top of them.

use crate::document::{Document, Value};
use crate::error::{Error, Result};

/// Name and text of each.
pub(crate) const BUILT_IN: [(&str, &str); 19] = [
    ("nickel-acid", include_str!("../../data/recipes/nickel-acid.toml")),
    ("nickel-stabilized", include_str!("../../data/recipes/nickel-stabilized.toml")),
    ("nickel-lead", include_str!("../../data/recipes/nickel-lead.toml")),
    ("nickel-succinate", include_str!("../../data/recipes/nickel-succinate.toml")),
    ("nickel-citrate", include_str!("../../data/recipes/nickel-citrate.toml")),
    ("nickel-low-ligand", include_str!("../../data/recipes/nickel-low-ligand.toml")),
    ("nickel-lactate", include_str!("../../data/recipes/nickel-lactate.toml")),
    ("nickel-mixed-potential", include_str!("../../data/recipes/nickel-mixed-potential.toml")),
    ("nickel-textbook", include_str!("../../data/recipes/nickel-textbook.toml")),
    ("copper-edta", include_str!("../../data/recipes/copper-edta.toml")),
    ("copper-tartrate", include_str!("../../data/recipes/copper-tartrate.toml")),
    ("copper-tartrate-quiet", include_str!("../../data/recipes/copper-tartrate-quiet.toml")),
    ("copper-textbook", include_str!("../../data/recipes/copper-textbook.toml")),
    ("nickel-alkaline", include_str!("../../data/recipes/nickel-alkaline.toml")),
    ("nickel-boron", include_str!("../../data/recipes/nickel-boron.toml")),
    ("cobalt-hypophosphite", include_str!("../../data/recipes/cobalt-hypophosphite.toml")),
    ("palladium-hypophosphite", include_str!("../../data/recipes/palladium-hypophosphite.toml")),
    ("silver-tartrate", include_str!("../../data/recipes/silver-tartrate.toml")),
    ("gold-borohydride", include_str!("../../data/recipes/gold-borohydride.toml")),
];

/// A document on top of the built-in recipe it names with `base`, if it names one.
pub(crate) fn on_its_base(document: Document) -> Result<Document> {
    let Some(entry) = document.get("base") else { return Ok(document) };
    let known = |name: &str| BUILT_IN.iter().find(|(known, _)| *known == name);
    let name = if let Value::Text(name) = &entry.value { name.as_str() } else { "" };
    let (name, text) = known(name).ok_or_else(|| {
        Error::unknown_name(
            entry.place.clone(),
            "built-in recipe",
            name,
            BUILT_IN.iter().map(|(name, _)| *name),
        )
    })?;
    // A built-in recipe may stand on another one.
    Ok(document.on_top_of(on_its_base(Document::parse(name, text)?)?))
}
