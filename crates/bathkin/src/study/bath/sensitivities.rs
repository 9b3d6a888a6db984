//! How a bath's answers move with its totals, its temperature and its constants.

use schemars::JsonSchema;
use serde::Serialize;

use crate::constants::LN_10;
use crate::error::Result;
use crate::solution::EquilibriumConstant;
use crate::solution::sensitivities::{Parameter, Sensitivities};
use crate::study::Bath;

/// What a parameter of [`BathSensitivity`] is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ParameterKind {
    /// The total of a component, mol/L: sensitivities per mol/L.
    Total,
    /// The temperature, degC, the composition per litre staying the same: sensitivities per degC.
    Temperature,
    /// The log10 K of a species: sensitivities per unit of log10 K.
    Constant,
}

impl ParameterKind {
    /// A change of everyday size to a parameter that has a value: 1 % of a total, 1 degC, 0.1 in log10 K.
    fn usual_change(self, value: f64) -> f64 {
        match self {
            ParameterKind::Total => 0.01 * value,
            ParameterKind::Temperature => 1.0,
            ParameterKind::Constant => 0.1,
        }
    }
}

/// Derivatives of a bath's answers with respect to one parameter.
#[derive(Debug, Clone, PartialEq)]
pub struct BathSensitivity {
    /// `total.<component>`, `temperature_c`, or `species.<name>.log_k_25c`.
    pub parameter: String,
    /// What it is.
    pub kind: ParameterKind,
    /// Its value.
    pub value: f64,
    /// A change of everyday size: 1 % of a total, 1 degC, 0.1 in log10 K.
    pub usual_change: f64,
    /// d pH.
    pub d_ph: f64,
    /// d ionic strength, mol/L.
    pub d_ionic_strength_mol_l: f64,
    /// d ln of the water activity.
    pub d_ln_water_activity: f64,
    /// d free metal, mol/L.
    pub d_free_metal_mol_l: f64,
    /// d of every dissolved substance, mol/L, in the order of [`Bath::species`].
    pub d_species_mol_l: Vec<f64>,
}

impl Bath {
    /// Derivatives of pH, ionic strength, free metal and every substance with respect to each total, the
    /// temperature and each constant: exact, from the equations the bath is solved with.
    ///
    /// One parameter moves and everything else stays, the acid or base that set the pH too. A total
    /// brings its charge with protons: more sodium is more caustic, more sulfate more sulfuric acid. The
    /// ionic product of water is a standard and is not among the constants.
    ///
    /// ```
    /// use bathkin::Recipe;
    ///
    /// let sensitivities = Recipe::built_in("nickel-acid")?.make_up()?.sensitivities()?;
    /// let of = |name: &str| sensitivities.iter().find(|row| row.parameter == name).unwrap();
    /// assert!(of("total.sodium").d_ph > 0.0 && of("total.sulfate").d_ph < 0.0);
    /// // A stronger lactate complex leaves less free nickel.
    /// assert!(of("species.nickel_lactate_1.log_k_25c").d_free_metal_mol_l < 0.0);
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// As [`crate::Recipe::model`]; [`crate::Error::Convergence`] when the equations are singular.
    pub fn sensitivities(&self) -> Result<Vec<BathSensitivity>> {
        let model = self.recipe.model()?;
        let equilibrium = &model.tank.bath.equilibrium;
        let mut solved = self.speciation.clone();
        let metal = solved.species(equilibrium).position(|(name, _)| name == model.heading.metal);
        let mut asked = Vec::new();
        let totals = equilibrium.component_names().iter().zip(&self.observed.totals_mol_l);
        for (place, (name, total)) in totals.enumerate() {
            asked.push((
                format!("total.{name}"),
                ParameterKind::Total,
                *total,
                (Parameter::Total(place), 1.0),
            ));
        }
        let kelvin = (Parameter::Temperature, 1.0);
        asked.push(("temperature_c".to_owned(), ParameterKind::Temperature, self.temperature_c(), kelvin));
        for (place, name) in equilibrium.species_names().iter().enumerate() {
            let known = model.chemistry.species.iter().find(|species| species.name == *name);
            let constant = known.map(|species| species.constant);
            if let Some(EquilibriumConstant::VantHoff { log_k_25c, .. }) = constant {
                let path = format!("species.{name}.log_k_25c");
                asked.push((path, ParameterKind::Constant, log_k_25c, (Parameter::LnK(place), LN_10)));
            }
        }
        let directions: Vec<_> = asked.iter().map(|(.., direction)| vec![*direction]).collect();
        let found = solved.sensitivities(equilibrium, &directions)?;
        let row = |((parameter, kind, value, _), found): ((String, ParameterKind, f64, _), Sensitivities)| {
            BathSensitivity {
                parameter,
                kind,
                value,
                usual_change: kind.usual_change(value),
                d_ph: found.ph,
                d_ionic_strength_mol_l: found.ionic_strength_mol_l,
                d_ln_water_activity: found.ln_water_activity,
                d_free_metal_mol_l: metal.map_or(0.0, |place| found.species_mol_l[place]),
                d_species_mol_l: found.species_mol_l,
            }
        };
        Ok(asked.into_iter().zip(found).map(row).collect())
    }
}
