//! 4. Running it: volume, work, replenishers, policies, and the balance of everything.
//!
//! The state of a tank is a vector of amounts and volumes; its right-hand side comes from the surface,
//! and every element, the charge and the volume must balance at every stop.

pub mod accounts;
pub mod balances;
pub mod bulk;
pub mod cost;
pub mod drag_out;
pub mod event;
pub mod exchange;
pub mod feed;
mod flows;
mod held_orders;
pub mod layout;
pub mod level;
pub mod observe;
pub mod policy;
pub mod quantity;
pub mod racks;
pub mod readings;
mod reference_bath;
pub mod replenisher;
mod surface_states;
pub mod temperature;
pub mod work;

use std::sync::Arc;

use crate::deposit::{DensityScale, Layer};
use crate::scalar::Scalar;
use crate::solution::{BathCouple, BathSolid, Element, Equilibrium, Formula, Speciation};
use crate::surface::{Conditions, Decomposition, Film, Kinetics};

pub use balances::Balances;
pub use bulk::BulkReaction;
pub use cost::{Cost, CostParts, CostPoint, PricedFeed, Waste};
pub use drag_out::{DragOut, Draining};
pub use event::{Dose, Event, When};
pub use exchange::Exchange;
pub use feed::{Feed, Occasion};
pub use held_orders::HeldOrder;
pub use layout::{Layout, Volume};
pub use level::{Level, LevelStatus};
pub use observe::BathState;
pub use policy::{Analysis, Hours, MetalPolicy, PhPolicy, Policies, ReductantPolicy};
pub use quantity::Quantity;
pub use racks::{Move, RackTime, Racks};
pub use readings::{AlsoRead, Readings};
pub use reference_bath::{ReferenceBath, Relation};
pub use replenisher::{DoseUnit, Replenisher};
pub use temperature::{Idle, Programme, Ramp, Step};
pub use work::{Load, Loads, Shifts, Work};

/// Water in a litre of pure water at 25 degC, mol/L: 997.05 g/L over 18.015 g/mol.
///
/// Water is counted as if dissolved salts took no volume. Its inventory only closes the balances
/// of hydrogen and oxygen; nothing else depends on it.
pub const WATER_MOL_L: f64 = 55.345;

/// Where the roles of the trade sit among the components.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Roles {
    /// The metal that is deposited.
    pub metal: usize,
    /// The reductant.
    pub reductant: usize,
    /// The by-product that ages the bath.
    pub by_product: usize,
}

/// The dissolved substances that hold the metal and the reductant, by their places in the order of
/// [`Speciation::species`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Forms {
    /// Of the metal.
    pub metal: Vec<usize>,
    /// Of the reductant.
    pub reductant: Vec<usize>,
}

/// What the operator holds the bath to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SetPoints {
    /// Metal, mol/L.
    pub metal_mol_l: f64,
    /// Reductant, mol/L.
    pub reductant_mol_l: f64,
    /// pH at the reading temperature.
    pub ph: f64,
    /// Temperature at which the pH is read, K.
    pub ph_temperature_k: f64,
}

/// A half-reaction resolved to slots of the tank.
#[derive(Debug, Clone)]
pub struct ResolvedReaction {
    /// (slot of the liquid, moles made).
    pub liquid: Vec<(usize, f64)>,
    /// (index among [`Tank::deposited`], atoms).
    pub deposit: Vec<(usize, f64)>,
    /// (index among [`Tank::evolved`], atoms).
    pub gas: Vec<(usize, f64)>,
}

