//! The dictionary in words.

use serde::Serialize;

use super::{Quantity, UsualError, Worse};
use crate::tank::Tank;
use bathkin_numerics::short;

/// A quantity of a bath in words.
#[derive(Debug, Clone, PartialEq, schemars::JsonSchema, Serialize)]
#[serde(rename = "Quantity")]
pub struct Described {
    /// Name with unit.
    pub name: String,
    /// Words for it.
    pub title: String,
    /// Symbol.
    pub symbol: String,
    /// Unit; empty for a pure number.
    pub unit: &'static str,
    /// `rising`, `falling` or `neither`.
    pub worse: &'static str,
    /// Error of its analysis, with its source.
    pub usual_error: String,
    /// Whether a life shows it as a column.
    pub column: bool,
    /// One sentence that says what it is.
    pub definition: &'static str,
}

impl Quantity {
    /// Words for it.
    pub fn title(self, tank: &Tank) -> String {
        self.filled(tank, self.entry.title)
    }

    /// Everything in words.
    pub fn described(self, tank: &Tank) -> Described {
        Described {
            name: self.name(tank),
            title: self.title(tank),
            symbol: self.filled(tank, self.entry.symbol),
            unit: self.entry.unit,
            worse: match self.worse(tank) {
                Worse::Rising => "rising",
                Worse::Falling => "falling",
                Worse::Neither => "neither",
            },
            usual_error: match self.entry.error {
                _ if self.entry.counts => String::new(),
                UsualError::Absolute(sigma, source) => {
                    format!("{} {} ({source})", short(sigma), self.entry.unit).replace("  ", " ")
                }
                UsualError::Relative(part, source) => format!("{} % ({source})", short(100.0 * part)),
            },
            column: (self.entry.column)(tank, self.member),
            definition: self.entry.definition,
        }
    }

    /// The words and the unit of a limit or a column by its name, with or without the substrate it holds for.
    ///
    /// A name that nothing has is its own words.
    pub fn words(tank: &Tank, name: &str) -> (String, String) {
        if let Some((substrate, own)) = name.rsplit_once('.') {
            let (words, unit) = Quantity::words(tank, own);
            return (format!("{words} on {}", substrate.replace('_', " ")), unit);
        }
        let side = [("_min", " (lowest)"), ("_max", " (highest)")];
        let of = |name: &str, side: &str| {
            let quantity = Quantity::named(tank, name)?;
            let title = quantity.filled(tank, quantity.entry.limit_title.unwrap_or(quantity.entry.title));
            Some((format!("{title}{side}"), quantity.entry.unit.to_owned()))
        };
        let held = || side.iter().find_map(|(ending, side)| of(name.strip_suffix(ending)?, side));
        of(name, "").or_else(held).unwrap_or_else(|| (name.replace('_', " "), String::new()))
    }

    /// A text of the entry with the member and the metal put in.
    fn filled(self, tank: &Tank, text: &str) -> String {
        let words = |name: &str| name.replace('_', " ");
        let metal = &tank.bath.equilibrium.component_names()[tank.bath.roles.metal];
        text.replace("{}", &words(&self.member(tank))).replace("{metal}", &words(metal))
    }
}
