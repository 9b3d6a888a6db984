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

use bathkin_numerics::{Bracket, narrow_bracket};

use super::conditions::Conditions;
use super::film::{Film, FirstState};
use super::film_solve::FilmLiquid;
use super::kinetics::Kinetics;

/// A root of f is taken as met when f is below this share of r.
const MET: f64 = 1e-6;
const NARROW: f64 = 1e-12;
const EVALUATIONS: usize = 200;
const NOWHERE: Bracket = Bracket { low: 0.0, high: 0.0, f_low: 0.0, f_high: 0.0 };

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
struct Root {
    bracket: Bracket,
    stable: bool,
}

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
            let found = self.begin(film, kinetics, bath).map(|ceiling| match before {
                Some(metal) => self.follow(film, kinetics, bath, metal, ceiling),
                None => {
                    let roots = self.scan(film, kinetics, bath, ceiling);
                    let first = match film.first {
                        FirstState::Slowest => roots.first(),
                        FirstState::Fastest => roots.last(),
                    };
                    first.map_or(NOWHERE, |root| root.bracket)
                }
            });
            let metal = found.map_or(0.0, |bracket| self.stand_at(film, kinetics, bath, bracket));
            self.metal = Some(metal);
        }
        let metal = self.metal.unwrap_or(0.0);
        for (rate, ratio) in rates.iter_mut().zip(&self.ratios) {
            *rate = ratio * metal;
        }
    }

    /// Every steady state of this bath, slowest first. The steady state is forgotten.
    pub fn steady_states(&mut self, film: &Film, kinetics: &Kinetics, bath: &Conditions) -> Vec<SteadyState> {
        let roots = match self.begin(film, kinetics, bath) {
            Some(ceiling) => self.scan(film, kinetics, bath, ceiling),
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

    /// See [`SteadyState::alkaline_up_to_mol_m2_s`]. Water splits, so the film always has an answer.
    fn alkaline_up_to(
        &mut self,
        film: &Film,
        kinetics: &Kinetics,
        bath: &Conditions,
        metal: f64,
    ) -> Option<f64> {
        let hydroxide = film.hydroxide?;
        let proton = self.totals_mol_l.len();
        let alkaline = |dissolved: &[f64]| (dissolved[hydroxide] / dissolved[proton]).ln();
        let in_bath = alkaline(bath.dissolved_mol_l);
        let at_surface = alkaline(self.dissolved_mol_l());
        if !(in_bath > 0.0 && at_surface < 0.0) {
            return None;
        }
        let f = |rate: f64| {
            self.law_at(film, kinetics, bath, rate);
            Ok::<f64, std::convert::Infallible>(alkaline(self.dissolved_mol_l()))
        };
        let bracket = Bracket { low: 0.0, high: metal, f_low: in_bath, f_high: at_surface };
        narrow_bracket(f, bracket, MET * metal, EVALUATIONS).ok().map(|bracket| bracket.low)
    }

    /// Takes the bath; returns an upper bound of the rates the film can feed, or nothing when the
    /// surface does not plate and so has the bath's liquid.
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
        self.use_at(film, 1.0);
        let proton = film.balances() - 1;
        let ceilings = (0..proton)
            .filter(|slot| self.used[*slot] > 0.0)
            .map(|slot| self.liquid.supply_mol_m2_s(slot) / self.used[slot]);
        let mut ceiling = ceilings.fold(f64::INFINITY, f64::min);
        if !ceiling.is_finite() {
            ceiling = metal;
        }
        // Ratios move with the surface, so the bound is felt for.
        const DOUBLINGS: usize = 60;
        for _ in 0..DOUBLINGS {
            if self.excess(film, kinetics, bath, ceiling) < 0.0 {
                break;
            }
            ceiling *= 2.0;
        }
        Some(ceiling)
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

    /// Brings the surface to a root and returns its rate: that side of the bracket which the film
    /// can feed.
    fn stand_at(&mut self, film: &Film, kinetics: &Kinetics, bath: &Conditions, root: Bracket) -> f64 {
        let met = root.f_high.abs() <= MET * root.high && root.f_high.abs() < root.f_low.abs();
        let metal = if met { root.high } else { root.low };
        let f = self.excess(film, kinetics, bath, metal);
        self.supplied = f.abs() <= MET * metal.abs();
        metal
    }

    /// The root on the side to which the surface moves from `from`: up where the laws make more
    /// than that, down where they make less.
    fn follow(
        &mut self,
        film: &Film,
        kinetics: &Kinetics,
        bath: &Conditions,
        from: f64,
        ceiling: f64,
    ) -> Bracket {
        const FIRST_STEP: f64 = 1e-4;
        const GROWTH: f64 = 4.0;
        let mut near = from.clamp(0.0, ceiling);
        let mut f_near = self.excess(film, kinetics, bath, near);
        let mut step = (FIRST_STEP * near).max(NARROW * ceiling);
        while f_near != 0.0 {
            let far = (near + step.copysign(f_near)).clamp(0.0, ceiling);
            let f_far = self.excess(film, kinetics, bath, far);
            if (f_far > 0.0) != (f_near > 0.0) || far == near {
                let (low, high) = if far > near { (near, far) } else { (far, near) };
                let (f_low, f_high) = if far > near { (f_near, f_far) } else { (f_far, f_near) };
                return self.narrow(film, kinetics, bath, Bracket { low, high, f_low, f_high });
            }
            (near, f_near, step) = (far, f_far, step * GROWTH);
        }
        Bracket { low: near, high: near, ..NOWHERE }
    }

    fn narrow(&mut self, film: &Film, kinetics: &Kinetics, bath: &Conditions, bracket: Bracket) -> Bracket {
        let tolerance = NARROW * bracket.high;
        let f = |metal: f64| Ok::<f64, std::convert::Infallible>(self.excess(film, kinetics, bath, metal));
        // Two hundred halvings exhaust any bracket of doubles.
        narrow_bracket(f, bracket, tolerance, EVALUATIONS).unwrap_or(bracket)
    }

    /// Every root up to the ceiling, slowest first.
    fn scan(&mut self, film: &Film, kinetics: &Kinetics, bath: &Conditions, ceiling: f64) -> Vec<Root> {
        self.liquid.forget();
        let mut nodes: Vec<(f64, f64)> = grid()
            .map(|share| share * ceiling)
            .map(|metal| (metal, self.excess(film, kinetics, bath, metal)))
            .collect();
        self.add_dips(film, kinetics, bath, &mut nodes);
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

    /// Between two nodes of one sign f may pass zero and come back: where it bends towards zero, the
    /// place nearest zero becomes a node.
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
            for _ in 0..ROUNDS {
                let right = high - middle > middle - low;
                let trial = if right { 0.5 * (middle + high) } else { 0.5 * (low + middle) };
                let f = self.excess(film, kinetics, bath, trial);
                if (f > 0.0) != (b > 0.0) {
                    dips.push((trial, f));
                    break;
                }
                match (f.abs() < least.abs(), right) {
                    (true, true) => (low, middle, least) = (middle, trial, f),
                    (true, false) => (high, middle, least) = (middle, trial, f),
                    (false, true) => high = trial,
                    (false, false) => low = trial,
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