/// A recipe resolved to indices: immutable, ready to evaluate, safe to share between threads.
///
/// Copies share what is large, so that many baths that differ a little cost little.
#[derive(Debug, Clone)]
pub struct Tank {
    /// Solids that can fall out of the liquid.
    pub solids: Arc<[BathSolid]>,
    /// Redox couples with pure solids whose components are in the bath.
    pub couples: Arc<[BathCouple]>,
    /// Gases exchanged with the air.
    pub exchanges: Vec<Exchange>,
    /// The equilibrium of the liquid.
    pub equilibrium: Arc<Equilibrium>,
    /// The surface.
    pub kinetics: Arc<Kinetics>,
    /// How the bath plates out, when the recipe says.
    pub decomposition: Option<Decomposition>,
    /// The film before it; none: the surface has the liquid of the bath.
    pub film: Option<Film>,
    /// Its half-reactions in slots.
    pub reactions: Arc<[ResolvedReaction]>,
    /// Reactions of the liquid itself.
    pub bulk: Arc<[BulkReaction]>,
    /// Formulas of the liquid's slots: components, proton, water.
    pub liquid: Arc<[Formula]>,
    /// Molar masses of the liquid's slots, g/mol.
    pub liquid_g_mol: Vec<f64>,
    /// Molar masses of the dissolved substances, g/mol, in the order of [`Speciation::species`]: components, proton, species.
    pub dissolved_g_mol: Arc<[f64]>,
    /// Elements in the deposit.
    pub deposited: Vec<Element>,
    /// Their atomic weights, g/mol, and which of them is the base metal.
    pub deposited_g_mol: Vec<f64>,
    /// Index of the base metal among the deposited elements.
    pub metal_element: usize,
    /// Which of them count as the alloying element.
    pub alloy_elements: Vec<usize>,
    /// Elements in the gas.
    pub evolved: Vec<Element>,
    /// Elements that fall out of the liquid as powder.
    pub settled: Vec<Element>,
    /// Density of the deposit.
    pub density: DensityScale,
    /// Roles among the components.
    pub roles: Roles,
    /// Where the metal and the reductant are.
    pub forms: Forms,
    /// Place of the hydroxide among the dissolved substances, in a bath controlled by free alkali.
    pub hydroxide: Option<usize>,
    /// Volume of the bath at make-up, L.
    pub volume_l: f64,
    /// How its level is ruled.
    pub level: Level,
    /// Temperature the bath works at, K.
    pub temperature_k: f64,
    /// How the temperature moves.
    pub programme: Programme,
    /// Open surface, m²; none where nobody states it.
    pub open_surface_m2: Option<f64>,
    /// Evaporation at the working temperature, L/h.
    pub evaporation_l_h: f64,
    /// Time between fillings up with water by hand, s; none: nobody does.
    pub water_interval_s: Option<f64>,
    /// Set-points.
    pub set_points: SetPoints,
    /// The work that passes through.
    pub work: Work,
    /// Liquid carried out with the work.
    pub drag_out: DragOut,
    /// Liquid carried in with the work, L/m².
    pub drag_in_l_m2: f64,
    /// What is carried in, among [`Tank::replenishers`]; none when nothing is.
    pub drag_in: Option<usize>,
    /// What is declared to happen.
    pub events: Vec<Event>,
    /// Part of the bath bled off per turnover of plated metal.
    pub bleed_per_turnover: f64,
    /// Bath bled off steadily, L/h.
    pub bleed_l_h: f64,
    /// Solutions that enter the tank: metal, reductant, pH, and others.
    pub replenishers: Vec<Replenisher>,
    /// What calls for the others.
    pub feeds: Vec<Feed>,
    /// When and how much to add.
    pub policies: Policies,
    /// Reagent in the pH corrector, g/L.
    pub ph_corrector_g_l: f64,
    /// Name of the alloying element; `None` for a pure metal.
    pub alloy: Option<String>,
    /// Prices; none in a recipe without.
    pub cost: Option<Cost>,
}

/// Index of the metal replenisher in [`Tank::replenishers`].
pub const METAL: usize = 0;
/// Index of the reductant replenisher.
pub const REDUCTANT: usize = 1;
/// Index of the pH corrector.
pub const PH: usize = 2;

impl Tank {
    /// Number of components (the liquid has two slots more, proton and water).
    pub fn components(&self) -> usize {
        self.liquid.len() - 2
    }

    /// True when nothing moves in the tank without work: no bleed, no air, no evaporation, no reaction
    /// of the liquid.
    pub fn rests_when_idle(&self) -> bool {
        let still = self.bleed_l_h == 0.0 && self.evaporation_l_h == 0.0;
        still && self.exchanges.is_empty() && self.bulk.is_empty()
    }

    /// What contents at this volume are at the working level, as a part of what they are.
    pub fn working_share(&self, volume_l: f64) -> f64 {
        self.level.working_share(volume_l, self.volume_l, self.water_interval_s.is_some())
    }

    /// Slot of the proton in the liquid.
    pub fn proton(&self) -> usize {
        self.liquid.len() - 2
    }

    /// Slot of the water in the liquid.
    pub fn water(&self) -> usize {
        self.liquid.len() - 1
    }

    /// Saturation index of every solid in a solved liquid, in the order of [`Tank::solids`].
    pub fn saturation_indices(&self, speciation: &Speciation) -> Vec<f64> {
        self.solids.iter().map(|solid| solid.saturation_index(&self.equilibrium, speciation)).collect()
    }

    /// Growth of the deposit, um/s, and its composition, from the rates of the half-reactions.
    pub fn growth<D: Scalar>(&self, rates: &[D]) -> (D, D) {
        let [mut mass, mut metal, mut alloy] = [D::from(0.0); 3];
        for (reaction, rate) in self.reactions.iter().zip(rates) {
            for (element, atoms) in &reaction.deposit {
                let grams = *rate * *atoms * self.deposited_g_mol[*element];
                mass += grams;
                if *element == self.metal_element {
                    metal += grams;
                }
                if self.alloy_elements.contains(element) {
                    alloy += grams;
                }
            }
        }
        let layer = Layer::of_masses(mass, metal, alloy, self.density);
        (layer.thickness_um(1.0), layer.alloy_wt_pct)
    }

    /// Growth of the deposit under these conditions, um/s, by laws over any scalar: with dual numbers, its derivative by
    /// what laws and conditions depend on. `None` behind a film, whose liquid the laws themselves change.
    pub fn growth_under<D: Scalar>(&self, laws: &Kinetics<D>, at: &Conditions<D>) -> Option<D> {
        let mut rates = vec![D::from(0.0); self.reactions.len()];
        self.film.is_none().then(|| {
            laws.rates(at, &mut rates);
            self.growth(&rates).0
        })
    }

    /// The layer made of these moles of the deposited elements.
    pub fn layer(&self, moles: &[f64]) -> Layer {
        let grams = |element: usize| moles[element] * self.deposited_g_mol[element];
        let mass = (0..moles.len()).map(grams).sum();
        let alloy = self.alloy_elements.iter().map(|element| grams(*element)).sum();
        Layer::of_masses(mass, grams(self.metal_element), alloy, self.density)
    }
}
