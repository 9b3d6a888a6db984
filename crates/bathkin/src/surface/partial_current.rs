//! A partial current: the current of one half-reaction at a potential.

use super::conditions::{Concentration, Conditions};
use super::diffusion::diffusion_gain;
use super::rate_law::RateLaw;
use crate::constants::{FARADAY_C_MOL, GAS_CONSTANT_J_MOL_K, LN_10, REFERENCE_TEMPERATURE_K};
use crate::scalar::Scalar;
use crate::solution::Answer;

/// i = s (f - r)/(1 + f/i_L): the partial current of a half-reaction, A/m², positive when electrons
/// are given to the surface.
///
/// f = i_ref g exp( s alpha F (E - E_ref)/(R T)) prod over reactants (c/c_ref)^(nu (alpha+beta)/n)
/// r = i_ref g exp(-s beta  F (E - E_ref)/(R T)) prod over products  (c/c_ref)^(nu (alpha+beta)/n)
///
/// | symbol | meaning | unit |
/// |---|---|---|
/// | E | potential of the surface against the standard hydrogen electrode | V |
/// | s | +1 where the half-reaction as written gives electrons, -1 where it takes them | 1 |
/// | n | electrons of the half-reaction as written | 1 |
/// | i_ref | exchange current at the reference state; without a back reaction the current at E_ref | A/m² |
/// | g | factors of a law, one at the reference state; they act on both directions alike | 1 |
/// | alpha, beta | transfer coefficients forward and back; Tafel slope ln 10 R T/(alpha F) | 1 |
/// | E_ref | equilibrium potential at the reference state; without a back reaction any potential | V |
/// | nu | stoichiometric number in the half-reaction; protons by their activity | 1 |
/// | i_L | limiting current: what diffusion brings of one reactant | A/m² |
///
/// The current vanishes exactly where Nernst says: E_ref moves by R T/(n F) ln(c/c_ref) per
/// reactant taken by a reduction. alpha + beta = n/(times the slowest step happens): two for
/// Ni+2 + 2 e-, one for 2 H+ + 2 e- when the slow step takes one proton. f and r never grow as a
/// reactant vanishes, so every partial current is regular at zero concentration. With (f - r)/(1 + f/i_L) the
/// reactant is used in first order at its concentration at the surface, c (1 - i/i_L). The current
/// of a partial current rises with E whatever its numbers are, so there is at most one mixed potential.
///
/// Source: Butler-Volmer equation with a Nernst diffusion layer, textbook form. Valid where single
/// partial currents may be superposed, which several studies of electroless nickel deny: the reductant
/// changes how the metal is reduced. Concentrations stand for activities (except for the proton), so
/// E_ref is a formal potential of the medium.
#[derive(Debug, Clone, PartialEq)]
pub struct PartialCurrent<D = f64> {
    /// i_ref g, A/m².
    pub current: RateLaw<D>,
    /// alpha.
    pub transfer_coefficient: D,
    /// E_ref.
    pub reference: ReferencePotential<D>,
    /// Back reaction.
    pub back: Option<BackReaction<D>>,
    /// i_L; without one diffusion never limits.
    pub transport: Option<Transport<D>>,
}

/// Where E_ref lies: E_ref(T) = E + (T - 298.15 K) dE/dT.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReferencePotential<D = f64> {
    /// At 25 degC, V SHE. With a back reaction the standard (formal) potential, everything at 1 mol/L.
    pub at_25c_v: D,
    /// dE/dT, V/K.
    pub slope_v_k: D,
}

/// The back reaction of a partial current and what its equilibrium depends on.
#[derive(Debug, Clone, PartialEq)]
pub struct BackReaction<D = f64> {
    /// beta.
    pub transfer_coefficient: D,
    /// n.
    pub electrons: f64,
    /// Reactants (nu > 0) and products (nu < 0) of the half-reaction as written.
    pub shifts: Vec<Shift>,
}

