//! Every built-in number says where it comes from.

use bathkin::document::Value;
use bathkin::recipe::Recipe;
use bathkin::solution::chemistry::DEFAULT_CONSTANT;

/// Numbers without a source: the format, stoichiometry (it is checked by its balance) and
/// reference states (they only name the state a value holds at).
fn needs_no_source(path: &str) -> bool {
    let reference = path.split('.').any(|part| part.starts_with("reference_"));
    let stoichiometry = ["liquid", "gas", "solid"].map(|side| format!(".{side}."));
    let in_bulk = path.starts_with("bulk_reaction.") && stoichiometry.iter().any(|side| path.contains(side));
    path == "format" || path.starts_with("half_reaction.") || in_bulk || reference
}

#[test]
fn every_number_of_a_built_in_recipe_has_a_source() {
    for name in Recipe::built_in_names() {
        let recipe = Recipe::built_in(name).expect("built in");
        let numbers: Vec<_> = recipe
            .document()
            .entries()
            .iter()
            .filter(|entry| matches!(entry.value, Value::Number(_)) && !needs_no_source(&entry.path))
            .collect();
        assert!(numbers.len() > 20, "{name} has numbers");
        for entry in numbers {
            let source = entry.source.as_ref();
            assert!(
                source.is_some_and(|source| !source.text.trim().is_empty() && source.text != "no source"),
                "{name}, {}: {} has no source",
                entry.place,
                entry.path
            );
        }
    }
}

#[test]
fn every_species_has_a_source() {
    let (_, chemistry) = bathkin::model::database::built_in().expect("built in");
    assert!(chemistry.species.len() > 20);
    for species in &chemistry.species {
        let others = species.alternatives.iter().map(|(_, evidence)| evidence);
        for evidence in others.chain([&species.evidence]) {
            let (name, label) = (&species.name, &evidence.label);
            assert!(!evidence.source.text.trim().is_empty(), "{name}, {label}: no source");
            assert!(
                label == DEFAULT_CONSTANT || evidence.note.is_some(),
                "{name}: nothing says why {label} is not the one in use"
            );
        }
    }
}
