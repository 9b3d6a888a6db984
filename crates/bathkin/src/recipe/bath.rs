//! The bath at one moment, and what it does.

mod at_surface;
mod over_ph;
mod plating;
mod polarisation;
mod slopes;
mod titrate;

use serde::Serialize;

use super::decomposition::doubt;
use super::reader::Flag;
use super::{PhAdjustment, Recipe};
use crate::constants::{GAS_MOLAR_VOLUME_25C_L_MOL, SECONDS_PER_HOUR, ZERO_CELSIUS_K};
use crate::error::{Error, Place, Result};
use crate::life::SingleLoad;
use crate::life::readings::share;
use crate::life::recorder::NAOH_G_MOL;
use crate::life::single_load::plate;
use crate::solution::density::density_kg_m3;
use crate::solution::{Element, Speciation};
use crate::surface::Activation;
use crate::surface::SteadyState;
use crate::tank::Observed;

pub(super) use at_surface::over as film_over;
pub use over_ph::{BathDistribution, HeldSolution};
pub use polarisation::{BathPolarisation, reference_electrode};
pub use slopes::{BathSlope, ParameterKind};
pub use titrate::BathTitration;

/// A bath made up from a recipe.
#[derive(Debug, Clone)]
pub struct Bath {
    recipe: Recipe,
    pub(super) observed: Observed,
    pub(super) speciation: Speciation,
    buffer_capacity_mol_l: f64,
    /// Every steady state behind the film; none without a film.
    surface_states: Vec<SteadyState>,
}

/// What a surface does in a bath.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rate {
    /// Growth of the deposit, um/h.
    pub deposition_um_h: f64,
    /// Mass of the deposit, mg/(cm² h).
    pub deposition_mg_cm2_h: f64,
    /// Alloying element, wt%.
    pub alloy_wt_pct: f64,
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
    pub bulk_reactions_mol_l_s: Vec<(String, f64)>,
    /// Rates of the half-reactions, mol/(m² s).
    pub half_reactions_mol_m2_s: Vec<(String, f64)>,
    /// Mixed potential of the surface, V SHE; `None` with rate laws.
    pub potential_v_she: Option<f64>,
    /// Partial current of each half-reaction, mA/cm², positive when electrons are given; empty with
    /// rate laws.
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

/// A load plated from a bath, with the doubts that go with it.
#[derive(Debug, Clone, PartialEq)]
pub struct Plated {
    /// The load.
    pub load: SingleLoad,
    /// The substrate.
    pub substrate: String,
    /// What was done to it.
    pub activation: Activation,
    /// Doubts.
    pub flags: Vec<Flag>,
}

impl Bath {
    pub(super) fn fresh(recipe: Recipe) -> Result<Self> {
        let model = recipe.model()?;
        let mut observed = Observed::new(&model.tank);
        observed.totals_mol_l.copy_from_slice(&model.fresh_totals_mol_l);
        let mut speciation = model.tank.equilibrium.speciation();
        observed.update(&model.tank, &mut speciation)?;
        let buffer_capacity_mol_l = speciation.buffer_capacity_mol_l(&model.tank.equilibrium)?;
        let surface_states = observed.steady_states(&model.tank);
        Ok(Bath { recipe, observed, speciation, buffer_capacity_mol_l, surface_states })
    }

    /// The recipe that made it.
    pub fn recipe(&self) -> &Recipe {
        &self.recipe
    }

    /// pH at the bath temperature, on the activity scale.
    pub fn ph(&self) -> f64 {
        self.observed.ph
    }

    /// pH of a sample brought to another temperature, degC.
    ///
    /// # Errors
    /// [`Error::Recipe`] outside 0-100 degC; [`Error::Convergence`].
    pub fn ph_at(&self, temperature_c: f64) -> Result<f64> {
        let temperature_k = sample_temperature_k("ph_at", temperature_c)?;
        let mut sample = self.speciation.clone();
        let equilibrium = &self.recipe.model()?.tank.equilibrium;
        sample.solve(equilibrium, &self.observed.totals_mol_l, temperature_k)?;
        Ok(sample.ph())
    }

    /// Temperature, degC.
    pub fn temperature_c(&self) -> f64 {
        self.speciation.temperature_k - ZERO_CELSIUS_K
    }

    /// Ionic strength, mol/L.
    pub fn ionic_strength_mol_l(&self) -> f64 {
        self.observed.ionic_strength_mol_l
    }

    /// Mass of the liquid at 25 degC over that of as much water.
    pub fn specific_gravity(&self) -> f64 {
        self.observed.specific_gravity
    }

    /// Density at a temperature in degC, kg/m³; see [`crate::solution::density`].
    ///
    /// # Errors
    /// [`Error::Recipe`] outside 0-100 degC.
    pub fn density_kg_m3(&self, temperature_c: f64) -> Result<f64> {
        let temperature_k = sample_temperature_k("density_kg_m3", temperature_c)?;
        let solutes_g_l = self.observed.solutes_g_l(&self.recipe.model()?.tank);
        Ok(density_kg_m3(solutes_g_l, self.speciation.water_kg_l, temperature_k))
    }

