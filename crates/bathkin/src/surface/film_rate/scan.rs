//! Every steady state of a surface.

use bathkin_numerics::{Bracket, narrow_bracket};

use super::{EVALUATIONS, FilmSurface, MET};
use crate::surface::conditions::Conditions;
use crate::surface::film::Film;
use crate::surface::kinetics::Kinetics;

/// One steady state of a surface behind a film.
#[derive(Debug, Clone, PartialEq)]
pub struct SteadyState {
    /// Rate of the metal, mol/(m² s).
    pub metal_mol_m2_s: f64,
    /// Rates of all half-reactions, mol/(m² s).
    pub rates_mol_m2_s: Vec<f64>,
    /// pH at the surface.
    pub ph: f64,
    /// The film brings what the laws ask for; `false`: the rate is all the film can bring.
    pub supplied: bool,
    /// A disturbance dies out.
    pub stable: bool,
    /// Where the bath is alkaline and this surface is not: the greatest rate whose hydroxide the film
    /// can bring, mol/(m² s). Above it there is no steady state with an alkaline surface.
    pub alkaline_up_to_mol_m2_s: Option<f64>,
}

/// A root of f, and whether f falls there.
pub(super) struct Root {
    pub(super) bracket: Bracket,
    stable: bool,
}

impl FilmSurface {
    /// Every steady state of this bath, slowest first. The steady state is forgotten.
    pub fn steady_states(&mut self, film: &Film, kinetics: &Kinetics, bath: &Conditions) -> Vec<SteadyState> {
        let roots = match self.begin(film, kinetics, bath) {
            Some(fresh) => self.scan(film, kinetics, bath, fresh),
            None => Vec::new(),
        };
        self.metal = None;
        roots
            .into_iter()
            .map(|root| {
                let metal_mol_m2_s = self.stand_at(film, kinetics, bath, root.bracket);
                SteadyState {
                    metal_mol_m2_s,
                    rates_mol_m2_s: self.ratios.iter().map(|ratio| ratio * metal_mol_m2_s).collect(),
                    ph: self.ph,
                    supplied: self.supplied,
                    stable: root.stable,
                    alkaline_up_to_mol_m2_s: self.alkaline_up_to(film, kinetics, bath, metal_mol_m2_s),
                }
            })
            .collect()
    }

    /// How many steady states this bath has. The steady state is forgotten.
    pub fn count_steady_states(&mut self, film: &Film, kinetics: &Kinetics, bath: &Conditions) -> usize {
        let fresh = self.begin(film, kinetics, bath);
        self.metal = None;
        let nodes = fresh.map_or_else(Vec::new, |fresh| self.nodes(film, kinetics, bath, fresh));
        nodes.windows(2).filter(|pair| (pair[0].1 > 0.0) != (pair[1].1 > 0.0)).count()
    }

    /// Whether the bath is alkaline and this surface is not.
    pub fn is_acid_in_alkaline(&self, film: &Film) -> bool {
        self.acid_in_alkaline(film).is_some()
    }

    /// ln of hydroxide over protons in the bath and at the surface, where the first is alkaline and the second is not.
    fn acid_in_alkaline(&self, film: &Film) -> Option<(f64, f64)> {
        let (hydroxide, proton) = (film.hydroxide?, self.totals_mol_l.len());
        let alkaline = |dissolved: &[f64]| (dissolved[hydroxide] / dissolved[proton]).ln();
        let (in_bath, at_surface) = (alkaline(&self.bath_mol_l), alkaline(self.dissolved_mol_l()));
        (in_bath > 0.0 && at_surface < 0.0).then_some((in_bath, at_surface))
    }

    /// See [`SteadyState::alkaline_up_to_mol_m2_s`]. Water splits, so the film always has an answer.
    fn alkaline_up_to(
        &mut self,
        film: &Film,
        kinetics: &Kinetics,
        bath: &Conditions,
        metal: f64,
    ) -> Option<f64> {
        let proton = self.totals_mol_l.len();
        let (in_bath, at_surface) = self.acid_in_alkaline(film)?;
        let hydroxide = film.hydroxide?;
        let alkaline = |dissolved: &[f64]| (dissolved[hydroxide] / dissolved[proton]).ln();
        let f = |rate: f64| {
            self.law_at(film, kinetics, bath, rate);
            Ok::<f64, std::convert::Infallible>(alkaline(self.dissolved_mol_l()))
        };
        let bracket = Bracket { low: 0.0, high: metal, f_low: in_bath, f_high: at_surface };
        narrow_bracket(f, bracket, MET * metal, EVALUATIONS).ok().map(|bracket| bracket.low)
    }

    /// Every root up to what the film can feed, slowest first. `fresh` is the rate of the bath's own liquid.
    pub(super) fn scan(
        &mut self,
        film: &Film,
        kinetics: &Kinetics,
        bath: &Conditions,
        fresh: f64,
    ) -> Vec<Root> {
        let nodes = self.nodes(film, kinetics, bath, fresh);
        let mut roots = Vec::new();
        for pair in nodes.windows(2) {
            let ((low, f_low), (high, f_high)) = (pair[0], pair[1]);
            if (f_low > 0.0) != (f_high > 0.0) {
                let bracket = self.narrow(film, kinetics, bath, Bracket { low, high, f_low, f_high });
                roots.push(Root { bracket, stable: f_low > f_high });
            }
        }
        roots
    }

