//! The same surface, somewhat faster, slower, or ageing otherwise: what a bath is followed with.

use super::{Drive, Kinetics, Route};
use crate::surface::conditions::{Concentration, Conditions};
use crate::surface::factor::Factor;
use crate::surface::half_reaction::HalfReaction;
use crate::surface::inhibition::{Inhibition, InhibitionForm};
use crate::surface::rate_law::RateLaw;

impl Kinetics {
    /// Every rate times a factor; the potential stays where it is.
    pub fn times(&self, factor: f64) -> Kinetics {
        let mut scaled = self.clone();
        match &mut scaled.route {
            Route::RateLaws { drives, .. } => {
                for drive in drives {
                    if let Drive::Law(law) = drive {
                        law.value_at_reference *= factor;
                    }
                }
            }
            Route::MixedPotential(mixed) => {
                mixed.partials.iter_mut().for_each(|(partial, _)| {
                    partial.current.value_at_reference *= factor;
                    if let Some(transport) = &mut partial.transport {
                        transport.coefficient_m_s *= factor;
                    }
                });
            }
        }
        scaled
    }

    /// What gives off gas and leaves nothing in the deposit times a factor, per metal: it uses reductant beside it.
    pub fn side_reactions_times(&self, factor: f64) -> Kinetics {
        let mut scaled = self.clone();
        let side: Vec<bool> = self.half_reactions.iter().map(is_side_reaction).collect();
        match &mut scaled.route {
            Route::RateLaws { drives, .. } => {
                for (drive, _) in drives.iter_mut().zip(&side).filter(|(_, side)| **side) {
                    if let Drive::PerMetal(law) = drive {
                        law.value_at_reference *= factor;
                    }
                }
            }
            Route::MixedPotential(mixed) => {
                for ((partial, _), _) in mixed.partials.iter_mut().zip(&side).filter(|(_, side)| **side) {
                    partial.current.value_at_reference *= factor;
                }
            }
        }
        scaled
    }

    /// Constants of what ages a bath times a factor: by-product and salt together, since one bath's log cannot tell
    /// them apart. Above one it ages later.
    pub fn ageing_times(&self, by_product: usize, factor: f64) -> Kinetics {
        self.with_laws(&|law| {
            for of in &mut law.factors {
                match of {
                    Factor::Inhibition(one) if is_of(one.of, by_product) => one.constant_mol_l *= factor,
                    Factor::IonicStrength(one) => one.constant_mol_l *= factor,
                    Factor::Adsorption(one) => {
                        let own = one.adsorbates.iter_mut().filter(|each| is_of(each.of, by_product));
                        own.for_each(|each| each.constant_l_mol /= factor);
                    }
                    _ => {}
                }
            }
        })
    }

    /// Whether anything in the laws of the metal ages the bath.
    pub fn ages(&self, by_product: usize) -> bool {
        *self != self.ageing_times(by_product, 2.0)
    }

    /// The same ageing in another form: instead of what the by-product does in its laws, an exponential exp(-c/K), with
    /// the K that gives the same slope of ln rate under the conditions of an unused bath. `None` where the by-product does
    /// nothing.
    ///
    /// Adsorption: d ln r/dc = -m K_j/(1 + sum K_k c_k); inhibition 1/(1 + c/K): -m/K; both as powers go.
    pub fn with_exponential_ageing(&self, by_product: usize, unused: &Conditions) -> Option<Kinetics> {
        let slope = |law: &RateLaw| -> f64 {
            let of = |factor: &Factor| match factor {
                Factor::Inhibition(one) if is_of(one.of, by_product) => one.exponent / one.constant_mol_l,
                Factor::Adsorption(one) => {
                    let terms = one.adsorbates.iter().filter(|each| !is_of(each.of, by_product));
                    let free: f64 =
                        terms.map(|each| each.constant_l_mol * each.of.of(unused).powf(each.power)).sum();
                    let own = one.adsorbates.iter().filter(|each| is_of(each.of, by_product));
                    one.sites * own.map(|each| each.constant_l_mol).sum::<f64>() / (1.0 + free)
                }
                _ => 0.0,
            };
            law.factors.iter().map(of).sum()
        };
        let (reference_slope, without) = (std::cell::Cell::new(0.0), |law: &mut RateLaw| {
            for factor in &mut law.factors {
                if let Factor::Adsorption(one) = factor {
                    one.adsorbates.retain(|each| !is_of(each.of, by_product));
                }
            }
            law.factors
                .retain(|factor| !matches!(factor, Factor::Inhibition(one) if is_of(one.of, by_product)));
        });
        let changed = self.with_laws(&|law| {
            let by = slope(law);
            if by > 0.0 {
                reference_slope.set(by);
                without(law);
                law.factors.push(Factor::Inhibition(Inhibition {
                    of: Concentration::Total(by_product),
                    form: InhibitionForm::Exponential,
                    constant_mol_l: 1.0 / by,
                    exponent: 1.0,
                }));
            }
        });
        (reference_slope.get() > 0.0).then_some(changed)
    }

    /// The same with the law of the metal, or every partial current, changed.
    fn with_laws(&self, change: &dyn Fn(&mut RateLaw)) -> Kinetics {
        let mut changed = self.clone();
        match &mut changed.route {
            Route::RateLaws { drives, .. } => {
                for drive in drives {
                    if let Drive::Law(law) = drive {
                        change(law);
                    }
                }
            }
            Route::MixedPotential(mixed) => {
                mixed.partials.iter_mut().for_each(|(partial, _)| change(&mut partial.current));
            }
        }
        changed
    }
}

fn is_side_reaction(reaction: &HalfReaction) -> bool {
    reaction.electrons < 0.0 && reaction.deposit.is_empty() && !reaction.gas.is_empty()
}

fn is_of(of: Concentration, component: usize) -> bool {
    matches!(of, Concentration::Total(at) | Concentration::Dissolved(at) if at == component)
}
