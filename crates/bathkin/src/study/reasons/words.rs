//! Factors of a law in words.

use crate::constants::ZERO_CELSIUS_K;
use crate::solution::Equilibrium;
use crate::surface::{Concentration, FactorKind, FactorName};

/// One factor of a law in a bath.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Stand {
    pub(crate) name: FactorName,
    pub(crate) factor: f64,
    /// What the factor follows: K, pH or mol/L.
    pub(crate) follows: f64,
}

/// How a ratio is said of what is explained.
pub(crate) struct Effect {
    /// Said of zero.
    pub(crate) nothing: String,
    /// What follows "1.2 times".
    pub(crate) ending: String,
    /// What a law has at its reference.
    pub(crate) at_reference: String,
}

impl Effect {
    pub(crate) fn of(&self, ratio: f64) -> String {
        if ratio == 0.0 { self.nothing.clone() } else { format!("{}{}", by(ratio), self.ending) }
    }
}

/// The part of a recipe's path that names a factor: `order.nickel`.
pub(crate) fn path_of(name: FactorName, equilibrium: &Equilibrium) -> String {
    let kind = match name.kind {
        FactorKind::Temperature => "temperature",
        FactorKind::Ph => "ph",
        FactorKind::Order => "order",
        FactorKind::Saturation => "saturation",
        FactorKind::Inhibition => "inhibition",
        FactorKind::IonicStrength => "ionic_strength",
        FactorKind::Stabilizer => "stabilizer",
        FactorKind::Accelerator => "accelerator",
        FactorKind::Suppression => "suppression",
        FactorKind::Adsorption => "adsorption",
    };
    name.of.map_or_else(|| kind.to_owned(), |of| format!("{kind}.{}", of.name(equilibrium)))
}

/// Ratio of each factor of a law, and what changed it.
pub(crate) fn factor_causes(
    before: &[Stand],
    after: &[Stand],
    equilibrium: &Equilibrium,
    at_surface: bool,
) -> Vec<(f64, String)> {
    let cause =
        |(from, to): (&Stand, &Stand)| (to.factor / from.factor, cause(*from, *to, equilibrium, at_surface));
    before.iter().zip(after).map(cause).collect()
}

/// The causes worth telling, largest first, in one sentence.
pub(crate) fn told(mut causes: Vec<(f64, String)>) -> Option<String> {
    const WORTH_SAYING: f64 = 1e-3;
    // A second cause is told when it did at least this part of the first.
    const BESIDE: f64 = 1.0 / 3.0;
    causes.sort_by(|a, b| weight(b.0).total_cmp(&weight(a.0)));
    let largest = causes.first().map_or(0.0, |(ratio, _)| weight(*ratio));
    let told = causes.into_iter().take_while(|(ratio, _)| {
        let weight = weight(*ratio);
        weight > WORTH_SAYING && weight >= BESIDE * largest
    });
    let told: Vec<String> = told.map(|(_, text)| text).collect();
    (!told.is_empty()).then(|| told.join("; "))
}

/// Zero over zero is no change; a stop outweighs everything.
pub(crate) fn weight(ratio: f64) -> f64 {
    if ratio.is_nan() { 0.0 } else { ratio.ln().abs() }
}

fn cause(from: Stand, to: Stand, equilibrium: &Equilibrium, at_surface: bool) -> String {
    let here = if at_surface { " at the surface" } else { "" };
    let subject = match (to.name.of, to.name.kind) {
        (Some(of @ Concentration::Total(_)), _) => format!("{}{here}", spoken(of.name(equilibrium))),
        (Some(of @ Concentration::Dissolved(place)), _) => {
            let free = if place < equilibrium.component_names().len() { "free " } else { "" };
            format!("{free}{}{here}", spoken(of.name(equilibrium)))
        }
        (None, FactorKind::Temperature) => "temperature".to_owned(),
        (None, FactorKind::Ph) => format!("pH{here}"),
        (None, _) => "ionic strength".to_owned(),
    };
    let through = match to.name.kind {
        FactorKind::Temperature => "activation energy",
        FactorKind::Ph => "hydrogen ion order",
        FactorKind::Order => "order",
        FactorKind::Saturation => "saturation of the surface",
        FactorKind::Inhibition => "inhibition",
        FactorKind::IonicStrength => "inhibition by salt",
        FactorKind::Stabilizer => "stabilizer",
        FactorKind::Accelerator => "accelerator",
        FactorKind::Suppression => "suppression",
        FactorKind::Adsorption => "sites of the surface taken",
    };
    let (a, b) = (shown(to.name, from.follows), shown(to.name, to.follows));
    if a == b {
        // The bath is the same there, so the number in the law is another.
        return format!("the {through} of {subject} was changed");
    }
    let way = if to.follows > from.follows { "rises" } else { "falls" };
    format!("{subject} {way} from {a} to {b} ({through})")
}

fn shown(name: FactorName, follows: f64) -> String {
    match (name.of, name.kind) {
        (None, FactorKind::Temperature) => format!("{:.1} degC", follows - ZERO_CELSIUS_K),
        (None, FactorKind::Ph) => format!("{follows:.2}"),
        _ => molar(follows),
    }
}

/// A concentration, mol/L.
pub(crate) fn molar(mol_l: f64) -> String {
    if mol_l == 0.0 {
        "0 mol/L".to_owned()
    } else if mol_l.abs() < 1e-3 {
        format!("{mol_l:.2e} mol/L")
    } else {
        format!("{mol_l:.4} mol/L")
    }
}

/// A ratio, three digits of it where it is far from one.
pub(crate) fn by(ratio: f64) -> String {
    let power = ratio.abs().max(f64::MIN_POSITIVE).log10().floor();
    let decimals = if (-1.0..1.0).contains(&power) { 3.0 } else { (2.0 - power).clamp(0.0, 12.0) };
    format!("{ratio:.*} times", decimals as usize)
}

pub(crate) fn spoken(name: &str) -> String {
    name.replace('_', " ")
}
