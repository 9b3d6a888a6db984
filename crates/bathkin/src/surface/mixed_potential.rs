//! The mixed potential: where the partial currents of a surface cancel.

use std::convert::Infallible;

use bathkin_numerics::{Bracket, narrow_bracket};

use super::conditions::Conditions;
use super::partial_current::{Frozen, PartialCurrent, ln_sum};
use crate::constants::FARADAY_C_MOL;
use crate::scalar::Scalar;

/// Lowest potential that is looked at, V against the standard hydrogen electrode.
pub const LOWEST_POTENTIAL_V: f64 = -3.0;
/// Highest potential that is looked at, V against the standard hydrogen electrode.
pub const HIGHEST_POTENTIAL_V: f64 = 3.0;
/// Most half-reactions of one surface: a step of a life takes no memory from the system.
pub const MOST_PARTIAL_CURRENTS: usize = 12;

/// The root E of sum_j i_j(E) = 0 over the partial currents of a surface, V SHE.
///
/// Every i_j rises with E ([`PartialCurrent`]), so there is one root or none; none where only one direction
/// is left, such as a bath without reductant whose partial currents have no back reaction. It is bracketed
/// between [`LOWEST_POTENTIAL_V`] and [`HIGHEST_POTENTIAL_V`] on the logarithm of what gives electrons
/// over what takes them, which is nearly straight in E, or followed from a potential close by, and polished by a
/// Newton step on the currents. With dual numbers that step carries the derivative: dE = -di/(di/dE). Source: mixed
/// potential of Wagner and Traud, textbook form.
#[derive(Debug, Clone, PartialEq)]
pub struct MixedPotential<D = f64> {
    /// Each partial current, and the electrons its half-reaction gives (negative: takes).
    pub(super) partials: Vec<(PartialCurrent<D>, f64)>,
}

/// Partial currents at one potential.
#[derive(Debug, Clone, PartialEq)]
pub struct PolarisationPoint {
    /// Potential, V SHE.
    pub potential_v: f64,
    /// Partial current of each half-reaction, A/m², positive when electrons are given.
    pub currents_a_m2: Vec<f64>,
}

impl PolarisationPoint {
    /// Sum of the partial currents, A/m².
    pub fn total_a_m2(&self) -> f64 {
        self.currents_a_m2.iter().sum()
    }
}

impl<D> MixedPotential<D> {
    /// Partial currents with the electrons their half-reactions give.
    ///
    /// # Errors
    /// A sentence when there are too many, one has no electrons, or none gives or none takes them.
    pub fn new(partials: Vec<(PartialCurrent<D>, f64)>) -> Result<Self, String> {
        if partials.len() > MOST_PARTIAL_CURRENTS {
            return Err(format!("{} half-reactions are more than {MOST_PARTIAL_CURRENTS}", partials.len()));
        }
        let none = |wanted: fn(f64) -> bool| !partials.iter().any(|(_, electrons)| wanted(*electrons));
        if partials.iter().any(|(_, electrons)| *electrons == 0.0) {
            return Err("a partial current needs a half-reaction with electrons".to_owned());
        }
        if none(|electrons| electrons > 0.0) || none(|electrons| electrons < 0.0) {
            return Err(
                "a mixed potential needs a half-reaction that gives electrons and one that takes them"
                    .to_owned(),
            );
        }
        Ok(MixedPotential { partials })
    }

    /// The partial current of a half-reaction, by its place.
    pub fn partial(&self, half_reaction: usize) -> &PartialCurrent<D> {
        &self.partials[half_reaction].0
    }

    /// The same with each of its numbers turned into another.
    pub fn map<E>(&self, of: &mut impl FnMut(&D) -> E) -> MixedPotential<E> {
        let partials = self.partials.iter().map(|(partial, electrons)| (partial.map(of), *electrons));
        MixedPotential { partials: partials.collect() }
    }
}

impl<D: Scalar> MixedPotential<D> {
    /// The mixed potential, V SHE, or `None` when the currents cancel nowhere in the range.
    pub fn potential_v(&self, at: &Conditions<D>) -> Option<D> {
        self.root(&self.freeze(at), None)
    }

