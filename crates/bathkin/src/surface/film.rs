//! Transport: the liquid at the surface is not the liquid of the bath.
//!
//! Between bath and surface lies a film that substances cross by diffusion. What the half-reactions
//! use at the surface has to come through it, so the laws see less metal, less reductant and another
//! pH than the bath shows. The mathematics of one surface at a given demand stand in
//! `film_solve`, the steady states of laws and film together in `film_rate`.

use super::diffusion::diffusion_gain;
use crate::solution::Equilibrium;
use crate::solution::chemistry::HYDROXIDE;

/// Litres in a cubic metre: mol/L times m/s times this is mol/(m² s).
pub(super) const L_M3: f64 = 1e3;

/// Which steady state a fresh surface takes when the laws allow several.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FirstState {
    /// The one of the least rate: a surface that comes into the bath has the bath's own liquid
    /// before it, and the rate rises (or falls) from nothing used.
    Slowest,
    /// The one of the greatest rate: a surface that was brought there, by a strike or by stirring.
    Fastest,
}

/// Transport through a film with local equilibrium.
///
/// For every component j, and for the proton,
///
/// sum_s nu_sj k_s (c_s,bath - c_s,surface) = q_j,   k_s = h(T) (D_ref/delta) (D_s/D_ref)^m
///
/// | symbol | meaning | unit |
/// |---|---|---|
/// | nu_sj | how many of j a dissolved substance s holds; of protons OH- holds -1 | 1 |
/// | c_s | concentration | mol/L |
/// | k_s | transfer coefficient | m/s |
/// | D_s, D_ref | diffusion coefficients, at T_D, of the substance and of the reference substance (the metal) | m²/s |
/// | h(T) | [`Film::mobility`]: how much faster everything diffuses than at T_D | 1 |
/// | delta | film thickness for the reference substance, the same at every temperature | m |
/// | m | 2/3 for a flowing film (boundary layer), 1 for a stagnant one of the same thickness for all | 1 |
/// | q_j | what the half-reactions use of j, by their stoichiometry and rates | mol/(m² s) |
///
/// Assumptions: every reaction in the liquid is fast against diffusion (local equilibrium). An inert
/// supporting electrolyte carries the current and evens out the charge: no migration, sodium and the
/// like stay as in the bath, and every activity coefficient is that of the bath. So mass action
/// holds between surface and bath with the bath's own conditional constants,
///
/// ln(c_s,surface/c_s,bath) = sum_j nu_sj ln(c_j,surface/c_j,bath),
///
/// and the balance of the proton, not electroneutrality, fixes the surface pH. Water is in excess.
/// Good where the reacting ions are few beside the salts of the bath; a young bath without them has
/// migration on top. Source: the film theory of transport with fast reaction (textbook form); the
/// exponent 2/3 is that of Levich's boundary layer.
#[derive(Debug, Clone, PartialEq)]
pub struct Film {
    /// k_s of every dissolved substance at T_D, m/s.
    transfer_m_s: Vec<f64>,
    /// T_D, K.
    diffusion_temperature_k: f64,
    /// What every dissolved substance is made of: (component, or their number for the proton; count).
    pub(super) made_of: Vec<Vec<(usize, f64)>>,
    /// What every half-reaction makes: (component, or their number for the proton; moles).
    pub(super) makes: Vec<Vec<(usize, f64)>>,
    /// For each component and the proton: it forms species, so its balance is coupled to others.
    pub(super) coupled: Vec<bool>,
    /// Place of the hydroxide ion among the dissolved substances.
    pub(super) hydroxide: Option<usize>,
    /// Where a fresh surface goes.
    pub first: FirstState,
}

impl Film {
    /// A film before a surface on which half-reactions make `makes` per mole of extent: (slot,
    /// moles) over the components and, after them, the proton. Slots beyond (water) are ignored.
    /// `transfer_m_s` is in the order of [`crate::solution::Speciation::species`], at `diffusion_temperature_k`.
    pub fn new(
        equilibrium: &Equilibrium,
        transfer_m_s: Vec<f64>,
        diffusion_temperature_k: f64,
        makes: impl Iterator<Item = Vec<(usize, f64)>>,
        first: FirstState,
    ) -> Self {
        let proton = equilibrium.component_names().len();
        let made_of: Vec<Vec<(usize, f64)>> =
            (0..equilibrium.substances()).map(|substance| equilibrium.made_of(substance)).collect();
        let mut coupled = vec![false; proton + 1];
        coupled[proton] = true;
        for parts in &made_of[proton + 1..] {
            for (slot, _) in parts {
                coupled[*slot] = true;
            }
        }
        let dissolved =
            |made: Vec<(usize, f64)>| made.into_iter().filter(|(slot, _)| *slot <= proton).collect();
        Film {
            transfer_m_s,
            diffusion_temperature_k,
            made_of,
            makes: makes.map(dissolved).collect(),
            coupled,
            hydroxide: equilibrium.substance_names().position(|name| name == HYDROXIDE),
            first,
        }
    }

    /// k_s at T_D, m/s: (D_ref/delta) (D_s/D_ref)^m.
    ///
    /// ```
    /// use bathkin::surface::Film;
    /// // Copper through 100 um, and hydroxide, which is ten times as mobile.
    /// let metal = Film::transfer_coefficient_m_s(100.0, 0.5e-9, 0.5e-9, 2.0 / 3.0);
    /// let hydroxide = Film::transfer_coefficient_m_s(100.0, 5.0e-9, 0.5e-9, 2.0 / 3.0);
    /// assert!((metal - 5e-6).abs() < 1e-18);
    /// assert!((hydroxide / metal - 4.642).abs() < 1e-3);
    /// ```
    pub fn transfer_coefficient_m_s(thickness_um: f64, d_m2_s: f64, d_ref_m2_s: f64, exponent: f64) -> f64 {
        d_ref_m2_s / (thickness_um * 1e-6) * (d_m2_s / d_ref_m2_s).powf(exponent)
    }

    /// Transfer coefficient of every dissolved substance at T_D, m/s.
    pub(super) fn transfer_m_s(&self) -> &[f64] {
        &self.transfer_m_s
    }

    /// h(T), [`diffusion_gain`] from the temperature of the coefficients; exactly one there.
    pub fn mobility(&self, temperature_k: f64) -> f64 {
        if temperature_k == self.diffusion_temperature_k {
            1.0
        } else {
            diffusion_gain(temperature_k, self.diffusion_temperature_k)
        }
    }

    /// Number of balances: the components and the proton.
    pub(super) fn balances(&self) -> usize {
        self.coupled.len()
    }

    /// What crosses the film of each component and of the proton, mol/(m² s), from the concentrations
    /// on both sides: the left side of the balance.
    pub fn fluxes_mol_m2_s(&self, temperature_k: f64, bath_mol_l: &[f64], surface_mol_l: &[f64]) -> Vec<f64> {
        let mut fluxes = vec![0.0; self.balances()];
        let mobility = self.mobility(temperature_k);
        for (substance, parts) in self.made_of.iter().enumerate() {
            let gradient = bath_mol_l[substance] - surface_mol_l[substance];
            for (slot, count) in parts {
                fluxes[*slot] += count * mobility * self.transfer_m_s[substance] * L_M3 * gradient;
            }
        }
        fluxes
    }
}
