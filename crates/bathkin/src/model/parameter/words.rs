//! A number in words: its unit, which ends its name, and what it is called.

use super::Parameter;
use crate::document::Unit;
use crate::document::units::split;

/// Tables whose keys are names, and how a member of each is said.
const MEMBERS: [(&str, &str); 18] = [
    ("accelerator", "acceleration by"),
    ("adsorbate", "adsorption of"),
    ("bulk_reaction", "reaction"),
    ("deposit", "atoms in the deposit of"),
    ("diffusion", "diffusion coefficient of"),
    ("gas", "atoms in the gas of"),
    ("half_reaction", "half-reaction"),
    ("inhibition", "inhibition by"),
    ("liquid", "moles in the liquid of"),
    ("order", "order in"),
    ("reagent_per_kg", "price per kg of"),
    ("reference", "reference concentration of"),
    ("reference_free", "free reference concentration of"),
    ("saturation", "saturation in"),
    ("solid", "atoms in the solid of"),
    ("species", "species"),
    ("stabilizer", "stabilizer"),
    ("suppression", "suppression by"),
];

impl Parameter {
    /// Its unit; empty where it has none.
    ///
    /// ```
    /// let recipe = bathkin::Recipe::built_in("nickel-acid")?;
    /// let all = recipe.model()?.parameters();
    /// let energy = all.iter().find(|one| one.path == "deposition.activation_energy_kj_mol").expect("it has one");
    /// assert_eq!((energy.unit(), energy.text().as_str()), ("kJ/mol", "activation energy of deposition"));
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    pub fn unit(&self) -> &'static str {
        Unit::of(&self.path).map_or("", |unit| unit.shown)
    }

    /// What it is called: its name, and the tables it stands in from the innermost out.
    pub fn text(&self) -> String {
        let (name, _) = split(&self.path);
        let words: Vec<&str> = name.split('.').collect();
        let mut phrases = Vec::new();
        let mut place = 0;
        while place < words.len() {
            let member = MEMBERS.iter().find(|(table, _)| *table == words[place] && place + 1 < words.len());
            phrases.push(match member {
                Some((_, said)) => format!("{said} {}", plain(words[place + 1])),
                None => plain(words[place]),
            });
            place += 1 + usize::from(member.is_some());
        }
        let of_member =
            phrases.last().is_some_and(|last| MEMBERS.iter().any(|(_, said)| last.starts_with(said)));
        let Some(name) = phrases.pop() else { return String::new() };
        phrases.reverse();
        let first = if of_member { ", " } else { " of " };
        if phrases.is_empty() { name } else { format!("{name}{first}{}", phrases.join(", ")) }
    }
}

/// A word of a path as it is said.
fn plain(word: &str) -> String {
    let said = |part| if part == "ph" { "pH" } else { part };
    word.split('_').map(said).collect::<Vec<_>>().join(" ")
}
