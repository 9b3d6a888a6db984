//! What a surface does in a bath.

use schemars::JsonSchema;
use serde::Serialize;

use crate::constants::{GAS_MOLAR_VOLUME_25C_L_MOL, SECONDS_PER_HOUR};
use crate::error::Result;
use crate::study::Bath;
use crate::tank::Quantity;
use crate::tank::readings::share;

/// What a surface does in a bath.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Rate {
    /// Growth of the deposit, um/h.
    pub deposition_um_h: f64,
    /// Mass of the deposit, mg/(cm² h).
    pub deposition_mg_cm2_h: f64,
    /// Alloying element, wt%.
    pub alloy_wt_pct: f64,
    /// Name of the alloying element's column, `phosphorus_wt_pct`; none for a pure metal.
    pub alloy_column: Option<String>,
    /// Hydrogen, L/(m² h) at 25 degC and 1 atm.
    pub hydrogen_l_m2_h: f64,
    /// Density of the deposit, g/cm³.
    pub density_g_cm3: f64,
    /// Reductant used by the surface per metal deposited, mol/mol.
    pub reductant_per_metal_mol: f64,
    /// Metal deposited per reductant used, mol/mol: the reductant efficiency.
    pub reductant_efficiency: f64,
    /// By-product made per metal deposited, mol/mol.
    pub by_product_per_metal_mol: f64,
    /// Rates of the reactions of the liquid, mol/(L s); they come on top of what the surface uses.
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, f64>")]
    pub bulk_reactions_mol_l_s: Vec<(String, f64)>,
    /// Rates of the half-reactions, mol/(m² s).
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, f64>")]
    pub half_reactions_mol_m2_s: Vec<(String, f64)>,
    /// Mixed potential of the surface, V SHE; `None` with rate laws.
    pub potential_v_she: Option<f64>,
    /// Partial current of each half-reaction, mA/cm², positive when electrons are given; empty with
    /// rate laws.
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, f64>")]
    pub partial_currents_ma_cm2: Vec<(String, f64)>,
    /// Bath temperature, degC.
    pub temperature_c: f64,
    /// pH in the bath.
    pub ph: f64,
    /// Free metal, mol/L.
    pub free_metal_mol_l: f64,
    /// Ionic strength, mol/L.
    pub ionic_strength_mol_l: f64,
    /// Every factor of the law of deposition by name (`order.nickel`), one at its reference state.
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, f64>")]
    pub factors: Vec<(String, f64)>,
    /// Metal that plates out elsewhere, % of the wanted rate at the recipe's loading; none where the
    /// recipe has no such law or nothing plates on the work.
    pub plate_out_pct: Option<f64>,
    /// pH at the surface: that of the bath without a film.
    pub surface_ph: f64,
    /// Metal at the surface in all forms, mol/L: that of the bath without a film.
    pub surface_metal_mol_l: f64,
    /// Number of steady states the surface may take: one without a film.
    pub steady_states: usize,
}

impl Bath {
    /// Rates on a surface in this bath.
    ///
    /// # Errors
    /// As [`crate::Recipe::model`].
    pub fn rate(&self) -> Result<Rate> {
        let tank = &self.recipe.model()?.tank;
        let observed = &self.observed;
        let made = |slot| observed.made_mol_m2_s(tank, slot);
        let metal = -made(tank.bath.roles.metal);
        let used = -made(tank.bath.roles.reductant);
        let density_g_cm3 = tank.bath.density.density_g_cm3(observed.alloy_wt_pct);
        let deposition_um_h = observed.growth_um_s * SECONDS_PER_HOUR;
        let (potential_v_she, partial_currents_ma_cm2) = self.mixed_point(tank);
        Ok(Rate {
            deposition_um_h,
            // 1 um of 1 g/cm³ is 0.1 mg/cm².
            deposition_mg_cm2_h: deposition_um_h * density_g_cm3 * 0.1,
            alloy_wt_pct: observed.alloy_wt_pct,
            alloy_column: Quantity::alloy(tank).map(|alloy| alloy.name(tank)),
            hydrogen_l_m2_h: observed.hydrogen_mol_m2_s(tank) * GAS_MOLAR_VOLUME_25C_L_MOL * SECONDS_PER_HOUR,
            density_g_cm3,
            reductant_per_metal_mol: share(used, metal),
            reductant_efficiency: share(metal, used),
            by_product_per_metal_mol: share(made(tank.bath.roles.by_product), metal),
            half_reactions_mol_m2_s: tank
                .bath
                .kinetics
                .half_reactions()
                .iter()
                .zip(&observed.rates_mol_m2_s)
                .map(|(reaction, rate)| (reaction.name.clone(), *rate))
                .collect(),
            potential_v_she,
            partial_currents_ma_cm2,
            bulk_reactions_mol_l_s: tank
                .bath
                .bulk
                .iter()
                .zip(&observed.bulk_mol_l_s)
                .map(|(reaction, rate)| (reaction.name.clone(), *rate))
                .collect(),
            temperature_c: self.temperature_c(),
            ph: observed.ph,
            free_metal_mol_l: observed.dissolved_mol_l[tank.bath.roles.metal],
            ionic_strength_mol_l: observed.ionic_strength_mol_l,
            factors: self.factors()?,
            plate_out_pct: observed.plate_out_pct(tank),
            surface_ph: observed.behind_film.as_ref().map_or(observed.ph, |surface| surface.ph),
            surface_metal_mol_l: observed
                .behind_film
                .as_ref()
                .map_or(&observed.totals_mol_l, |surface| &surface.totals_mol_l)[tank.bath.roles.metal],
            steady_states: self.surface_states.len().max(1),
        })
    }
}
