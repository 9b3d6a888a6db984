//! Chemical formulas: which elements, which charge, how heavy.

use std::collections::BTreeMap;
use std::fmt;

/// A chemical element, by its symbol.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Element([u8; 2]);

impl Element {
    /// The element with this symbol, if it looks like one (`H`, `Ni`).
    pub fn new(symbol: &str) -> Option<Self> {
        match symbol.as_bytes() {
            [a] if a.is_ascii_uppercase() => Some(Element([*a, b' '])),
            [a, b] if a.is_ascii_uppercase() && b.is_ascii_lowercase() => Some(Element([*a, *b])),
            _ => None,
        }
    }

    /// Its symbol.
    pub fn symbol(&self) -> String {
        self.0.iter().filter(|byte| **byte != b' ').map(|byte| *byte as char).collect()
    }
}

impl fmt::Debug for Element {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.symbol())
    }
}

impl fmt::Display for Element {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.symbol())
    }
}

/// Atoms of each element, per formula unit.
pub type Elements = BTreeMap<Element, f64>;

/// A formula such as `NiSO4.6H2O`, `(NH4)2SO4`, `HPO3-2` or `H+`.
#[derive(Debug, Clone, PartialEq)]
pub struct Formula {
    /// As written.
    pub text: String,
    /// Atoms of each element.
    pub elements: Elements,
    /// Charge number.
    pub charge: f64,
}

impl Formula {
    /// Reads a formula.
    ///
    /// Groups in parentheses may carry a count, a dot separates water of crystallisation, and a
    /// charge stands at the end as `+`, `-`, `+2`, `-3`.
    ///
    /// # Errors
    /// A sentence saying what could not be read.
    ///
    /// ```
    /// use bathkin::solution::{Element, Formula};
    /// let salt = Formula::parse("NiSO4.6H2O").unwrap();
    /// assert_eq!(salt.elements[&Element::new("O").unwrap()], 10.0);
    /// assert_eq!(Formula::parse("HPO3-2").unwrap().charge, -2.0);
    /// ```
    pub fn parse(text: &str) -> Result<Self, String> {
        let (body, charge) = split_charge(text)?;
        let mut elements = Elements::new();
        for part in body.split('.') {
            let (count, rest) = leading_count(part);
            let mut reader = Reader { bytes: rest.as_bytes(), at: 0, text };
            let group = reader.group(0)?;
            add(&mut elements, &group, count);
        }
        if elements.is_empty() {
            return Err(format!("'{text}' has no element in it"));
        }
        Ok(Formula { text: text.to_owned(), elements, charge })
    }

    /// Molar mass, g/mol, from the atomic weights given.
    ///
    /// # Errors
    /// Names the element whose atomic weight is missing.
    pub fn molar_mass_g_mol(&self, atomic_weights: &BTreeMap<Element, f64>) -> Result<f64, String> {
        self.elements.iter().try_fold(0.0, |sum, (element, count)| {
            atomic_weights
                .get(element)
                .map(|weight| sum + weight * count)
                .ok_or_else(|| format!("no atomic weight for {element} (in {})", self.text))
        })
    }
}

/// Adds `times` × `other` into `elements`.
pub fn add(elements: &mut Elements, other: &Elements, times: f64) {
    for (element, count) in other {
        *elements.entry(*element).or_insert(0.0) += count * times;
    }
}

fn split_charge(text: &str) -> Result<(&str, f64), String> {
    let Some(at) = text.rfind(['+', '-']) else { return Ok((text, 0.0)) };
    let (body, tail) = text.split_at(at);
    let sign = if tail.starts_with('+') { 1.0 } else { -1.0 };
    let size = match &tail[1..] {
        "" => 1.0,
        digits => digits.parse::<u8>().map_err(|_| format!("'{tail}' is no charge in '{text}'"))?.into(),
    };
    Ok((body, sign * size))
}

fn leading_count(part: &str) -> (f64, &str) {
    let end = part.find(|c: char| !c.is_ascii_digit()).unwrap_or(part.len());
    (part[..end].parse().unwrap_or(1.0), &part[end..])
}

struct Reader<'a> {
    bytes: &'a [u8],
    at: usize,
    text: &'a str,
}

impl Reader<'_> {
    fn group(&mut self, depth: usize) -> Result<Elements, String> {
        let mut elements = Elements::new();
        while self.at < self.bytes.len() {
            match self.bytes[self.at] {
                b'(' => {
                    self.at += 1;
                    let inner = self.group(depth + 1)?;
                    let count = self.count();
                    add(&mut elements, &inner, count);
                }
                b')' if depth > 0 => {
                    self.at += 1;
                    return Ok(elements);
                }
                b if b.is_ascii_uppercase() => {
                    let lower = self.bytes.get(self.at + 1).is_some_and(u8::is_ascii_lowercase);
                    let end = self.at + if lower { 2 } else { 1 };
                    let symbol: String = self.bytes[self.at..end].iter().map(|b| *b as char).collect();
                    self.at = end;
                    let count = self.count();
                    // `symbol` starts with a capital and has at most one small letter: always an element shape.
                    if let Some(element) = Element::new(&symbol) {
                        *elements.entry(element).or_insert(0.0) += count;
                    }
                }
                other => {
                    return Err(format!("unexpected '{}' in '{}'", other as char, self.text));
                }
            }
        }
        if depth > 0 { Err(format!("a parenthesis is not closed in '{}'", self.text)) } else { Ok(elements) }
    }

    fn count(&mut self) -> f64 {
        let start = self.at;
        while self.bytes.get(self.at).is_some_and(u8::is_ascii_digit) {
            self.at += 1;
        }
        self.bytes[start..self.at]
            .iter()
            .fold(None, |n: Option<f64>, d| Some(n.unwrap_or(0.0) * 10.0 + f64::from(d - b'0')))
            .unwrap_or(1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_groups_hydrates_and_charges() {
        let formula = Formula::parse("(NH4)2SO4").unwrap();
        assert_eq!(formula.elements[&Element::new("H").unwrap()], 8.0);
        let formula = Formula::parse("Na2HPO3.5H2O").unwrap();
        assert_eq!(formula.elements[&Element::new("H").unwrap()], 11.0);
        assert_eq!(formula.elements[&Element::new("O").unwrap()], 8.0);
        assert_eq!(Formula::parse("Ni(NH3)4+2").unwrap().charge, 2.0);
        assert_eq!(Formula::parse("H2PO2-").unwrap().charge, -1.0);
    }

    #[test]
    fn refuses_what_is_no_formula() {
        for bad in ["", "ni", "Ni(SO4", "Ni)", "Ni+x", "*"] {
            assert!(Formula::parse(bad).is_err(), "{bad}");
        }
    }
}