    /// Rates of the half-reactions, mol/(m² s): partial current over electrons and Faraday constant.
    /// All are zero where there is no mixed potential, since no partner takes the electrons. `near_v` is a potential the
    /// search may begin at, V SHE, and then the one that was found.
    pub(super) fn rates(&self, at: &Conditions<D>, rates: &mut [D], near_v: &mut Option<f64>) {
        let frozen = self.freeze(at);
        let root = self.root(&frozen, *near_v);
        *near_v = root.map(|potential_v| potential_v.re());
        for ((rate, partial), (_, electrons)) in rates.iter_mut().zip(&frozen).zip(&self.partials) {
            let current = root.map_or(D::from(0.0), |potential_v| partial.current_a_m2(potential_v));
            *rate = current / (electrons * FARADAY_C_MOL);
        }
    }

    pub(super) fn freeze(&self, at: &Conditions<D>) -> [Frozen<D>; MOST_PARTIAL_CURRENTS] {
        let mut frozen = [Frozen::idle(); MOST_PARTIAL_CURRENTS];
        for (slot, (partial, electrons)) in frozen.iter_mut().zip(&self.partials) {
            *slot = partial.freeze(at, *electrons > 0.0);
        }
        frozen
    }

    pub(super) fn root(&self, frozen: &[Frozen<D>], near_v: Option<f64>) -> Option<D> {
        let found = near_v
            .and_then(|near_v| root_near(frozen, near_v))
            .map_or_else(|| bracketed_root_v(frozen), Some)?;
        let slope: f64 = frozen.iter().map(|partial| partial.slope_a_m2_v(found)).sum();
        let start = D::from(found);
        let total = frozen.iter().fold(D::from(0.0), |sum, partial| sum + partial.current_a_m2(start));
        let step = total / slope;
        // Currents too small to be told from zero leave the root as it is.
        Some(if step.re().is_finite() { start - step } else { start })
    }
}

/// The root close to a potential, by Newton's method on the currents; `None` where that does not find it at once.
fn root_near<D: Scalar>(frozen: &[Frozen<D>], near_v: f64) -> Option<f64> {
    const STEPS: usize = 6;
    /// The currents bend over some 25 mV.
    const FARTHEST_V: f64 = 0.02;
    /// The step that follows is smaller than this over the bend.
    const SETTLED_V: f64 = 1e-7;
    let mut potential_v = near_v;
    for _ in 0..STEPS {
        let at = D::from(potential_v);
        let total: f64 = frozen.iter().map(|partial| partial.current_a_m2(at).re()).sum();
        let slope: f64 = frozen.iter().map(|partial| partial.slope_a_m2_v(potential_v)).sum();
        let step = total / slope;
        if step.is_nan() || step.abs() >= FARTHEST_V {
            return None;
        }
        potential_v -= step;
        if step.abs() < SETTLED_V {
            return Some(potential_v);
        }
    }
    None
}

/// The root, wherever it is.
fn bracketed_root_v<D: Scalar>(frozen: &[Frozen<D>]) -> Option<f64> {
    const MOST_EVALUATIONS: usize = 200;
    let ln_given_over_taken = |potential_v: f64| {
        let (given, taken) = frozen
            .iter()
            .map(|partial| partial.ln_parts(potential_v))
            .fold((f64::NEG_INFINITY, f64::NEG_INFINITY), |(given, taken), (more_given, more_taken)| {
                (ln_sum(given, more_given), ln_sum(taken, more_taken))
            });
        given - taken
    };
    let (low, high) = (LOWEST_POTENTIAL_V, HIGHEST_POTENTIAL_V);
    let bracket = Bracket { low, high, f_low: ln_given_over_taken(low), f_high: ln_given_over_taken(high) };
    // Where one direction is missing the logarithm is not finite, and nothing is found.
    let end = narrow_bracket(
        |potential_v| Ok::<_, Infallible>(ln_given_over_taken(potential_v)),
        bracket,
        0.0,
        MOST_EVALUATIONS,
    )
    .ok()?;
    Some(if end.f_low.abs() < end.f_high.abs() { end.low } else { end.high })
}

impl MixedPotential {
    /// Partial currents at each potential.
    pub fn polarisation(&self, at: &Conditions, potentials_v: &[f64]) -> Vec<PolarisationPoint> {
        let frozen = self.freeze(at);
        let point = |potential_v: &f64| PolarisationPoint {
            potential_v: *potential_v,
            currents_a_m2: frozen[..self.partials.len()]
                .iter()
                .map(|partial| partial.current_a_m2(*potential_v))
                .collect(),
        };
        potentials_v.iter().map(point).collect()
    }
}