/// A substance that moves the equilibrium potential.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shift {
    /// Which; the proton by the pH.
    pub of: Shifter,
    /// nu: positive for a reactant, negative for a product.
    pub moles: f64,
    /// ln of c_ref in mol/L; of the reference activity for the proton.
    pub ln_reference: f64,
}

/// What moves an equilibrium potential.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shifter {
    /// The activity of the proton, from the pH.
    Proton,
    /// A concentration.
    Of(Concentration),
}

/// i_L = n_L F h k_m c: what diffusion brings of a reactant.
///
/// | symbol | meaning | unit |
/// |---|---|---|
/// | n_L | electrons of the half-reaction per mole of the reactant | 1 |
/// | k_m | mass transfer coefficient at T_D: D over the thickness of the diffusion layer | m/s |
/// | h | [`diffusion_gain`] from T_D to the temperature of the bath | 1 |
/// | c | concentration of the reactant in the bath | mol/m³ |
///
/// Source: Nernst diffusion layer. 0.04 mol/L copper, D = 5e-10 m²/s, 100 um: 3.9 mA/cm².
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Transport<D = f64> {
    /// The reactant.
    pub of: Concentration,
    /// k_m, m/s.
    pub coefficient_m_s: D,
    /// T_D, K.
    pub coefficient_temperature_k: f64,
    /// n_L.
    pub electrons_per_mole: f64,
}

const LITRES_PER_M3: f64 = 1e3;
/// Below this concentration, mol/L, a reactant is used up: it carries no current forward.
const NOTHING_LEFT_MOL_L: f64 = 1e-15;

/// A partial current under given conditions: only the potential is left to choose.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frozen<D: Scalar> {
    /// s.
    sign: f64,
    /// ln f at E = 0 and its slope, 1/V; `None` when a reactant is used up.
    forward: Option<(D, D)>,
    /// ln r at E = 0 and its slope.
    back: Option<(D, D)>,
    /// ln i_L.
    ln_limit: Option<D>,
}

impl<D> PartialCurrent<D> {
    /// The same with each of its numbers turned into another.
    pub fn map<E>(&self, of: &mut impl FnMut(&D) -> E) -> PartialCurrent<E> {
        PartialCurrent {
            current: self.current.map(of),
            transfer_coefficient: of(&self.transfer_coefficient),
            reference: ReferencePotential {
                at_25c_v: of(&self.reference.at_25c_v),
                slope_v_k: of(&self.reference.slope_v_k),
            },
            back: self.back.as_ref().map(|back| BackReaction {
                transfer_coefficient: of(&back.transfer_coefficient),
                electrons: back.electrons,
                shifts: back.shifts.clone(),
            }),
            transport: self.transport.as_ref().map(|transport| Transport {
                of: transport.of,
                coefficient_m_s: of(&transport.coefficient_m_s),
                coefficient_temperature_k: transport.coefficient_temperature_k,
                electrons_per_mole: transport.electrons_per_mole,
            }),
        }
    }
}

impl<D: Scalar> PartialCurrent<D> {
    /// What it follows that has to be solved for, beyond the pH.
    pub fn answers(&self) -> impl Iterator<Item = Answer> {
        let shifts = self.back.iter().flat_map(|back| &back.shifts).filter_map(|shift| match shift.of {
            Shifter::Proton => None,
            Shifter::Of(concentration) => concentration.answer(),
        });
        let transport = self.transport.iter().filter_map(|transport| transport.of.answer());
        self.current.answers().chain(shifts).chain(transport)
    }
}

impl<D: Scalar> Frozen<D> {
    /// A partial current that carries nothing.
    pub(super) fn idle() -> Self {
        Frozen { sign: 1.0, forward: None, back: None, ln_limit: None }
    }
}

