//! A formula to be read, in plain text or LaTeX.

use crate::study::equations::notation::Notation;

/// What a law is written with.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Expression {
    /// A number without a unit.
    Number(f64),
    /// A number with its unit.
    Quantity(f64, &'static str),
    /// A name, in plain text and in LaTeX.
    Symbol(String, String),
    /// a + b + ...
    Sum(Vec<Expression>),
    /// a - b.
    Difference(Box<Expression>, Box<Expression>),
    /// a b ...
    Product(Vec<Expression>),
    /// a/b.
    Ratio(Box<Expression>, Box<Expression>),
    /// a^b.
    Power(Box<Expression>, Box<Expression>),
    /// exp(a).
    Exponential(Box<Expression>),
    /// -a.
    Negative(Box<Expression>),
}

use Expression::{Difference, Exponential, Negative, Number, Power, Product, Quantity, Ratio, Sum, Symbol};

/// How tightly an expression holds together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Binding {
    Sum,
    Product,
    Power,
    Atom,
}

impl Expression {
    /// A symbol that reads the same in both notations.
    pub(crate) fn symbol(name: &str) -> Self {
        Symbol(name.to_owned(), name.to_owned())
    }

    /// a - b.
    pub(crate) fn less(self, other: Expression) -> Self {
        Difference(Box::new(self), Box::new(other))
    }

    /// a/b.
    pub(crate) fn over(self, other: Expression) -> Self {
        Ratio(Box::new(self), Box::new(other))
    }

    /// a^b; a itself where b is one.
    pub(crate) fn raised(self, power: f64) -> Self {
        if power == 1.0 { self } else { Power(Box::new(self), Box::new(Number(power))) }
    }

    /// 1 + a.
    pub(crate) fn plus_one(self) -> Self {
        Sum(vec![Number(1.0), self])
    }

    /// In a notation.
    pub(crate) fn written(&self, notation: Notation) -> String {
        let latex = notation != Notation::Text;
        match self {
            Number(number) => written_number(*number, latex),
            Quantity(number, unit) if latex => {
                let unit = unit.replace(' ', "\\,").replace("m2", "m^2");
                format!("{}\\,\\mathrm{{{unit}}}", written_number(*number, true))
            }
            Quantity(number, unit) => format!("{} {unit}", written_number(*number, false)),
            Symbol(text, in_latex) => if latex { in_latex } else { text }.clone(),
            Sum(terms) => self.joined(terms, " + ", Binding::Sum, notation),
            Difference(from, less) => format!(
                "{} - {}",
                from.within(Binding::Sum, notation),
                less.within(Binding::Product, notation)
            ),
            Product(factors) => {
                self.joined(factors, if latex { " \\, " } else { " x " }, Binding::Product, notation)
            }
            Ratio(above, below) if latex => {
                format!("\\frac{{{}}}{{{}}}", above.written(notation), below.written(notation))
            }
            Ratio(above, below) => {
                format!(
                    "{}/{}",
                    above.within(Binding::Power, notation),
                    below.within(Binding::Atom, notation)
                )
            }
            Power(base, power) if latex => {
                format!("{}^{{{}}}", base.within(Binding::Atom, notation), power.written(notation))
            }
            Power(base, power) => {
                format!("{}^{}", base.within(Binding::Atom, notation), power.within(Binding::Atom, notation))
            }
            Exponential(of) if latex => format!("\\exp\\left[{}\\right]", of.written(notation)),
            Exponential(of) => format!("exp[{}]", of.written(notation)),
            Negative(of) => format!("-{}", of.within(Binding::Product, notation)),
        }
    }

    fn joined(&self, parts: &[Expression], by: &str, binding: Binding, notation: Notation) -> String {
        let written = |(at, part): (usize, &Expression)| match part {
            // A sign in front needs no bracket.
            Number(_) if at == 0 => part.written(notation),
            _ => part.within(binding, notation),
        };
        let parts: Vec<String> = parts.iter().enumerate().map(written).collect();
        parts.join(by)
    }

    fn binding(&self) -> Binding {
        match self {
            Sum(_) | Difference(..) | Negative(_) => Binding::Sum,
            Product(_) | Ratio(..) | Quantity(..) => Binding::Product,
            Power(..) => Binding::Power,
            Number(number) if *number < 0.0 => Binding::Sum,
            Number(_) | Symbol(..) | Exponential(_) => Binding::Atom,
        }
    }

    /// Bracketed where it would fall apart.
    fn within(&self, least: Binding, notation: Notation) -> String {
        let written = self.written(notation);
        // A fraction bar holds together by itself, but not under an exponent.
        let bar = notation != Notation::Text && matches!(self, Ratio(..)) && least < Binding::Atom;
        if self.binding() >= least || bar {
            written
        } else if notation == Notation::Text {
            format!("({written})")
        } else {
            format!("\\left({written}\\right)")
        }
    }
}

/// A number with at most six digits.
pub(crate) fn written_number(number: f64, latex: bool) -> String {
    const DIGITS: i32 = 6;
    if number == 0.0 || !number.is_finite() {
        return if number == 0.0 { "0".to_owned() } else { number.to_string() };
    }
    let power = number.abs().log10().floor() as i32;
    let plain = |number: f64, power: i32| {
        let decimals = (DIGITS - 1 - power).clamp(0, 9) as usize;
        let text = format!("{number:.decimals$}");
        if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
    };
    if (-3..5).contains(&power) {
        return plain(number, power);
    }
    let mantissa = plain(number / 10_f64.powi(power), 0);
    if latex { format!("{mantissa}\\times 10^{{{power}}}") } else { format!("{mantissa}e{power}") }
}
