//! Steady states of the laws and the film together.
//!
//! With r the rate of the metal, the film gives the liquid at the surface for what r uses, and the
//! laws answer with the rate they make of that liquid. A steady state is a root of
//!
//! f(r) = law(surface(r)) - r.
//!
//! f is positive at r = 0 and negative where the film can bring no more, so there is always one root;
//! where blocking by what the film holds back is strong there are three, and the middle one is not
//! stable: a disturbance grows. So the whole range is searched, and in time the surface stays on its
//! steady state until that ends. Where the laws ask for more than the film brings, however little is left
//! before the surface, the rate is what the film brings, and says so.

mod follow;
mod scan;

use bathkin_numerics::Bracket;

pub use scan::SteadyState;

use super::conditions::Conditions;
use super::film::{Film, FirstState};
use super::film_solve::FilmLiquid;
use super::kinetics::Kinetics;

/// A root of f is taken as met when f is below this share of r.
const MET: f64 = 1e-6;
/// A root is known to this share of its rate.
const NARROW: f64 = 1e-12;
const EVALUATIONS: usize = 200;
const NOWHERE: Bracket = Bracket { low: 0.0, high: 0.0, f_low: 0.0, f_high: 0.0 };

/// A surface behind a film: its liquid, and the steady state it is in.
#[derive(Debug, Clone)]
pub struct FilmSurface {
    liquid: FilmLiquid,
    /// Totals of the components at the surface, mol/L.
    pub totals_mol_l: Vec<f64>,
    /// pH at the surface.
    pub ph: f64,
    /// The film brings what the laws ask for.
    pub supplied: bool,
    /// Rate of the metal, mol/(m² s), in the steady state; none before the first evaluation.
    metal: Option<f64>,
    /// Slope of f there, as it was seen last; `NaN` before.
    slope: f64,
    /// Rates of all half-reactions per rate of the metal.
    ratios: Vec<f64>,
    rates: Vec<f64>,
    /// What is used over how much faster the film is than at the temperature of its coefficients: every
    /// balance holds the temperature as that one divisor.
    used: Vec<f64>,
    mobility: f64,
    /// The bath of the last evaluation.
    bath_mol_l: Vec<f64>,
    temperature_k: f64,
    bath_ph: f64,
}

impl FilmSurface {
    /// Memory for a film before it has seen a bath.
    pub fn new(film: &Film) -> Self {
        FilmSurface {
            liquid: FilmLiquid::new(film),
            totals_mol_l: vec![0.0; film.balances() - 1],
            ph: f64::NAN,
            supplied: true,
            metal: None,
            slope: f64::NAN,
            ratios: vec![0.0; film.makes.len()],
            rates: vec![0.0; film.makes.len()],
            used: vec![0.0; film.balances()],
            mobility: 1.0,
            bath_mol_l: vec![f64::NAN; film.made_of.len()],
            temperature_k: f64::NAN,
            bath_ph: f64::NAN,
        }
    }

    /// Every dissolved substance at the surface, mol/L.
    pub fn dissolved_mol_l(&self) -> &[f64] {
        &self.liquid.dissolved_mol_l
    }

    /// Rates of all half-reactions, mol/(m² s), in the steady state nearest the last one (the first
    /// time: that of [`Film::first`]), into `rates`; the liquid at the surface stays here.
    pub fn settle(&mut self, film: &Film, kinetics: &Kinetics, bath: &Conditions, rates: &mut [f64]) {
        // Asked again: the answer must not move by a rounding error.
        let again = self.bath_mol_l == bath.dissolved_mol_l
            && self.temperature_k == bath.temperature_k
            && self.bath_ph == bath.ph;
        if !again {
            let before = self.metal;
            let metal = match (self.begin(film, kinetics, bath), before) {
                (None, _) => 0.0,
                (Some(fresh), Some(metal)) => self.stay(film, kinetics, bath, metal, fresh),
                (Some(fresh), None) => {
                    let roots = self.scan(film, kinetics, bath, fresh);
                    let first = match film.first {
                        FirstState::Slowest => roots.first(),
                        FirstState::Fastest => roots.last(),
                    };
                    self.stand_at(film, kinetics, bath, first.map_or(NOWHERE, |root| root.bracket))
                }
            };
            self.metal = Some(metal);
        }
        let metal = self.metal.unwrap_or(0.0);
        for (rate, ratio) in rates.iter_mut().zip(&self.ratios) {
            *rate = ratio * metal;
        }
    }

