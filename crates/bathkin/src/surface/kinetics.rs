//! All half-reactions of a surface together.

mod scaled;

use std::sync::Arc;

use super::conditions::Conditions;
use super::half_reaction::HalfReaction;
use super::mixed_potential::{MixedPotential, PolarisationPoint};
use super::partial_current::PartialCurrent;
use super::rate_law::RateLaw;
use crate::scalar::Scalar;
use crate::solution::Answer;

/// What sets the rate of a half-reaction.
#[derive(Debug, Clone, PartialEq)]
pub enum Drive<D = f64> {
    /// A rate law, mol/(m² s). Exactly one half-reaction has it: the metal.
    Law(RateLaw<D>),
    /// A selectivity: moles per mole of metal deposited.
    PerMetal(RateLaw<D>),
    /// Whatever closes the electron balance. Exactly one: the oxidation of the reductant.
    Closure,
}

/// The half-reactions of one bath and what drives them.
#[derive(Debug, Clone, PartialEq)]
pub struct Kinetics<D = f64> {
    half_reactions: Arc<[HalfReaction]>,
    metal: usize,
    route: Route<D>,
}

/// The two ways to the rates of all half-reactions.
#[derive(Debug, Clone, PartialEq)]
enum Route<D> {
    /// One law, selectivities, and a closure.
    RateLaws { drives: Vec<Drive<D>>, closure: usize },
    /// Every half-reaction at the potential where their currents cancel.
    MixedPotential(MixedPotential<D>),
}

impl<D> Kinetics<D> {
    /// Puts half-reactions and drives together.
    ///
    /// # Errors
    /// A sentence when there is not exactly one law and one closure, or the closing half-reaction
    /// gives no electrons.
    pub fn new(half_reactions: Vec<HalfReaction>, drives: Vec<Drive<D>>) -> Result<Self, String> {
        let only = |wanted: fn(&Drive<D>) -> bool, what: &str| {
            let mut found = (0..drives.len()).filter(|index| wanted(&drives[*index]));
            match (found.next(), found.next()) {
                (Some(index), None) => Ok(index),
                (None, _) => Err(format!("no half-reaction {what}")),
                (Some(a), Some(b)) => Err(format!(
                    "both {} and {} {what}; exactly one may",
                    half_reactions[a].name, half_reactions[b].name
                )),
            }
        };
        let metal = only(|drive| matches!(drive, Drive::Law(_)), "follows a rate law")?;
        let closure = only(|drive| matches!(drive, Drive::Closure), "closes the electron balance")?;
        if half_reactions[closure].electrons <= 0.0 {
            return Err(format!(
                "{} closes the electron balance but gives no electrons",
                half_reactions[closure].name
            ));
        }
        Ok(Kinetics {
            half_reactions: half_reactions.into(),
            metal,
            route: Route::RateLaws { drives, closure },
        })
    }

    /// Half-reactions at their mixed potential, a partial current for each in the same order.
    ///
    /// `metal` is the half-reaction that deposits the metal.
    ///
    /// # Errors
    /// As [`MixedPotential::new`].
    pub fn at_mixed_potential(
        half_reactions: Vec<HalfReaction>,
        partials: Vec<PartialCurrent<D>>,
        metal: usize,
    ) -> Result<Self, String> {
        let electrons = half_reactions.iter().map(|reaction| reaction.electrons);
        let mixed = MixedPotential::new(partials.into_iter().zip(electrons).collect())?;
        Ok(Kinetics { half_reactions: half_reactions.into(), metal, route: Route::MixedPotential(mixed) })
    }

    /// The same with each of its numbers turned into another.
    pub fn map<E>(&self, of: &mut impl FnMut(&D) -> E) -> Kinetics<E> {
        let mut drive = |drive: &Drive<D>| match drive {
            Drive::Law(law) => Drive::Law(law.map(of)),
            Drive::PerMetal(law) => Drive::PerMetal(law.map(of)),
            Drive::Closure => Drive::Closure,
        };
        let route = match &self.route {
            Route::RateLaws { drives, closure } => {
                Route::RateLaws { drives: drives.iter().map(&mut drive).collect(), closure: *closure }
            }
            Route::MixedPotential(mixed) => Route::MixedPotential(mixed.map(of)),
        };
        Kinetics { half_reactions: self.half_reactions.clone(), metal: self.metal, route }
    }

    /// The half-reactions.
    pub fn half_reactions(&self) -> &[HalfReaction] {
        &self.half_reactions
    }
}

