//! Reagents with their amounts per litre.

use crate::constants::WATER_MOLAR_MASS_G_MOL;
use crate::document::slot::Slot;
use crate::solution::chemistry::WATER;
use crate::solution::{Chemistry, Reagent};

/// Reagents with their amounts per litre.
#[derive(Debug, Clone, Default)]
pub(crate) struct Amounts {
    /// (reagent, mol/L).
    pub(crate) of: Vec<(Reagent, Slot)>,
    /// Components, by their place in the chemistry, of what was set or added above an inherited recipe.
    pub(crate) touched: Vec<usize>,
}

impl Amounts {
    /// One reagent, g/L.
    pub(crate) fn single(reagent: &Reagent, grams_per_litre: f64) -> Self {
        Amounts {
            of: vec![(reagent.clone(), Slot::fixed(grams_per_litre / reagent.molar_mass_g_mol))],
            ..Amounts::default()
        }
    }

    /// Components the reagents bring.
    pub(crate) fn components(&self) -> impl Iterator<Item = usize> + '_ {
        self.of.iter().flat_map(|(reagent, _)| reagent.gives.iter().map(|(index, _)| *index))
    }

    /// Components, by their place in the chemistry, of what was set or added above an inherited recipe.
    pub(crate) fn touched(&self) -> impl Iterator<Item = usize> + '_ {
        self.touched.iter().copied()
    }

    /// (reagent, mol/L).
    pub(crate) fn moles(&self) -> impl Iterator<Item = (&Reagent, f64)> {
        self.of.iter().map(|(reagent, moles)| (reagent, moles.value))
    }

    /// Mass of what they bring beside water, g/L.
    pub(crate) fn solutes_g_l(&self, chemistry: &Chemistry) -> f64 {
        let dry = |reagent: &Reagent| {
            let water = reagent.gives.iter().filter(|(index, _)| chemistry.components[*index].name == WATER);
            reagent.molar_mass_g_mol - water.map(|(_, moles)| moles * WATER_MOLAR_MASS_G_MOL).sum::<f64>()
        };
        self.moles().map(|(reagent, moles)| moles * dry(reagent)).sum()
    }

    /// (name, g/L).
    pub(crate) fn grams(&self) -> Vec<(String, f64)> {
        self.moles()
            .map(|(reagent, moles)| (reagent.name.clone(), moles * reagent.molar_mass_g_mol))
            .collect()
    }
}
