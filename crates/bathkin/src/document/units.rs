//! The unit of a number: it ends the last word of its path, or the table that its names are members of.

/// A unit that ends names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unit {
    ending: &'static str,
    /// As it is shown.
    pub shown: &'static str,
    /// As a unit library reads it.
    pub parsed: &'static str,
    /// What a number in it is.
    pub measures: &'static str,
}

const fn unit(
    ending: &'static str,
    shown: &'static str,
    parsed: &'static str,
    measures: &'static str,
) -> Unit {
    Unit { ending, shown, parsed, measures }
}

/// Of endings that end each other the longest counts.
const UNITS: [Unit; 46] = [
    unit("1_s", "1/s", "1/s", "a rate constant in 1/s"),
    unit("atm", "atm", "atm", "a pressure in atm"),
    unit("c", "degC", "degC", "a temperature in degC"),
    unit("cm2", "cm2", "cm**2", "an area in cm2"),
    unit("cm3_mol", "cm3/mol", "cm**3/mol", "a molar volume in cm3/mol"),
    unit("dm2", "dm2", "dm**2", "an area in dm2"),
    unit("dm2_l", "dm2/L", "dm**2/L", "a loading in dm2/L"),
    unit("g", "g", "g", "a mass in g"),
    unit("g_cm3", "g/cm3", "g/cm**3", "a density in g/cm3"),
    unit("g_l", "g/L", "g/L", "a concentration in g/L"),
    unit("g_ml", "g/mL", "g/mL", "a density in g/mL"),
    unit("h", "h", "h", "a time in h"),
    unit("j_mol_k", "J/(mol K)", "J/mol/K", "a molar heat capacity in J/(mol K)"),
    unit("k", "K", "kelvin", "a temperature in K"),
    unit("kg_mol", "kg/mol", "kg/mol", "an interaction coefficient in kg/mol"),
    unit("kj_mol", "kJ/mol", "kJ/mol", "a molar energy in kJ/mol"),
    unit("l", "L", "L", "a volume in L"),
    unit("l_h", "L/h", "L/h", "a volume per time in L/h"),
    unit("l_m2", "L/m2", "L/m**2", "a volume per area in L/m2"),
    unit("l_m2_h", "L/(m2 h)", "L/m**2/h", "a gas rate in L/(m2 h)"),
    unit("l_mol", "L/mol", "L/mol", "an adsorption constant in L/mol"),
    unit("m2", "m2", "m**2", "an area in m2"),
    unit("m2_s", "m2/s", "m**2/s", "a diffusion coefficient in m2/s"),
    unit("mM", "mmol/L", "mmol/L", "a concentration in mmol/L"),
    unit("m_h", "m/h", "m/h", "a film coefficient in m/h"),
    unit("m_s", "m/s", "m/s", "a mass transfer coefficient in m/s"),
    unit("ma_cm2", "mA/cm2", "mA/cm**2", "a current density in mA/cm2"),
    unit("mg", "mg", "mg", "a mass in mg"),
    unit("mg_cm2_h", "mg/(cm2 h)", "mg/cm**2/h", "a mass per area and time in mg/(cm2 h)"),
    unit("mg_l", "mg/L", "mg/L", "a concentration in mg/L"),
    unit("ml", "mL", "mL", "a volume in mL"),
    unit("ml_l", "mL/L", "mL/L", "a volume per volume in mL/L"),
    unit("ml_per_ml", "mL/mL", "mL/mL", "a volume per volume in mL/mL"),
    unit("mmol_l", "mmol/L", "mmol/L", "a concentration in mmol/L"),
    unit("mol_l", "mol/L", "mol/L", "a concentration in mol/L"),
    unit("mol_l_h", "mol/(L h)", "mol/L/h", "a rate per volume in mol/(L h)"),
    unit("mol_l_s", "mol/(L s)", "mol/L/s", "a rate per volume in mol/(L s)"),
    unit("mol_m2_s", "mol/(m2 s)", "mol/m**2/s", "a rate in mol/(m2 s)"),
    unit("mv_decade", "mV/decade", "mV", "a Tafel slope in mV for a decade of the current"),
    unit("mv_k", "mV/K", "mV/kelvin", "a potential slope in mV/K"),
    unit("pct", "%", "percent", "a percentage"),
    unit("s", "s", "s", "a time in s"),
    unit("um", "um", "um", "a thickness in um"),
    unit("um_h", "um/h", "um/h", "a deposition rate in um/h"),
    unit("v", "V", "V", "a potential in V"),
    unit("v_she", "V SHE", "V", "a potential in V against the standard hydrogen electrode"),
];

/// Elsewhere `_min` ends the least value of something.
const MINUTES: Unit = unit("minutes", "min", "min", "a time in min");
const IN_MINUTES: [&str; 3] = ["minutes", "time_min", "plating_min"];

/// What prices and yields are for: their numbers have no unit of their own.
const PER: [&str; 7] =
    ["per_metal_mol", "_per_kg", "_per_l", "_per_h", "_per_kwh", "_per_dump", "_per_kg_metal"];

impl Unit {
    /// The unit of the number at a path; none for a plain number.
    ///
    /// ```
    /// use bathkin::document::Unit;
    ///
    /// let shown = |path| Unit::of(path).map(|unit| unit.shown);
    /// assert_eq!(shown("deposition.reference_mol_l.nickel"), Some("mol/L"));
    /// assert_eq!(shown("limits.orthophosphite_g_l_as_hpo3"), Some("g/L"));
    /// assert_eq!(shown("decomposition.rate_1_s"), Some("1/s"));
    /// assert_eq!((shown("operation.ph"), shown("cost.water_per_l")), (None, None));
    /// ```
    pub fn of(path: &str) -> Option<Unit> {
        split(path).1
    }
}

/// A path without the unit of its number, and that unit.
pub fn split(path: &str) -> (String, Option<Unit>) {
    let mut words: Vec<String> = path.split('.').map(str::to_owned).collect();
    for word in words.iter_mut().rev().take(2) {
        if IN_MINUTES.contains(&word.as_str()) {
            let name = word.trim_end_matches("_min").to_owned();
            *word = name;
            return (words.join("."), Some(MINUTES));
        }
        let (name, said) = qualified(word);
        if PER.iter().any(|per| name.ends_with(per)) {
            return (path.to_owned(), None);
        }
        if let Some((stem, unit)) = ended(name) {
            *word = format!("{stem}{said}");
            return (words.join("."), Some(unit));
        }
    }
    (path.to_owned(), None)
}

/// A name without the unit that ends it.
fn ended(name: &str) -> Option<(&str, Unit)> {
    let stem = |unit: &Unit| {
        let stem = name.strip_suffix(unit.ending)?;
        stem.strip_suffix('_').or_else(|| stem.is_empty().then_some(stem)).map(|stem| (stem, *unit))
    };
    UNITS.iter().filter_map(stem).max_by_key(|(_, unit)| unit.ending.len())
}

/// A name up to its unit, and what says how the number is meant: `_as_hpo3`, `_above`, `_of_fresh`, `_max`.
fn qualified(word: &str) -> (&str, &str) {
    let mut name = word.find("_as_").map_or(word, |at| &word[..at]);
    let of = name.find("_pct_of_").map(|at| &name[..at + "_pct".len()]);
    let side = ["_above", "_below", "_min", "_max"].into_iter().find_map(|side| name.strip_suffix(side));
    if let Some(before) = of.or(side).filter(|before| ended(before).is_some()) {
        name = before;
    }
    (name, &word[name.len()..])
}
