//! The bath at one moment, and what it does.

pub(crate) mod at_surface;
pub(crate) mod make_up;
pub(crate) mod over_ph;
pub(crate) mod plating;
pub(crate) mod polarisation;
pub(crate) mod rate;
pub(crate) mod sensitivities;
pub(crate) mod titration;

use crate::constants::ZERO_CELSIUS_K;
use crate::error::{Error, Place, Result};
use crate::flag::Flag;
use crate::model::make_up::PhAdjustment;
use crate::recipe::Recipe;
use crate::solution::Speciation;
use crate::solution::density::density_kg_m3;
use crate::stop::Stop;
use crate::study::warnings::decomposition::warning;
use crate::study::warnings::enthalpies;
use crate::study::warnings::surface::of_bath;
use crate::surface::SteadyState;
use crate::tank::BathState;
use crate::tank::readings::NAOH_G_MOL;
use bathkin_numerics::short;

pub(crate) use at_surface::over as film_over;
pub use over_ph::{BathDistribution, HeldSolution};
pub use plating::{Plate, Plated};
pub use polarisation::{BathPolarisation, reference_electrode};
pub use rate::Rate;
pub use sensitivities::{BathSensitivity, ParameterKind};
pub use titration::BathTitration;

/// A bath made up from a recipe.
#[derive(Debug, Clone)]
pub struct Bath {
    recipe: Recipe,
    pub(crate) observed: BathState,
    pub(crate) speciation: Speciation,
    buffer_capacity_mol_l: f64,
    /// Every steady state behind the film; none without a film.
    surface_states: Vec<SteadyState>,
}

impl Bath {
    pub(crate) fn fresh(recipe: Recipe) -> Result<Self> {
        let model = recipe.model()?;
        let (observed, mut speciation) = (*model.fresh).clone();
        let buffer_capacity_mol_l = speciation.buffer_capacity_mol_l(&model.tank.bath.equilibrium)?;
        let surface_states = observed.steady_states(&model.tank);
        Ok(Bath { recipe, observed, speciation, buffer_capacity_mol_l, surface_states })
    }

    /// This bath, whose computations end with an error once `stop` is asked to; see [`Recipe::heeding`].
    pub fn heeding(&self, stop: &Stop) -> Self {
        Bath { recipe: self.recipe.heeding(stop), ..self.clone() }
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
        let equilibrium = &self.recipe.model()?.tank.bath.equilibrium;
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
        let names = self.recipe.model()?.tank.bath.equilibrium.component_names();
        Ok(names.iter().cloned().zip(self.observed.totals_mol_l.iter().copied()).collect())
    }

    /// Every dissolved substance, mol/L: free components, the proton, species.
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn species(&self) -> Result<Vec<(String, f64)>> {
        let equilibrium = &self.recipe.model()?.tank.bath.equilibrium;
        Ok(self.speciation.species(equilibrium).map(|(name, c)| (name.to_owned(), c)).collect())
    }

    /// The molal activity coefficient of every dissolved substance.
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn activity_coefficients(&self) -> Result<Vec<(String, f64)>> {
        let equilibrium = &self.recipe.model()?.tank.bath.equilibrium;
        let coefficients = self.speciation.activity_coefficients(equilibrium);
        Ok(coefficients.map(|(name, gamma)| (name.to_owned(), gamma)).collect())
    }

    /// Activity of the water.
    pub fn water_activity(&self) -> f64 {
        self.speciation.ln_water_activity.exp()
    }

    /// Free hydroxide as sodium hydroxide, g/L; `None` unless the bath is controlled by free alkali (pH above 10).
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn free_naoh_g_l(&self) -> Result<Option<f64>> {
        let hydroxide = self.recipe.model()?.tank.bath.hydroxide;
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

    /// Warnings that go with what this bath shows.
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn flags(&self) -> Result<Vec<Flag>> {
        let model = self.recipe.model()?;
        let mut flags = model.flags.clone();
        if let Some(what) = model.tank.bath.equilibrium.activity().warning(self.observed.ionic_strength_mol_l)
        {
            flags.push(Flag { r#where: "solution.activity".to_owned(), what });
        }
        if let Some(what) = model.tank.bath.density.warning(self.observed.alloy_wt_pct) {
            flags.push(Flag { r#where: "deposit.density_scale".to_owned(), what });
        }
        flags.extend(model.warnings_of(&self.observed, &self.speciation)?);
        flags.extend(of_bath(self.recipe.document(), &model.tank, &self.observed));
        flags.extend(at_surface::warnings(&model.tank, &self.observed, &self.surface_states));
        flags.extend(enthalpies::of_bath(model, &self.observed, &self.speciation)?);
        flags.extend(self.oversaturated()?);
        flags.extend(self.no_mixed_potential(&model.tank));
        let plate_out_pct = self.observed.plate_out_pct(&model.tank);
        flags.extend(model.tank.bath.decomposition.as_ref().and_then(|law| warning(law, plate_out_pct)));
        Ok(flags)
    }
}

/// Temperature of a sample, K, when it is one that water has.
fn sample_temperature_k(call: &str, temperature_c: f64) -> Result<f64> {
    if (0.0..=100.0).contains(&temperature_c) {
        return Ok(temperature_c + ZERO_CELSIUS_K);
    }
    Err(Error::Recipe {
        place: Place { file: call.to_owned(), line: None },
        key: "temperature_c".to_owned(),
        value: short(temperature_c),
        expected: "a temperature between 0 and 100 degC".to_owned(),
        hint: None,
    })
}
