//! Why rate, composition and free metal are what they are: the factors of the laws by name, and what
//! changed between two baths, in words.

pub(crate) mod metal;
pub(crate) mod partial_currents;
pub(crate) mod words;

use std::sync::Arc;

use crate::error::Result;
use crate::study::Bath;
use crate::surface::{Conditions, FactorName, Kinetics, OwnedConditions, RateLaw};
use crate::tank::Tank;
use metal::{Shares, shares, why_free};
use partial_currents::partial_current_causes;
use words::{Effect, Stand, by, factor_causes, path_of, told};

/// The surface of a bath, kept to be compared with another one's.
#[derive(Debug, Clone)]
pub(crate) struct SurfaceState {
    kinetics: Arc<Kinetics>,
    at: OwnedConditions<f64>,
    /// By how much the surface is below the pH of the bath; none without a film.
    below_bath_ph: Option<f64>,
    /// How the metal is held in the bath.
    shares: Shares,
}

/// What changed most between two baths, in words; `None` for what did not change by a thousandth.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Reasons {
    /// The rate.
    pub rate: Option<String>,
    /// The alloying element per metal.
    pub alloy: Option<String>,
    /// The free metal.
    pub free_metal: Option<String>,
}

impl SurfaceState {
    fn conditions(&self) -> Conditions<'_> {
        self.at.conditions()
    }

    fn stands(&self, law: &RateLaw) -> Vec<Stand> {
        let at = self.conditions();
        let stand = |(name, factor): (FactorName, f64)| Stand { name, factor, follows: name.follows(&at) };
        law.factors_at(&at).into_iter().map(stand).collect()
    }
}

impl Bath {
    pub(crate) fn surface_state(&self) -> Result<SurfaceState> {
        let tank = &self.recipe().model()?.tank;
        let at = self.observed.conditions_at_surface();
        Ok(SurfaceState {
            kinetics: tank.bath.kinetics.clone(),
            at: OwnedConditions {
                temperature_k: at.temperature_k,
                ph: at.ph,
                ionic_strength_mol_l: at.ionic_strength_mol_l,
                totals_mol_l: at.totals_mol_l.to_vec(),
                dissolved_mol_l: at.dissolved_mol_l.to_vec(),
            },
            below_bath_ph: self.observed.behind_film.as_ref().map(|surface| self.observed.ph - surface.ph),
            shares: shares(tank, &self.observed),
        })
    }

    /// Every factor of the law of deposition by name, each one at the law's reference state; behind a
    /// film those of the liquid at the surface.
    pub(crate) fn factors(&self) -> Result<Vec<(String, f64)>> {
        let state = self.surface_state()?;
        let equilibrium = &self.recipe().model()?.tank.bath.equilibrium;
        let named = |stand: Stand| (path_of(stand.name, equilibrium), stand.factor);
        let stands = state.kinetics.law().map(|law| state.stands(law)).unwrap_or_default();
        Ok(stands.into_iter().map(named).collect())
    }

    /// What changed most since another bath of the recipe, in words.
    pub(crate) fn reasons_since(&self, before: &SurfaceState) -> Result<Reasons> {
        let tank = &self.recipe().model()?.tank;
        let after = self.surface_state()?;
        let alloy = match alloy_reaction(tank, &self.observed.rates_mol_m2_s) {
            Some((reaction, element)) => {
                let element = element.replace('_', " ");
                let metal = tank.bath.equilibrium.component_names()[tank.bath.roles.metal].replace('_', " ");
                let what = Effect {
                    nothing: format!("no {element} any more"),
                    ending: format!(" as much {element} per {metal}"),
                    at_reference: element,
                };
                reason(tank, before, &after, Some(reaction), &what)
            }
            None => None,
        };
        let what = Effect {
            nothing: "nothing plates any more".to_owned(),
            ending: " as fast".to_owned(),
            at_reference: "rate".to_owned(),
        };
        Ok(Reasons {
            rate: with_film(reason(tank, before, &after, None, &what), before, &after),
            alloy,
            free_metal: why_free(tank, &before.shares, &after.shares),
        })
    }
}

/// The half-reaction that brings most of the alloying element, and the element.
fn alloy_reaction<'a>(tank: &'a Tank, rates: &[f64]) -> Option<(usize, &'a str)> {
    let element = tank.bath.alloy.as_deref()?;
    let brings = |reaction: usize| -> f64 {
        let deposit = &tank.bath.reactions[reaction].deposit;
        deposit.iter().filter(|(at, _)| tank.bath.alloy_elements.contains(at)).map(|(_, atoms)| atoms).sum()
    };
    (0..tank.bath.reactions.len())
        .filter(|reaction| brings(*reaction) > 0.0)
        .max_by(|a, b| (brings(*a) * rates[*a]).total_cmp(&(brings(*b) * rates[*b])))
        .map(|reaction| (reaction, element))
}

/// Why the rate changed, or with a half-reaction that brings the alloying element, why that did.
fn reason(
    tank: &Tank,
    before: &SurfaceState,
    after: &SurfaceState,
    alloy: Option<usize>,
    what: &Effect,
) -> Option<String> {
    if after.kinetics.mixed_potential().is_some() {
        return partial_current_causes(tank, before, after, alloy, what);
    }
    let law = |state: &'_ SurfaceState| match alloy {
        None => state.kinetics.law().cloned(),
        Some(reaction) => state.kinetics.selectivity(reaction).cloned(),
    };
    let (from, to) = (law(before)?, law(after)?);
    let whole = to.value_at_reference / from.value_at_reference;
    let mut causes =
        vec![(whole, format!("the {} at the reference was set {}", what.at_reference, by(whole)))];
    let at_surface = after.below_bath_ph.is_some();
    causes.extend(
        factor_causes(&before.stands(&from), &after.stands(&to), &tank.bath.equilibrium, at_surface)
            .into_iter()
            .map(|(ratio, cause)| (ratio, format!("{cause}: {}", what.of(ratio)))),
    );
    told(causes)
}

/// The words on a rate, and behind a film how far the surface is from the bath.
fn with_film(reason: Option<String>, before: &SurfaceState, after: &SurfaceState) -> Option<String> {
    const UNSAID_PH: f64 = 0.05;
    let words = |below: f64| {
        let side = if below < 0.0 { "above" } else { "below" };
        format!("{:.2} {side}", below.abs())
    };
    let now = after.below_bath_ph.unwrap_or(0.0);
    let moved = before.below_bath_ph.map(|first| (first, (now - first).abs() > UNSAID_PH));
    let film = match moved {
        Some((first, true)) => {
            Some(format!("surface pH {} the bath's, at first {}", words(now), words(first)))
        }
        _ => (reason.is_some() && now.abs() > UNSAID_PH)
            .then(|| format!("surface pH {} the bath's", words(now))),
    };
    match (reason, film) {
        (Some(reason), Some(film)) => Some(format!("{reason}; {film}")),
        (reason, film) => reason.or(film),
    }
}