    /// Rates with their f, between which it changes its sign at most once.
    fn nodes(&mut self, film: &Film, kinetics: &Kinetics, bath: &Conditions, fresh: f64) -> Vec<(f64, f64)> {
        let ceiling = self.ceiling(film, kinetics, bath, fresh);
        self.liquid.forget();
        let (mut nodes, mut trail) = (Vec::new(), Trail::default());
        for share in grid() {
            let metal = share * ceiling;
            // What runs short falls with the logarithm of what the film has left to bring.
            let along = (-share).ln_1p();
            trail.lead(along, &mut self.liquid.ln_ratio);
            let law = self.law_at(film, kinetics, bath, metal);
            match law {
                Some(_) => trail.keep(along, &self.liquid.ln_ratio),
                None => trail = Trail::default(),
            }
            nodes.push((metal, law.map_or(-metal, |law| law - metal)));
        }
        self.add_dips(film, kinetics, bath, &mut nodes);
        nodes
    }

    /// An upper bound of the rates the film can feed.
    fn ceiling(&mut self, film: &Film, kinetics: &Kinetics, bath: &Conditions, fresh: f64) -> f64 {
        self.use_at(film, 1.0);
        let proton = film.balances() - 1;
        let ceilings = (0..proton)
            .filter(|slot| self.used[*slot] > 0.0)
            .map(|slot| self.liquid.supply_mol_m2_s(slot) / self.used[slot]);
        let mut ceiling = ceilings.fold(f64::INFINITY, f64::min);
        if !ceiling.is_finite() {
            ceiling = fresh;
        }
        // Ratios move with the surface, so the bound is felt for.
        const DOUBLINGS: usize = 60;
        for _ in 0..DOUBLINGS {
            if self.excess(film, kinetics, bath, ceiling) < 0.0 {
                break;
            }
            ceiling *= 2.0;
        }
        ceiling
    }

    /// Between two nodes of one sign f may pass zero and come back: where it bends towards zero, the
    /// place nearest zero becomes a node. A parabola lies below its lowest sample by at most a third of the fall to it; where
    /// the whole fall again does not reach zero, nothing does.
    fn add_dips(&mut self, film: &Film, kinetics: &Kinetics, bath: &Conditions, nodes: &mut Vec<(f64, f64)>) {
        const ROUNDS: usize = 40;
        let mut dips = Vec::new();
        for triple in nodes.windows(3) {
            let [(low, a), (middle, b), (high, c)] = [triple[0], triple[1], triple[2]];
            let same_side = (a > 0.0) == (b > 0.0) && (c > 0.0) == (b > 0.0);
            if !(same_side && b.abs() <= a.abs() && b.abs() <= c.abs()) {
                continue;
            }
            // The smallest |f| of three, the middle kept below both ends.
            let (mut low, mut middle, mut high, mut least) = (low, middle, high, b);
            let (mut at_low, mut at_high) = (a, c);
            for _ in 0..ROUNDS {
                if 2.0 * least.abs() > at_low.abs().max(at_high.abs()) {
                    break;
                }
                let right = high - middle > middle - low;
                let trial = if right { 0.5 * (middle + high) } else { 0.5 * (low + middle) };
                let f = self.excess(film, kinetics, bath, trial);
                if (f > 0.0) != (b > 0.0) {
                    dips.push((trial, f));
                    break;
                }
                match (f.abs() < least.abs(), right) {
                    (true, true) => (low, at_low, middle, least) = (middle, least, trial, f),
                    (true, false) => (high, at_high, middle, least) = (middle, least, trial, f),
                    (false, true) => (high, at_high) = (trial, f),
                    (false, false) => (low, at_low) = (trial, f),
                }
            }
        }
        nodes.extend(dips);
        nodes.sort_by(|a, b| a.0.total_cmp(&b.0));
    }
}

/// Shares of the ceiling at which f is looked at: even in between, and closing in on both ends, where
/// a fast film has its root and where a slow one has.
fn grid() -> impl Iterator<Item = f64> {
    const EVEN: i32 = 64;
    const FINEST: i32 = 40;
    let first = f64::from(EVEN).recip();
    let low = (1..=FINEST).rev().map(move |halving| first * 0.5_f64.powi(halving));
    let even = (1..EVEN).map(move |step| first * f64::from(step));
    let high = (1..=FINEST).map(move |halving| 1.0 - first * 0.5_f64.powi(halving));
    std::iter::once(0.0).chain(low).chain(even).chain(high).chain([1.0])
}

/// The last two surfaces of a scan: the next one begins on the line through them.
#[derive(Default)]
struct Trail {
    last: Option<(f64, Vec<f64>)>,
    before: Option<(f64, Vec<f64>)>,
}

impl Trail {
    fn keep(&mut self, along: f64, ln_ratio: &[f64]) {
        std::mem::swap(&mut self.last, &mut self.before);
        let (at, kept) = self.last.get_or_insert_with(|| (along, Vec::new()));
        *at = along;
        kept.clear();
        kept.extend_from_slice(ln_ratio);
    }

    fn lead(&self, along: f64, ln_ratio: &mut [f64]) {
        let (Some((last, at_last)), Some((before, at_before))) = (&self.last, &self.before) else { return };
        let ahead = (along - last) / (last - before);
        if !ahead.is_finite() {
            return;
        }
        for (value, (last, before)) in ln_ratio.iter_mut().zip(at_last.iter().zip(at_before)) {
            *value = last + ahead * (last - before);
        }
    }
}
