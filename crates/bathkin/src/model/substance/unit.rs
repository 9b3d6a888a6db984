//! The unit that ends a name of an amount.

/// A unit of an amount per litre of bath.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// g/L.
    Grams,
    /// mg/L.
    Milligrams,
    /// mol/L.
    Moles,
    /// mmol/L, in names also mM.
    Millimoles,
}

impl Unit {
    /// Endings of names, each with its unit.
    pub const ENDINGS: [(&'static str, Unit); 5] = [
        ("_mg_l", Unit::Milligrams),
        ("_g_l", Unit::Grams),
        ("_mmol_l", Unit::Millimoles),
        ("_mM", Unit::Millimoles),
        ("_mol_l", Unit::Moles),
    ];

    /// Whether it is a mass.
    pub fn is_mass(self) -> bool {
        matches!(self, Unit::Grams | Unit::Milligrams)
    }

    /// Moles per litre for one of it; `g_mol` is grams per mole, of no consequence where it counts moles.
    pub fn mol_l(self, g_mol: f64) -> f64 {
        match self {
            Unit::Grams => 1.0 / g_mol,
            Unit::Milligrams => 1e-3 / g_mol,
            Unit::Moles => 1.0,
            Unit::Millimoles => 1e-3,
        }
    }

    /// As people write it.
    pub fn text(self) -> &'static str {
        match self {
            Unit::Grams => "g/L",
            Unit::Milligrams => "mg/L",
            Unit::Moles => "mol/L",
            Unit::Millimoles => "mmol/L",
        }
    }

    /// As names end in it.
    pub fn ending(self) -> &'static str {
        match self {
            Unit::Grams => "_g_l",
            Unit::Milligrams => "_mg_l",
            Unit::Moles => "_mol_l",
            Unit::Millimoles => "_mmol_l",
        }
    }
}

/// A name of an amount in its parts: `orthophosphite`, g/L, as `na2hpo3`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Name<'a> {
    /// Component, reagent or role.
    pub substance: &'a str,
    /// Unit.
    pub unit: Unit,
    /// What it is weighed as, where the name says so.
    pub form: Option<&'a str>,
}

impl<'a> Name<'a> {
    /// The parts of a name; `None` for one that ends in no unit of an amount.
    ///
    /// ```
    /// use bathkin::model::substance::{Name, Unit};
    /// let name = Name::split("orthophosphite_g_l_as_na2hpo3").unwrap();
    /// assert_eq!((name.substance, name.unit, name.form), ("orthophosphite", Unit::Grams, Some("na2hpo3")));
    /// assert_eq!(Name::split("tank.volume_l"), None);
    /// ```
    pub fn split(name: &'a str) -> Option<Self> {
        let ends = |text: &'a str| {
            Unit::ENDINGS.iter().find_map(|(ending, unit)| Some((text.strip_suffix(ending)?, *unit)))
        };
        let with_form = name.split_once("_as_").and_then(|(amount, form)| Some((ends(amount)?, Some(form))));
        let ((substance, unit), form) = with_form.or_else(|| Some((ends(name)?, None)))?;
        (!substance.is_empty()).then_some(Name { substance, unit, form })
    }
}
