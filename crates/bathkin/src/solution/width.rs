//! How wide a constant is: one standard deviation of its log10 K at 25 degC, and of its enthalpy.
//!
//! A source that states a width gives it; where none does, the class of the number does. The classes are argued from
//! what the constants here show:
//!
//! | class | log10 K | kJ/mol | which, and why |
//! |---|---|---|---|
//! | standard | 0.01 | 0.5 | laid down by a standard: the ionic product of water |
//! | measured | 0.05 | 2 | titrated where it is used, or a critical evaluation of many measurements carried to zero ionic strength: with such acid constants the standard buffers come out to 0.01-0.04 of pH |
//! | database | 0.2 | 5 | one value of a compilation, listed at zero ionic strength however it was measured: half of the 0.4 by which the sources that stand as alternatives here differ in the middle, and these stand there because they dissent |
//! | analogy | 0.3 | 10 | computed or estimated from neighbours: oxygen ligands of nickel and cobalt differ by 0.25 here (13 pairs), enthalpies of nickel from those of cobalt and copper by 13 (27 pairs, 9 for one of two) |
//! | recalled | 0.5 | 10 | recalled, or read where nothing traces it: the ionic strength behind it may be 0 or 1, which is worth 0.5 for a pair with one charge of two |
//! | assumed | 1.0 | 20 | invented, or not known at all: each hydroxide takes 35-56 kJ/mol, each ammonia gives 13-22 |
//!
//! Widths of different constants count as independent, which steps of one ligand are not.

use schemars::JsonSchema;
use serde::Serialize;

use crate::source::Kind;

/// What a width rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum WidthClass {
    /// Said with the constant itself.
    Stated,
    /// Laid down by a standard.
    Standard,
    /// Titrated where it is used, or evaluated from many measurements.
    Measured,
    /// One value of a compilation.
    Database,
    /// Computed or estimated from neighbours.
    Analogy,
    /// Recalled, or read where nothing traces it.
    Recalled,
    /// Invented, or not known.
    Assumed,
}

impl WidthClass {
    /// Class, its name in documents, its width of log10 K and of an enthalpy in kJ/mol.
    const CLASSES: [(WidthClass, &str, f64, f64); 6] = [
        (WidthClass::Standard, "standard", 0.01, 0.5),
        (WidthClass::Measured, "measured", 0.05, 2.0),
        (WidthClass::Database, "database", 0.2, 5.0),
        (WidthClass::Analogy, "analogy", 0.3, 10.0),
        (WidthClass::Recalled, "recalled", 0.5, 10.0),
        (WidthClass::Assumed, "assumed", 1.0, 20.0),
    ];

    /// Names a document may give as `width_class`.
    pub fn names() -> impl Iterator<Item = &'static str> {
        Self::CLASSES.iter().map(|(_, name, ..)| *name)
    }

    /// Reads a class as written in a document.
    pub fn parse(text: &str) -> Option<Self> {
        Self::CLASSES.iter().find(|(_, name, ..)| *name == text).map(|(class, ..)| *class)
    }

    /// The class of a number that says no more than its kind.
    pub fn of(kind: Kind) -> Self {
        match kind {
            Kind::Standard => WidthClass::Standard,
            Kind::Fitted => WidthClass::Measured,
            Kind::Published => WidthClass::Database,
            Kind::Computed | Kind::Estimated => WidthClass::Analogy,
            Kind::FromMemory | Kind::ReadUntraceable | Kind::CommonPractice | Kind::User => {
                WidthClass::Recalled
            }
            Kind::Invented => WidthClass::Assumed,
        }
    }

    /// Widths of log10 K and of an enthalpy in kJ/mol; none for what is stated beside a number.
    fn widths(self) -> Option<(f64, f64)> {
        Self::CLASSES.iter().find(|(class, ..)| *class == self).map(|(.., log_k, kj_mol)| (*log_k, *kj_mol))
    }
}

/// One standard deviation, and what it rests on.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct Width {
    /// The standard deviation.
    pub value: f64,
    /// What it rests on.
    pub class: WidthClass,
}

impl Width {
    /// Of log10 K at 25 degC: as stated, else that of the class.
    ///
    /// ```
    /// use bathkin::solution::{Width, WidthClass};
    /// let recalled = Width::of_log_k(None, WidthClass::Recalled);
    /// assert_eq!((recalled.value, recalled.class), (0.5, WidthClass::Recalled));
    /// assert_eq!(Width::of_log_k(Some(0.1), WidthClass::Recalled).class, WidthClass::Stated);
    /// ```
    pub fn of_log_k(stated: Option<f64>, class: WidthClass) -> Self {
        Self::new(stated, class, |(log_k, _)| log_k)
    }

    /// Of an enthalpy, kJ/mol: as stated, else that of the class.
    pub fn of_enthalpy(stated: Option<f64>, class: WidthClass) -> Self {
        Self::new(stated, class, |(_, kj_mol)| kj_mol)
    }

    fn new(stated: Option<f64>, class: WidthClass, which: impl Fn((f64, f64)) -> f64) -> Self {
        match (stated, class.widths()) {
            (None, Some(widths)) => Width { value: which(widths), class },
            (stated, _) => Width { value: stated.unwrap_or(0.0), class: WidthClass::Stated },
        }
    }
}