impl<D: Scalar> Kinetics<D> {
    /// True when a law follows the proton or a formed species, beyond the free components; partial currents
    /// follow the proton.
    pub fn follow_species(&self, components: usize) -> bool {
        let of_drive = |drive: &Drive<D>| match drive {
            Drive::Law(law) | Drive::PerMetal(law) => law.follows_species(components),
            Drive::Closure => false,
        };
        match &self.route {
            Route::RateLaws { drives, .. } => drives.iter().any(of_drive),
            Route::MixedPotential(_) => true,
        }
    }

    /// What the laws follow that has to be solved for, beyond the pH.
    pub fn answers(&self) -> Vec<Answer> {
        match &self.route {
            Route::RateLaws { drives, .. } => drives
                .iter()
                .filter_map(|drive| match drive {
                    Drive::Law(law) | Drive::PerMetal(law) => Some(law),
                    Drive::Closure => None,
                })
                .flat_map(RateLaw::answers)
                .collect(),
            Route::MixedPotential(mixed) => self
                .half_reactions
                .iter()
                .enumerate()
                .flat_map(|(at, _)| mixed.partial(at).answers())
                .collect(),
        }
    }

    /// Index of the half-reaction that deposits the metal.
    pub fn metal(&self) -> usize {
        self.metal
    }

    /// The law of the metal; `None` at a mixed potential.
    pub fn law(&self) -> Option<&RateLaw<D>> {
        let Route::RateLaws { drives, .. } = &self.route else { return None };
        match &drives[self.metal] {
            Drive::Law(law) => Some(law),
            Drive::PerMetal(_) | Drive::Closure => None,
        }
    }

    /// What a half-reaction follows: its law, its selectivity, its partial current; `None` of the closing one.
    pub fn law_of(&self, half_reaction: usize) -> Option<&RateLaw<D>> {
        match &self.route {
            Route::RateLaws { drives, .. } => match &drives[half_reaction] {
                Drive::Law(law) | Drive::PerMetal(law) => Some(law),
                Drive::Closure => None,
            },
            Route::MixedPotential(mixed) => Some(&mixed.partial(half_reaction).current),
        }
    }

    /// The selectivity of a half-reaction; `None` where it has none.
    pub fn selectivity(&self, half_reaction: usize) -> Option<&RateLaw<D>> {
        let Route::RateLaws { drives, .. } = &self.route else { return None };
        match &drives[half_reaction] {
            Drive::PerMetal(law) => Some(law),
            Drive::Law(_) | Drive::Closure => None,
        }
    }

    /// Rates of all half-reactions, mol/(m² s), into `rates`.
    ///
    /// No electron is left over: with rate laws the closing one runs at
    /// r = -(sum of the others' e_j r_j)/e, with partial currents the potential is where they cancel.
    pub fn rates(&self, at: &Conditions<D>, rates: &mut [D]) {
        self.rates_near(at, rates, &mut None);
    }

    /// The same; `near_v` is a mixed potential the search may begin at, V SHE, and then the one that was found.
    pub fn rates_near(&self, at: &Conditions<D>, rates: &mut [D], near_v: &mut Option<f64>) {
        let (drives, closure) = match &self.route {
            Route::RateLaws { drives, closure } => (drives, *closure),
            Route::MixedPotential(mixed) => return mixed.rates(at, rates, near_v),
        };
        let Drive::Law(law) = &drives[self.metal] else { return };
        let metal = law.value(at);
        let mut electrons = D::from(0.0);
        for (index, drive) in drives.iter().enumerate() {
            rates[index] = match drive {
                Drive::Law(_) => metal,
                Drive::PerMetal(selectivity) => metal * selectivity.value(at),
                Drive::Closure => continue,
            };
            electrons += rates[index] * self.half_reactions[index].electrons;
        }
        rates[closure] = -electrons / self.half_reactions[closure].electrons;
    }

    /// The mixed potential, V SHE; `None` with rate laws, and where the currents cancel nowhere.
    pub fn potential_v(&self, at: &Conditions<D>) -> Option<D> {
        self.mixed_potential().and_then(|mixed| mixed.potential_v(at))
    }

    /// The partial currents, when the half-reactions have them.
    pub fn mixed_potential(&self) -> Option<&MixedPotential<D>> {
        match &self.route {
            Route::RateLaws { .. } => None,
            Route::MixedPotential(mixed) => Some(mixed),
        }
    }
}

impl Kinetics {
    /// Partial currents at each potential (V SHE); `None` with rate laws, which know no potential.
    pub fn polarisation(&self, at: &Conditions, potentials_v: &[f64]) -> Option<Vec<PolarisationPoint>> {
        self.mixed_potential().map(|mixed| mixed.polarisation(at, potentials_v))
    }
}