impl<D: Scalar> Transport<D> {
    /// i_L, A/m².
    pub fn limiting_current_a_m2(&self, at: &Conditions<D>) -> D {
        let gain = diffusion_gain(at.temperature_k, self.coefficient_temperature_k);
        self.of.of(at)
            * self.coefficient_m_s
            * gain
            * (self.electrons_per_mole * FARADAY_C_MOL * LITRES_PER_M3)
    }
}

impl Shift {
    /// ln(c/c_ref), and whether anything is there.
    fn ln_ratio<D: Scalar>(&self, at: &Conditions<D>) -> (D, bool) {
        match self.of {
            Shifter::Proton => (-at.ph * LN_10 - self.ln_reference, true),
            Shifter::Of(of) => {
                let c = of.of(at);
                let there = c.re() > NOTHING_LEFT_MOL_L;
                let c = if there { c } else { D::from(NOTHING_LEFT_MOL_L) };
                (c.ln() - self.ln_reference, there)
            }
        }
    }
}

impl<D: Scalar> PartialCurrent<D> {
    /// The current at a potential (V SHE), A/m²; `gives` says whether the half-reaction as written
    /// gives electrons.
    ///
    /// ```
    /// use bathkin::surface::{PartialCurrent, Conditions, RateLaw, ReferencePotential};
    /// // One decade per 120 mV at 25 degC.
    /// let slope_v = 0.12;
    /// let oxidation = PartialCurrent {
    ///     current: RateLaw { value_at_reference: 10.0, factors: vec![] },
    ///     transfer_coefficient: 10_f64.ln() * 8.314462618 * 298.15 / 96485.332 / slope_v,
    ///     reference: ReferencePotential { at_25c_v: -0.4, slope_v_k: 0.0 },
    ///     back: None,
    ///     transport: None,
    /// };
    /// let at = Conditions {
    ///     temperature_k: 298.15, ph: 4.8, ionic_strength_mol_l: 1.0,
    ///     totals_mol_l: &[], dissolved_mol_l: &[],
    /// };
    /// assert!((oxidation.current_a_m2(&at, true, -0.28) - 100.0).abs() < 1e-4);
    /// assert!((oxidation.current_a_m2(&at, false, -0.52) + 100.0).abs() < 1e-4);
    /// ```
    pub fn current_a_m2(&self, at: &Conditions<D>, gives: bool, potential_v: D) -> D {
        self.freeze(at, gives).current_a_m2(potential_v)
    }

    /// E_ref under these conditions: with a back reaction where the current vanishes, V SHE.
    pub fn reference_potential_v(&self, at: &Conditions<D>, gives: bool) -> D {
        let Some(back) = &self.back else { return self.at_reference_v(at) };
        let sign = if gives { 1.0 } else { -1.0 };
        let shift = back
            .shifts
            .iter()
            .fold(D::from(0.0), |sum, shift| sum + (shift.ln_ratio(at).0 + shift.ln_reference) * shift.moles);
        self.at_reference_v(at)
            - shift * at.temperature_k * (sign * GAS_CONSTANT_J_MOL_K / (FARADAY_C_MOL * back.electrons))
    }

    /// E_ref(T), everything at 1 mol/L.
    fn at_reference_v(&self, at: &Conditions<D>) -> D {
        self.reference.at_25c_v + (at.temperature_k - REFERENCE_TEMPERATURE_K) * self.reference.slope_v_k
    }

