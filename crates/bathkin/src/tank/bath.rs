//! The chemistry of a bath: what its liquid is made of and which reactions go on in it and at the surface.
//!
//! Here belongs what a sample of the bath takes along in a beaker: equilibrium, laws, formulas, molar masses, and which
//! substance plays which role. How much liquid there is, and what is done to it, stands in
//! [`Plant`](super::Plant) and [`Operation`](super::Operation).

use std::sync::Arc;

use crate::deposit::{DensityScale, Layer};
use crate::scalar::Scalar;
use crate::solution::{BathCouple, BathSolid, Element, Equilibrium, Formula, Speciation};
use crate::surface::{Conditions, Decomposition, Film, Kinetics};

use super::bulk::BulkReaction;

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

/// A half-reaction resolved to slots of the tank.
#[derive(Debug, Clone)]
pub struct ResolvedReaction {
    /// (slot of the liquid, moles made).
    pub liquid: Vec<(usize, f64)>,
    /// (index among [`BathChemistry::deposited`], atoms).
    pub deposit: Vec<(usize, f64)>,
    /// (index among [`BathChemistry::evolved`], atoms).
    pub gas: Vec<(usize, f64)>,
}

/// The chemistry of one bath, resolved to slots: the same in a beaker and in a tank.
#[derive(Debug, Clone)]
pub struct BathChemistry {
    /// Solids that can fall out of the liquid.
    pub solids: Arc<[BathSolid]>,
    /// Redox couples with pure solids whose components are in the bath.
    pub couples: Arc<[BathCouple]>,
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
    /// Name of the alloying element; `None` for a pure metal.
    pub alloy: Option<String>,
}

impl BathChemistry {
    /// Number of components (the liquid has two slots more, proton and water).
    pub fn components(&self) -> usize {
        self.liquid.len() - 2
    }

    /// Slot of the proton in the liquid.
    pub fn proton(&self) -> usize {
        self.liquid.len() - 2
    }

    /// Slot of the water in the liquid.
    pub fn water(&self) -> usize {
        self.liquid.len() - 1
    }

    /// Saturation index of every solid in a solved liquid, in the order of [`BathChemistry::solids`].
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