    /// Strong base per unit of pH, mol/L.
    pub fn buffer_capacity_mol_l(&self) -> f64 {
        self.buffer_capacity_mol_l
    }

    /// Totals of the components, mol/L.
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn totals(&self) -> Result<Vec<(String, f64)>> {
        let names = self.recipe.model()?.tank.equilibrium.component_names();
        Ok(names.iter().cloned().zip(self.observed.totals_mol_l.iter().copied()).collect())
    }

    /// Every dissolved substance, mol/L: free components, the proton, species.
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn species(&self) -> Result<Vec<(String, f64)>> {
        let equilibrium = &self.recipe.model()?.tank.equilibrium;
        Ok(self.speciation.species(equilibrium).map(|(name, c)| (name.to_owned(), c)).collect())
    }

    /// The molal activity coefficient of every dissolved substance.
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn activity_coefficients(&self) -> Result<Vec<(String, f64)>> {
        let equilibrium = &self.recipe.model()?.tank.equilibrium;
        let coefficients = self.speciation.activity_coefficients(equilibrium);
        Ok(coefficients.map(|(name, gamma)| (name.to_owned(), gamma)).collect())
    }

    /// Activity of the water.
    pub fn water_activity(&self) -> f64 {
        self.speciation.ln_water_activity.exp()
    }

    /// Free hydroxide as sodium hydroxide, g/L; `None` unless the bath is steered by its alkali (pH above 10).
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn free_naoh_g_l(&self) -> Result<Option<f64>> {
        let hydroxide = self.recipe.model()?.tank.hydroxide;
        Ok(hydroxide.map(|place| self.observed.dissolved_mol_l[place] * NAOH_G_MOL))
    }

    /// What was weighed out, g/L.
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn make_up_g_l(&self) -> Result<&[(String, f64)]> {
        Ok(&self.recipe.model()?.make_up_g_l)
    }

    /// The acid or base that set the pH.
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn ph_adjustment(&self) -> Result<Option<&PhAdjustment>> {
        Ok(self.recipe.model()?.ph_adjustment.as_ref())
    }

