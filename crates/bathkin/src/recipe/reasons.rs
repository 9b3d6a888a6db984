//! Why the rate is what it is: the factors of its law by name, and what changed between two baths.

use super::bath::Bath;
use crate::constants::ZERO_CELSIUS_K;
use crate::error::Result;
use crate::solution::Equilibrium;
use crate::surface::{Concentration, FactorKind, FactorName};

/// One factor of the law of deposition in a bath.
#[derive(Debug, Clone, Copy)]
struct Stand {
    name: FactorName,
    factor: f64,
    /// What the factor follows: K, pH or mol/L.
    follows: f64,
}

/// The law of deposition taken apart in a bath.
#[derive(Debug, Clone)]
pub(super) struct LawState {
    value_at_reference: f64,
    stands: Vec<Stand>,
}

impl Bath {
    pub(super) fn law_state(&self) -> Result<LawState> {
        let tank = &self.recipe().model()?.tank;
        let at = self.observed.conditions();
        let Some(law) = tank.kinetics.law() else {
            return Ok(LawState { value_at_reference: 0.0, stands: Vec::new() });
        };
        let stand = |(name, factor): (FactorName, f64)| Stand { name, factor, follows: name.follows(&at) };
        Ok(LawState {
            value_at_reference: law.value_at_reference,
            stands: law.factors_at(&at).into_iter().map(stand).collect(),
        })
    }

    /// Every factor of the law of deposition by name, each one at the law's reference state.
    pub(super) fn factors(&self) -> Result<Vec<(String, f64)>> {
        let equilibrium = &self.recipe().model()?.tank.equilibrium;
        let named = |stand: &Stand| (path_of(stand.name, equilibrium), stand.factor);
        Ok(self.law_state()?.stands.iter().map(named).collect())
    }

    /// What changed the law of deposition most since another bath of the recipe, in words; `None`
    /// when nothing in it changed by more than a thousandth.
    pub(super) fn reason_since(&self, before: &LawState) -> Result<Option<String>> {
        Ok(reason(&self.recipe().model()?.tank.equilibrium, before, &self.law_state()?))
    }
}

/// The part of a recipe's path that names a factor: `order.nickel`.
fn path_of(name: FactorName, equilibrium: &Equilibrium) -> String {
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
    };
    name.of.map_or_else(|| kind.to_owned(), |of| format!("{kind}.{}", substance(of, equilibrium)))
}

fn substance(of: Concentration, equilibrium: &Equilibrium) -> String {
    match of {
        Concentration::Total(component) => equilibrium.component_names().get(component).cloned(),
        Concentration::Dissolved(place) => equilibrium.substance_names().nth(place).map(str::to_owned),
    }
    .unwrap_or_default()
}

fn reason(equilibrium: &Equilibrium, before: &LawState, after: &LawState) -> Option<String> {
    const WORTH_SAYING: f64 = 1e-3;
    // A second cause is told when it did at least this part of the first.
    const BESIDE: f64 = 1.0 / 3.0;
    let whole = after.value_at_reference / before.value_at_reference;
    let mut causes: Vec<(f64, String)> =
        vec![(whole, format!("the rate at the reference was set {}", by(whole)))];
    causes.extend(before.stands.iter().zip(&after.stands).map(|(from, to)| {
        let ratio = to.factor / from.factor;
        (ratio, format!("{}: {}", cause(*from, *to, equilibrium), effect(ratio)))
    }));
    // Zero over zero is no change; a stop outweighs everything.
    let weight = |ratio: f64| if ratio.is_nan() { 0.0 } else { ratio.ln().abs() };
    causes.sort_by(|a, b| weight(b.0).total_cmp(&weight(a.0)));
    let largest = causes.first().map_or(0.0, |(ratio, _)| weight(*ratio));
    let told = causes.into_iter().take_while(|(ratio, _)| {
        let weight = weight(*ratio);
        weight > WORTH_SAYING && weight >= BESIDE * largest
    });
    let told: Vec<String> = told.map(|(_, text)| text).collect();
    (!told.is_empty()).then(|| told.join("; "))
}

fn cause(from: Stand, to: Stand, equilibrium: &Equilibrium) -> String {
    let subject = match (to.name.of, to.name.kind) {
        (Some(of @ Concentration::Total(_)), _) => spoken(&substance(of, equilibrium)),
        (Some(of @ Concentration::Dissolved(place)), _) => {
            let free = if place < equilibrium.component_names().len() { "free " } else { "" };
            format!("{free}{}", spoken(&substance(of, equilibrium)))
        }
        (None, FactorKind::Temperature) => "temperature".to_owned(),
        (None, FactorKind::Ph) => "pH".to_owned(),
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
        _ if follows == 0.0 => "0 mol/L".to_owned(),
        _ if follows.abs() < 1e-3 => format!("{follows:.2e} mol/L"),
        _ => format!("{follows:.4} mol/L"),
    }
}

fn effect(ratio: f64) -> String {
    if ratio == 0.0 { "nothing plates any more".to_owned() } else { format!("{} as fast", by(ratio)) }
}

fn by(ratio: f64) -> String {
    format!("{ratio:.3} times")
}

fn spoken(name: &str) -> String {
    name.replace('_', " ")
}