    /// The partial current with everything but the potential evaluated.
    pub(super) fn freeze(&self, at: &Conditions<D>, gives: bool) -> Frozen<D> {
        let sign = if gives { 1.0 } else { -1.0 };
        let current = self.current.value(at);
        if current.re() <= 0.0 {
            return Frozen::idle();
        }
        let ln_current = current.ln();
        let per_volt = at.temperature_k.recip() * (FARADAY_C_MOL / GAS_CONSTANT_J_MOL_K);
        let mut reference_v = self.at_reference_v(at);
        let (mut ln_forward, mut there) = (ln_current, true);
        let mut back = None;
        if let Some(reaction) = &self.back {
            let share = (self.transfer_coefficient + reaction.transfer_coefficient) / reaction.electrons;
            let mut ln_back = ln_current;
            for shift in &reaction.shifts {
                // E_ref of the reference state.
                reference_v -=
                    per_volt.recip() * (sign * shift.moles * shift.ln_reference / reaction.electrons);
                let (ln_ratio, is_there) = shift.ln_ratio(at);
                if shift.moles > 0.0 {
                    ln_forward += share * ln_ratio * shift.moles;
                    there &= is_there;
                } else {
                    ln_back -= share * ln_ratio * shift.moles;
                }
            }
            let slope = -reaction.transfer_coefficient * per_volt * sign;
            back = Some((ln_back - slope * reference_v, slope));
        }
        let slope = self.transfer_coefficient * per_volt * sign;
        let ln_limit = self.transport.map(|transport| {
            let limit = transport.limiting_current_a_m2(at);
            there &= limit.re() > 0.0;
            if limit.re() > 0.0 { limit.ln() } else { D::from(NOTHING_LEFT_MOL_L.ln()) }
        });
        Frozen { sign, forward: there.then_some((ln_forward - slope * reference_v, slope)), back, ln_limit }
    }
}

impl<D: Scalar> Frozen<D> {
    /// The current at a potential, A/m².
    pub(super) fn current_a_m2(&self, potential_v: D) -> D {
        let at = |line: Option<(D, D)>| line.map(|(start, slope)| start + slope * potential_v);
        let zero = D::from(0.0);
        let back = at(self.back).map_or(zero, |ln_back| ln_back.exp());
        let Some(ln_forward) = at(self.forward) else { return -back * self.sign };
        let current = match self.ln_limit {
            None => ln_forward.exp() - back,
            // Divided by the larger of one and f/i_L, so that neither overflows.
            Some(ln_limit) if ln_forward.re() > ln_limit.re() => {
                let limit_over_forward = (ln_limit - ln_forward).exp();
                (ln_limit.exp() - back * limit_over_forward) / (limit_over_forward + 1.0)
            }
            Some(ln_limit) => (ln_forward.exp() - back) / ((ln_forward - ln_limit).exp() + 1.0),
        };
        current * self.sign
    }

    /// ln of the part that gives electrons and of the part that takes them, each without the other:
    /// the first rises with the potential, the second falls.
    pub(super) fn ln_parts(&self, potential_v: f64) -> (f64, f64) {
        let at = |line: Option<(D, D)>| {
            line.map_or(f64::NEG_INFINITY, |(start, slope)| start.re() + slope.re() * potential_v)
        };
        let (forward, back) = (at(self.forward), at(self.back));
        let slowed = self.ln_limit.map_or(0.0, |ln_limit| ln_sum(0.0, forward - ln_limit.re()));
        if self.sign > 0.0 { (forward - slowed, back - slowed) } else { (back - slowed, forward - slowed) }
    }

    /// Slope of the current with the potential, A/(m² V); never negative.
    pub(super) fn slope_a_m2_v(&self, potential_v: f64) -> f64 {
        let at = |line: Option<(D, D)>| {
            line.map_or((0.0, 0.0), |(start, slope)| {
                ((start.re() + slope.re() * potential_v).exp(), slope.re().abs())
            })
        };
        let ((forward, up), (back, down)) = (at(self.forward), at(self.back));
        let over_limit = self.ln_limit.map_or((0.0, 0.0), |ln_limit| {
            let limit = ln_limit.re().exp();
            (forward / limit, back / limit)
        });
        let slowed = 1.0 + over_limit.0;
        (up * forward * (1.0 + over_limit.1) + down * back * slowed) / (slowed * slowed)
    }
}

/// ln(exp a + exp b) without overflow.
pub(super) fn ln_sum(a: f64, b: f64) -> f64 {
    let (large, small) = if a > b { (a, b) } else { (b, a) };
    if large == f64::NEG_INFINITY { large } else { large + (small - large).exp().ln_1p() }
}
