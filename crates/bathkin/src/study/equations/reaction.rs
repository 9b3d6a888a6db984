//! Reactions as chemistry: half-reactions, and what they come to together.

use crate::solution::{Chemistry, Element, Elements, Formula};
use crate::study::equations::expression::written_number;
use crate::study::equations::notation::Notation;
use crate::surface::HalfReaction;

/// Gases of two atoms.
const DIATOMIC: [&str; 3] = ["H", "N", "O"];
/// Less of a substance than this is rounding.
const NOTHING: f64 = 1e-9;

/// What a reaction makes (positive) and uses.
#[derive(Debug, Clone, Default)]
pub(crate) struct Balance {
    terms: Vec<(Substance, f64)>,
}

#[derive(Debug, Clone, PartialEq)]
enum Substance {
    Dissolved(Formula),
    Solid(Element),
    Gas(Element),
    Electron,
}

impl Balance {
    /// Of a half-reaction.
    pub(crate) fn of(reaction: &HalfReaction, chemistry: &Chemistry) -> Self {
        let mut balance = Balance::default();
        balance.add(reaction, chemistry, 1.0);
        balance
    }

    /// Adds `times` a half-reaction.
    pub(crate) fn add(&mut self, reaction: &HalfReaction, chemistry: &Chemistry, times: f64) {
        for (component, moles) in &reaction.liquid {
            self.dissolved(chemistry, *component, times * moles);
        }
        for (element, atoms) in &reaction.deposit {
            self.put(Substance::Solid(*element), times * atoms);
        }
        self.evolved(&reaction.gas, times);
        self.put(Substance::Electron, times * reaction.electrons);
    }

    /// Adds a component of the liquid.
    pub(crate) fn dissolved(&mut self, chemistry: &Chemistry, component: usize, moles: f64) {
        self.put(Substance::Dissolved(chemistry.components[component].formula.clone()), moles);
    }

    /// Adds what falls out as a powder.
    pub(crate) fn settled(&mut self, elements: &Elements) {
        for (element, atoms) in elements {
            self.put(Substance::Solid(*element), *atoms);
        }
    }

    /// Adds gas, `times` the atoms.
    pub(crate) fn evolved(&mut self, elements: &Elements, times: f64) {
        for (element, atoms) in elements {
            self.put(Substance::Gas(*element), times * atoms);
        }
    }

    fn put(&mut self, substance: Substance, moles: f64) {
        match self.terms.iter_mut().find(|(known, _)| *known == substance) {
            Some((_, sum)) => *sum += moles,
            None => self.terms.push((substance, moles)),
        }
    }

    /// Coefficients to four decimals.
    pub(crate) fn rounded(mut self) -> Self {
        const DIGITS: f64 = 1e4;
        for (_, moles) in &mut self.terms {
            *moles = (*moles * DIGITS).round() / DIGITS;
        }
        self
    }

    /// Both sides with an arrow.
    pub(crate) fn written(&self, notation: Notation) -> String {
        let latex = notation != Notation::Text;
        let side = |sign: f64| {
            let terms: Vec<String> = self
                .terms
                .iter()
                .filter(|(_, moles)| moles * sign > NOTHING)
                .map(|(substance, moles)| substance.written(moles * sign, latex))
                .collect();
            terms.join(" + ")
        };
        let arrow = if latex { "\\rightarrow" } else { "->" };
        format!("{} {arrow} {}", side(-1.0), side(1.0))
    }
}

impl Substance {
    fn written(&self, moles: f64, latex: bool) -> String {
        let (name, moles) = match self {
            Substance::Dissolved(formula) if latex => (formula_in_latex(&formula.text), moles),
            Substance::Dissolved(formula) => (formula.text.clone(), moles),
            Substance::Solid(element) => (element.symbol(), moles),
            Substance::Gas(element) if DIATOMIC.contains(&element.symbol().as_str()) => {
                let two = if latex { "_2" } else { "2" };
                (format!("{}{two}(g)", element.symbol()), moles / 2.0)
            }
            Substance::Gas(element) => (format!("{}(g)", element.symbol()), moles),
            Substance::Electron => (if latex { "e^-" } else { "e-" }.to_owned(), moles),
        };
        let name = if latex { format!("\\mathrm{{{name}}}") } else { name };
        if (moles - 1.0).abs() < NOTHING {
            return name;
        }
        format!("{}{}{name}", written_number(moles, latex), if latex { "\\," } else { " " })
    }
}

/// `H2PO2-` as `H_2PO_2^{-}`, `Ni+2` as `Ni^{2+}`.
pub(crate) fn formula_in_latex(text: &str) -> String {
    let (body, charge) = text.rfind(['+', '-']).map_or((text, ""), |at| text.split_at(at));
    let mut written = String::new();
    let mut count = false;
    for character in body.chars() {
        let digit = character.is_ascii_digit();
        // A number before a formula, as of crystal water, is no subscript.
        let subscript = digit && !written.is_empty() && !written.ends_with('.');
        match (count, subscript) {
            (false, true) => written.push_str("_{"),
            (true, false) => written.push('}'),
            _ => {}
        }
        count = if digit { count || subscript } else { false };
        written.push(character);
    }
    if count {
        written.push('}');
    }
    if let Some(sign) = charge.chars().next() {
        written.push_str(&format!("^{{{}{sign}}}", &charge[1..]));
    }
    written
}
