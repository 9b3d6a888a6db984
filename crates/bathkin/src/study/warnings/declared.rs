//! Warnings that a recipe gives about itself, raised by a bath or over a life.

use crate::constants::ZERO_CELSIUS_K;
use crate::error::Result;
use crate::flag::Flag;
use crate::life::{Hottest, Life};
use crate::model::Model;
use crate::model::warnings::{Condition, Reading, Warning, WarningReadings};
use crate::solution::Speciation;

impl Model {
    /// Warnings raised by a solved liquid.
    pub(crate) fn warnings_of(
        &self,
        speciation: &Speciation,
        reductant_mol_l: f64,
        metal_mol_l: f64,
    ) -> Vec<Flag> {
        let at = WarningReadings {
            ph: speciation.ph(),
            temperature_c: speciation.temperature_k - ZERO_CELSIUS_K,
            reductant_mol_l,
            metal_mol_l,
            oxide_margin_v: self.oxide_margin_v(speciation),
        };
        self.warnings.iter().filter_map(|warning| warning.flag(&at)).collect()
    }

    /// Warnings raised over a life, each where it was raised first: at the temperature each row has, and at the
    /// hottest moment between rows.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium.
    pub(crate) fn warnings_over(&self, life: &Life) -> Result<Vec<Flag>> {
        let column = |name: &str| life.table.column(name).unwrap_or_default();
        let mut speciation = self.tank.equilibrium.speciation();
        let names = self.tank.equilibrium.component_names().iter();
        let totals: Vec<&[f64]> = names.map(|name| column(&format!("{name}_mol_l"))).collect();
        let mut moments: Vec<(usize, f64)> = Vec::new();
        let (clock_h, temperatures_c) = (column("clock_h"), column("temperature_c"));
        for (row, at_h) in clock_h.iter().enumerate() {
            let working_c = self.tank.temperature_k - ZERO_CELSIUS_K;
            moments.push((row, temperatures_c.get(row).copied().unwrap_or(working_c)));
            let until_h = clock_h.get(row + 1).copied().unwrap_or(f64::INFINITY);
            let between = |hottest: &&Hottest| (*at_h..until_h).contains(&hottest.at_h);
            moments.extend(life.hottest.iter().filter(between).map(|hottest| (row, hottest.temperature_c)));
        }
        let (phs, reductants) = (column("ph"), column("reductant_mol_l"));
        let mut rows = Vec::new();
        for (row, temperature_c) in moments {
            let oxide_margin_v = if self.watches_oxide() {
                let totals_mol_l: Vec<f64> = totals.iter().map(|of_component| of_component[row]).collect();
                speciation.solve(&self.tank.equilibrium, &totals_mol_l, temperature_c + ZERO_CELSIUS_K)?;
                self.oxide_margin_v(&speciation)
            } else {
                None
            };
            rows.push(WarningReadings {
                ph: phs[row],
                temperature_c,
                reductant_mol_l: reductants[row],
                metal_mol_l: totals[self.tank.roles.metal][row],
                oxide_margin_v,
            });
        }
        let first = |warning: &Warning| rows.iter().find_map(|row| warning.flag(row));
        Ok(self.warnings.iter().filter_map(first).collect())
    }

    /// A warning of the recipe looks at the oxide.
    fn watches_oxide(&self) -> bool {
        let oxide = |condition: &Condition| condition.reading == Reading::OxideMarginV;
        self.warnings.iter().any(|warning| warning.conditions.iter().any(oxide))
    }

    /// E(Cu+2/Cu2O) - E(Cu+2/Cu) in a solved liquid, V; none without copper.
    pub(crate) fn oxide_margin_v(&self, speciation: &Speciation) -> Option<f64> {
        let potential = |name: &str| {
            let couple = self.couples.iter().find(|couple| couple.name == name)?;
            Some(couple.potential_v(&self.tank.equilibrium, speciation))
        };
        Some(potential("copper_ion_to_oxide")? - potential("copper_ion_to_metal")?)
    }
}