    /// Takes the bath; returns the rate its own liquid makes, mol/(m² s), or nothing when the surface does not plate and
    /// so has the bath's liquid.
    fn begin(&mut self, film: &Film, kinetics: &Kinetics, bath: &Conditions) -> Option<f64> {
        self.bath_mol_l.copy_from_slice(bath.dissolved_mol_l);
        if self.temperature_k != bath.temperature_k {
            self.mobility = film.mobility(bath.temperature_k);
        }
        (self.temperature_k, self.bath_ph) = (bath.temperature_k, bath.ph);
        self.liquid.take_bath(film, bath.dissolved_mol_l);
        self.totals_mol_l.copy_from_slice(bath.totals_mol_l);
        self.ph = bath.ph;
        self.supplied = true;
        kinetics.rates(bath, &mut self.rates);
        let metal = self.rates[kinetics.metal()];
        if metal <= 0.0 {
            // The other half-reactions follow the metal; nothing runs.
            self.ratios.fill(0.0);
            self.liquid.dissolved_mol_l.copy_from_slice(bath.dissolved_mol_l);
            return None;
        }
        self.take_ratios(metal);
        Some(metal)
    }

    fn take_ratios(&mut self, metal: f64) {
        for (ratio, rate) in self.ratios.iter_mut().zip(&self.rates) {
            *ratio = rate / metal;
        }
    }

    /// What a rate of the metal uses at the present ratios.
    fn use_at(&mut self, film: &Film, metal: f64) {
        self.used.fill(0.0);
        for (makes, ratio) in film.makes.iter().zip(&self.ratios) {
            for (slot, moles) in makes {
                self.used[*slot] -= moles * ratio * metal / self.mobility;
            }
        }
    }

    /// f at a rate of the metal; where the film cannot bring what that uses, the surface has nothing
    /// to make a rate of.
    fn excess(&mut self, film: &Film, kinetics: &Kinetics, bath: &Conditions, metal: f64) -> f64 {
        self.law_at(film, kinetics, bath, metal).map_or(-metal, |law| law - metal)
    }

    /// The rate the laws make of the surface that a rate of the metal leaves.
    fn law_at(&mut self, film: &Film, kinetics: &Kinetics, bath: &Conditions, metal: f64) -> Option<f64> {
        const ROUNDS: usize = 60;
        const SETTLED: f64 = 1e-12;
        let mut law = 0.0;
        for _ in 0..ROUNDS {
            self.use_at(film, metal);
            if !self.liquid.solve(film, &self.used) {
                return None;
            }
            self.read(film, bath);
            let surface = Conditions {
                ph: self.ph,
                totals_mol_l: &self.totals_mol_l,
                dissolved_mol_l: &self.liquid.dissolved_mol_l,
                ..*bath
            };
            kinetics.rates(&surface, &mut self.rates);
            law = self.rates[kinetics.metal()];
            if law <= 0.0 {
                return Some(0.0);
            }
            // What the other half-reactions use moves with the surface.
            let moved = self.ratios.iter().zip(&self.rates).fold(0.0_f64, |most, (ratio, rate)| {
                let new = rate / law;
                most.max((new - ratio).abs() / new.abs().max(1.0))
            });
            if moved <= SETTLED {
                break;
            }
            self.take_ratios(law);
        }
        Some(law)
    }

    /// Totals and pH at the surface.
    fn read(&mut self, film: &Film, bath: &Conditions) {
        let components = self.totals_mol_l.len();
        self.totals_mol_l.fill(0.0);
        for (parts, mol_l) in film.made_of.iter().zip(&self.liquid.dissolved_mol_l) {
            for (slot, count) in parts.iter().filter(|(slot, _)| *slot < components) {
                self.totals_mol_l[*slot] += count * mol_l;
            }
        }
        self.ph = bath.ph - self.liquid.ln_ratio[components] / crate::constants::LN_10;
    }
}