    /// Doubts that go with what this bath shows.
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn flags(&self) -> Result<Vec<Flag>> {
        let model = self.recipe.model()?;
        let mut flags = model.flags.clone();
        if let Some(what) = model.tank.equilibrium.activity().doubt(self.observed.ionic_strength_mol_l) {
            flags.push(Flag { r#where: "solution.activity".to_owned(), what });
        }
        if let Some(what) = model.tank.density.doubt(self.observed.alloy_wt_pct) {
            flags.push(Flag { r#where: "deposit.density_scale".to_owned(), what });
        }
        let roles = &model.tank.roles;
        let [reductant, metal] = [roles.reductant, roles.metal].map(|role| self.observed.totals_mol_l[role]);
        flags.extend(model.warnings_of(&self.speciation, reductant, metal));
        flags.extend(at_surface::doubts(&model.tank, &self.observed, &self.surface_states));
        flags.extend(self.clouds()?);
        flags.extend(self.no_mixed_potential(&model.tank));
        let plate_out_pct = self.observed.plate_out_pct(&model.tank);
        flags.extend(model.tank.decomposition.as_ref().and_then(|law| doubt(law, plate_out_pct)));
        Ok(flags)
    }

    /// Rates on a surface in this bath.
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn rate(&self) -> Result<Rate> {
        let tank = &self.recipe.model()?.tank;
        let observed = &self.observed;
        let made = |slot| observed.made_mol_m2_s(tank, slot);
        let metal = -made(tank.roles.metal);
        let used = -made(tank.roles.reductant);
        let density_g_cm3 = tank.density.density_g_cm3(observed.alloy_wt_pct);
        let deposition_um_h = observed.growth_um_s * SECONDS_PER_HOUR;
        let (potential_v_she, partial_currents_ma_cm2) = self.mixed_point(tank);
        Ok(Rate {
            deposition_um_h,
            // 1 um of 1 g/cm³ is 0.1 mg/cm².
            deposition_mg_cm2_h: deposition_um_h * density_g_cm3 * 0.1,
            alloy_wt_pct: observed.alloy_wt_pct,
            hydrogen_l_m2_h: self.hydrogen_mol_m2_s()? * GAS_MOLAR_VOLUME_25C_L_MOL * SECONDS_PER_HOUR,
            density_g_cm3,
            reductant_per_metal_mol: share(used, metal),
            reductant_efficiency: share(metal, used),
            by_product_per_metal_mol: share(made(tank.roles.by_product), metal),
            half_reactions_mol_m2_s: tank
                .kinetics
                .half_reactions()
                .iter()
                .zip(&observed.rates_mol_m2_s)
                .map(|(reaction, rate)| (reaction.name.clone(), *rate))
                .collect(),
            potential_v_she,
            partial_currents_ma_cm2,
            bulk_reactions_mol_l_s: tank
                .bulk
                .iter()
                .zip(&observed.bulk_mol_l_s)
                .map(|(reaction, rate)| (reaction.name.clone(), *rate))
                .collect(),
            temperature_c: self.temperature_c(),
            ph: observed.ph,
            free_metal_mol_l: observed.dissolved_mol_l[tank.roles.metal],
            ionic_strength_mol_l: observed.ionic_strength_mol_l,
            factors: self.factors()?,
            plate_out_pct: observed.plate_out_pct(tank),
            surface_ph: observed.behind_film.as_ref().map_or(observed.ph, |surface| surface.ph),
            surface_metal_mol_l: observed
                .behind_film
                .as_ref()
                .map_or(&observed.totals_mol_l, |surface| &surface.totals_mol_l)[tank.roles.metal],
            steady_states: self.surface_states.len().max(1),
        })
    }

    /// One load of `area_m2` for `minutes` on what the recipe plates, nothing added.
    ///
    /// # Errors
    /// As [`Bath::plate_on`].
    pub fn plate(&self, area_m2: f64, minutes: f64) -> Result<Plated> {
        self.plate_on(area_m2, minutes, None, None)
    }

    /// The same on another substrate (`"copper"`), or after another activation (`"contact"`).
    ///
    /// ```
    /// let bath = bathkin::Recipe::built_in("nickel-acid")?.make_up()?;
    /// // Copper does not start by itself.
    /// assert!(bath.plate_on(0.1, 30.0, Some("copper"), None).is_err());
    /// let load = bath.plate_on(0.1, 30.0, Some("copper"), Some("contact"))?.load;
    /// assert!(load.induction_s > 1.0 && load.thickness_um < bath.plate(0.1, 30.0)?.load.thickness_um);
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::Recipe`] for an area or time that is not above zero, and for a substrate that does not
    /// start so; [`Error::UnknownName`] for one that is not known; those of the simulation.
    pub fn plate_on(
        &self,
        area_m2: f64,
        minutes: f64,
        substrate: Option<&str>,
        activation: Option<&str>,
    ) -> Result<Plated> {
        check_load(area_m2, minutes)?;
        let surface = self.surface(substrate, activation)?;
        let (substrate, start) = self.start(&surface)?;
        let tank = &self.recipe.model()?.tank;
        let load = plate(tank, &self.observed.totals_mol_l, area_m2, minutes, start)?;
        let mut flags = self.flags()?;
        flags.extend(plating::start_flags(substrate, &start, &load));
        if let Some(minutes) = load.used_up_after_min {
            flags.push(Flag {
                r#where: "plate".to_owned(),
                what: format!("metal or reductant is used up after {minutes:.1} min: plating ends there"),
            });
        }
        let used = 1.0 - load.metal_end_g_l / tank.metal_g_l(self.observed.totals_mol_l[tank.roles.metal]);
        const HALF: f64 = 0.5;
        if used > HALF {
            flags.push(Flag {
                r#where: "plate".to_owned(),
                what: format!(
                    "the load used {:.0} % of the metal: no law here was made for so spent a bath",
                    used * 100.0
                ),
            });
        }
        Ok(Plated { load, substrate: surface.substrate, activation: surface.activation, flags })
    }

    fn hydrogen_mol_m2_s(&self) -> Result<f64> {
        const ATOMS_PER_MOLECULE: f64 = 2.0;
        let tank = &self.recipe.model()?.tank;
        let hydrogen = Element::new("H");
        let evolved = |reaction: &crate::tank::ResolvedReaction| -> f64 {
            reaction
                .gas
                .iter()
                .filter(|(index, _)| Some(tank.evolved[*index]) == hydrogen)
                .map(|(_, atoms)| atoms)
                .sum()
        };
        let rates = &self.observed.rates_mol_m2_s;
        Ok(tank.reactions.iter().zip(rates).map(|(reaction, rate)| evolved(reaction) * rate).sum::<f64>()
            / ATOMS_PER_MOLECULE)
    }
}

/// An area and a time above zero.
fn check_load(area_m2: f64, minutes: f64) -> Result<()> {
    for (key, value) in [("area_dm2", area_m2 * 100.0), ("minutes", minutes)] {
        if !(value.is_finite() && value > 0.0) {
            return Err(Error::Recipe {
                place: Place { file: "plate".to_owned(), line: None },
                key: key.to_owned(),
                value: value.to_string(),
                expected: "a number above zero".to_owned(),
                hint: Some("thickness = mass / (density x area), so both are needed".to_owned()),
            });
        }
    }
    Ok(())
}

/// Temperature of a sample, K, when it is one that water has.
fn sample_temperature_k(call: &str, temperature_c: f64) -> Result<f64> {
    if (0.0..=100.0).contains(&temperature_c) {
        return Ok(temperature_c + ZERO_CELSIUS_K);
    }
    Err(Error::Recipe {
        place: Place { file: call.to_owned(), line: None },
        key: "temperature_c".to_owned(),
        value: temperature_c.to_string(),
        expected: "a temperature between 0 and 100 degC".to_owned(),
        hint: None,
    })
}
