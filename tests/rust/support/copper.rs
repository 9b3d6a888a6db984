//! The alkaline copper baths from formaldehyde, and the state a law reads.

use bathkin::recipe::Recipe;
use bathkin::surface::Conditions;
use bathkin::tank::{BathState, Tank};

use crate::recipes::{say, set};

pub const COPPER: [&str; 3] = ["copper-edta", "copper-tartrate", "copper-textbook"];

pub fn component(tank: &Tank, name: &str) -> usize {
    let found = tank.bath.equilibrium.component_names().iter().position(|known| known == name);
    found.unwrap_or_else(|| panic!("no {name}"))
}

pub fn substance(tank: &Tank, name: &str) -> usize {
    tank.bath.equilibrium.substance_names().position(|known| known == name).expect("a substance")
}

/// The concentrations a law reads, mol/L.
pub struct State {
    pub totals: Vec<f64>,
    pub dissolved: Vec<f64>,
    pub temperature_k: f64,
}

impl State {
    /// Totals and the free hydroxide, mol/L; nothing else is dissolved.
    pub fn of(tank: &Tank, totals: &[(&str, f64)], hydroxide: f64, temperature_k: f64) -> Self {
        let mut state = State {
            totals: vec![0.0; tank.bath.components()],
            dissolved: vec![0.0; tank.bath.equilibrium.substances()],
            temperature_k,
        };
        for (name, mol_l) in totals {
            state.totals[component(tank, name)] = *mol_l;
        }
        state.dissolved[substance(tank, "hydroxide")] = hydroxide;
        state
    }

    /// As a law takes them.
    pub fn conditions(&self) -> Conditions<'_> {
        Conditions {
            temperature_k: self.temperature_k,
            ph: 12.5,
            ionic_strength_mol_l: 0.7,
            totals_mol_l: &self.totals,
            dissolved_mol_l: &self.dissolved,
        }
    }
}

pub fn observed(recipe: &Recipe) -> BathState {
    let model = recipe.model().expect("a model");
    let mut observed = BathState::new(&model.tank);
    observed.totals_mol_l.copy_from_slice(&model.fresh_totals_mol_l);
    observed.update(&model.tank, &mut model.tank.bath.equilibrium.speciation()).expect("solved");
    observed
}

/// The Cannizzaro law of the scripts: k3 times all formaldehyde squared times hydroxide, blind to sodium.
pub fn third_order_only(recipe: &Recipe) -> Recipe {
    let words = [
        ("bulk_reaction.cannizzaro.basis.methylene_glycol", "total"),
        ("bulk_reaction.cannizzaro.accelerator.sodium.gain", "off"),
    ];
    set(&say(recipe, &words), &[("bulk_reaction.cannizzaro_dianion.rate_mol_l_s", 0.0)])
}
