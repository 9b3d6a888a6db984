//! What the benches share; see `bath.rs`.

/// The bath of the benches: acid nickel by a plain power law in a file of its own, so that ratios go on whatever law the
/// built-in bath has, and the peers compute the same law.
///
/// # Panics
/// When the file is no recipe.
#[must_use]
pub fn power_law() -> bathkin::Recipe {
    bathkin::Recipe::from_toml("power-law", include_str!("data/power-law.toml")).expect("a recipe")
}
