//! A number in words: its unit, which ends its name, and what it is called.

use super::Parameter;

/// Endings of names and the units they stand for; longer endings first.
const UNITS: [(&str, &str); 42] = [
    ("_mg_cm2_h", "mg/(cm2 h)"),
    ("_mol_m2_s", "mol/(m2 s)"),
    ("_mol_l_h", "mol/(L h)"),
    ("_mol_l_s", "mol/(L s)"),
    ("_j_mol_k", "J/(mol K)"),
    ("_l_m2_h", "L/(m2 h)"),
    ("_mv_decade", "mV/decade"),
    ("_cm3_mol", "cm3/mol"),
    ("_kg_mol", "kg/mol"),
    ("_ml_per_ml", "mL/mL"),
    ("_kj_mol", "kJ/mol"),
    ("_mmol_l", "mmol/L"),
    ("_ma_cm2", "mA/cm2"),
    ("_dm2_l", "dm2/L"),
    ("_g_cm3", "g/cm3"),
    ("_v_she", "V SHE"),
    ("_l_mol", "L/mol"),
    ("_mol_l", "mol/L"),
    ("_m2_s", "m2/s"),
    ("_mg_l", "mg/L"),
    ("_mv_k", "mV/K"),
    ("_um_h", "um/h"),
    ("_ml_l", "mL/L"),
    ("_l_m2", "L/m2"),
    ("_g_ml", "g/mL"),
    ("_1_s", "1/s"),
    ("_m_h", "m/h"),
    ("_m_s", "m/s"),
    ("_g_l", "g/L"),
    ("_l_h", "L/h"),
    ("_dm2", "dm2"),
    ("_atm", "atm"),
    ("_pct", "%"),
    ("_mM", "mmol/L"),
    ("_um", "um"),
    ("_m2", "m2"),
    ("_ml", "mL"),
    ("_c", "degC"),
    ("_h", "h"),
    ("_l", "L"),
    ("_s", "s"),
    ("_v", "V"),
];

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

/// The name without its unit, and the unit: that of the last word, else of a table that its names are members of
/// (`reference_mol_l.nickel`); empty for a number without one.
fn split(path: &str) -> (String, &'static str) {
    let mut words: Vec<&str> = path.split('.').collect();
    for place in (0..words.len()).rev().take(2) {
        let found = UNITS.iter().find_map(|(ending, unit)| Some((words[place].strip_suffix(ending)?, *unit)));
        if let Some((name, unit)) = found {
            words[place] = name;
            return (words.join("."), unit);
        }
    }
    (path.to_owned(), "")
}

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
        split(&self.path).1
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
