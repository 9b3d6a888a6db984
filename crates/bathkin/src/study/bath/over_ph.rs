//! A bath at another pH: shares of its species, a pH held, ligands per metal.

use schemars::JsonSchema;
use serde::Serialize;

use crate::constants::ZERO_CELSIUS_K;
use crate::error::{Error, Place, Result};
use crate::flag::Flag;
use crate::solution::distribution::complexed_fractions;
use crate::solution::formation::Titrand;
use crate::solution::{Distribution, FormationCurve, Profile};
use crate::study::Bath;
use bathkin_numerics::short;

/// How a component of a bath is shared among its species over pH.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct BathDistribution {
    /// The component.
    pub component: String,
    /// Its total, mol/L.
    pub total_mol_l: f64,
    /// Share in each species that holds it, a column each: the free component first.
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, Vec<f64>>")]
    pub fractions: Vec<(String, Vec<f64>)>,
    /// Strong base that holds each pH beside what the bath has (negative: strong acid), mol/L.
    pub base_mol_l: Vec<f64>,
    /// Free metal, mol/L.
    pub free_metal_mol_l: Vec<f64>,
    /// pH, ionic strength, buffer capacity and every species at each point.
    pub profile: Profile,
    /// The bath's own pH at the temperature.
    pub bath_ph: f64,
    /// Temperature, degC.
    pub temperature_c: f64,
    /// Warnings.
    pub flags: Vec<Flag>,
}

/// A bath whose pH is held by a strong acid or base of ideal ions.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct HeldSolution {
    /// The pH.
    pub ph: f64,
    /// What the pH is: which activity, at which temperature.
    pub ph_scale: String,
    /// Temperature, degC.
    pub temperature_c: f64,
    /// Strong base that holds the pH beside what the bath has (negative: strong acid), mol/L.
    pub base_mol_l: f64,
    /// Ionic strength, mol/L.
    pub ionic_strength_mol_l: f64,
    /// Free metal, mol/L.
    pub free_metal_mol_l: f64,
    /// Every dissolved substance, mol/L.
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, f64>")]
    pub species: Vec<(String, f64)>,
}

impl Bath {
    /// How a component is shared among its species at each pH, at the bath temperature or another.
    ///
    /// ```
    /// use bathkin::Recipe;
    ///
    /// let bath = Recipe::built_in("nickel-acid")?.make_up()?;
    /// let over_ph = bath.distribution("nickel", &[3.0, 4.8, 6.0], None)?;
    /// // Acid takes the lactate away from the nickel.
    /// assert!(over_ph.fractions[0].1[0] > over_ph.fractions[0].1[2]);
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::UnknownName`] for a component the bath has not; [`Error::Recipe`] for a pH outside
    /// 0 to 14, no pH at all, or a temperature outside 0-100 degC; [`Error::Convergence`].
    pub fn distribution(
        &self,
        component: &str,
        ph: &[f64],
        temperature_c: Option<f64>,
    ) -> Result<BathDistribution> {
        const CALL: &str = "distribution";
        let model = self.recipe.model()?;
        let equilibrium = &model.tank.bath.equilibrium;
        let position = self.position(CALL, component)?;
        let temperature_k = self.temperature_or(CALL, temperature_c)?;
        check_each_ph(CALL, ph)?;
        let totals = &self.observed.totals_mol_l;
        let mut speciation = self.speciation.clone();
        speciation.solve(equilibrium, totals, temperature_k)?;
        let bath_ph = speciation.ph();
        let over = Distribution::over_ph(
            equilibrium,
            &mut speciation,
            &model.tank.bath.solids,
            totals,
            temperature_k,
            ph,
        )?;
        Ok(BathDistribution {
            component: component.to_owned(),
            total_mol_l: totals[position],
            fractions: over.fractions(&model.chemistry, equilibrium, position),
            free_metal_mol_l: self.free_metal(&over.profile)?,
            base_mol_l: over.base_mol_l,
            flags: self.curve_flags(&over.profile)?,
            profile: over.profile,
            bath_ph,
            temperature_c: temperature_k - ZERO_CELSIUS_K,
        })
    }

    /// The bath with its pH held. Asked again, the answer is the same to the last digit.
    ///
    /// ```
    /// use bathkin::Recipe;
    ///
    /// let held = Recipe::built_in("nickel-acid")?.make_up()?.held_at_ph(4.8, None)?;
    /// assert!((held.ph - 4.8).abs() < 1e-9 && held.base_mol_l.abs() < 1e-9);
    /// assert_eq!(held.ph_scale, "molal activity, hot (88 degC)");
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::Recipe`] for a pH outside 0 to 14, or a temperature outside 0-100 degC;
    /// [`Error::Convergence`].
    pub fn held_at_ph(&self, ph: f64, temperature_c: Option<f64>) -> Result<HeldSolution> {
        const CALL: &str = "at_ph";
        let tank = &self.recipe.model()?.tank;
        check_each_ph(CALL, &[ph])?;
        let temperature_k = self.temperature_or(CALL, temperature_c)?;
        let mut held = self.speciation.clone();
        let totals = &self.observed.totals_mol_l;
        let base_mol_l = held.solve_at_ph(&tank.bath.equilibrium, totals, temperature_k, ph)?;
        Ok(HeldSolution {
            ph: held.ph(),
            ph_scale: self.ph_scale(temperature_k),
            temperature_c: temperature_k - ZERO_CELSIUS_K,
            base_mol_l,
            ionic_strength_mol_l: held.ionic_strength_mol_l(),
            free_metal_mol_l: held.free_mol_l(&tank.bath.equilibrium, tank.bath.roles.metal),
            species: held.species(&tank.bath.equilibrium).map(|(name, c)| (name.to_owned(), c)).collect(),
        })
    }

    /// How many of a ligand the metal holds, against pL = -log10 of the free ligand (mol/L), at the pH
    /// of the bath or another. Everything but the ligand stays as it is.
    ///
    /// # Errors
    /// As [`Bath::distribution`], and [`Error::Recipe`] for a pL that no amount of the ligand leaves.
    pub fn formation_curve(
        &self,
        ligand: &str,
        pl: &[f64],
        ph: Option<f64>,
        temperature_c: Option<f64>,
    ) -> Result<FormationCurve> {
        const CALL: &str = "formation_curve";
        let model = self.recipe.model()?;
        let ph = ph.unwrap_or(self.ph());
        check_each_ph(CALL, &[ph])?;
        check_each(CALL, "pl", pl, LARGEST_PL, "a pL between 0 and 12")?;
        FormationCurve::over_pl(
            Titrand {
                chemistry: &model.chemistry,
                equilibrium: &model.tank.bath.equilibrium,
                totals: &self.observed.totals_mol_l,
                temperature_k: self.temperature_or(CALL, temperature_c)?,
                ph,
                metal: model.tank.bath.roles.metal,
                ligand: self.position(CALL, ligand)?,
            },
            pl,
        )
    }

    /// Shares that are complexed: of the metal what is not its free ion, of each component that binds
    /// it what the metal holds.
    ///
    /// # Errors
    /// As [`crate::Recipe::model`].
    pub fn complexed_fractions(&self) -> Result<Vec<(String, f64)>> {
        let model = self.recipe.model()?;
        Ok(complexed_fractions(
            &model.chemistry,
            &model.tank.bath.equilibrium,
            &self.speciation,
            &self.observed.totals_mol_l,
            model.tank.bath.roles.metal,
        ))
    }

    /// Names the scale of a pH at a temperature.
    fn ph_scale(&self, temperature_k: f64) -> String {
        let celsius = (temperature_k - ZERO_CELSIUS_K).round();
        let hot = if temperature_k == self.speciation.temperature_k { "hot" } else { "of a sample" };
        format!("molal activity, {hot} ({celsius} degC)")
    }

    fn position(&self, call: &str, component: &str) -> Result<usize> {
        let names = self.recipe.model()?.tank.bath.equilibrium.component_names();
        names.iter().position(|known| known == component).ok_or_else(|| {
            let valid = names.iter().map(String::as_str);
            Error::unknown_name(place(call), "component of this bath", component, valid)
        })
    }

    pub(crate) fn temperature_or(&self, call: &str, temperature_c: Option<f64>) -> Result<f64> {
        match temperature_c {
            None => Ok(self.speciation.temperature_k),
            Some(celsius) => crate::study::bath::sample_temperature_k(call, celsius),
        }
    }

    pub(crate) fn free_metal(&self, profile: &Profile) -> Result<Vec<f64>> {
        let metal = &self.recipe.model()?.heading.metal;
        Ok(profile.species(metal).unwrap_or_default().to_vec())
    }

    /// Warnings of the recipe, of the curve's strongest point, and of what it is oversaturated with.
    pub(crate) fn curve_flags(&self, profile: &Profile) -> Result<Vec<Flag>> {
        let model = self.recipe.model()?;
        let mut flags = model.flags.clone();
        let strongest = profile.ionic_strength_mol_l.iter().copied().fold(0.0, f64::max);
        if let Some(what) = model.tank.bath.equilibrium.activity().warning(strongest) {
            flags.push(Flag { r#where: "solution.activity".to_owned(), what });
        }
        flags.extend(profile.onsets().into_iter().map(|onset| Flag {
            r#where: format!("solids.{}", onset.solid),
            what: format!(
                "from pH {:.2} on oversaturated with {} (saturation index up to {:.2}): the curve goes on as \
                 the supersaturated liquid",
                onset.ph, onset.title, onset.largest_index
            ),
        }));
        Ok(flags)
    }
}

/// Free ligand below this is less than any total that counts.
const LARGEST_PL: f64 = 12.0;

pub(crate) fn check_each_ph(call: &str, ph: &[f64]) -> Result<()> {
    check_each(call, "ph", ph, 14.0, "a pH between 0 and 14")
}

/// Refuses an empty list, and values below zero, above `most` or not finite.
pub(crate) fn check_each(call: &str, key: &str, values: &[f64], most: f64, expected: &str) -> Result<()> {
    if values.is_empty() {
        return Err(refuse(call, key, "(none)", "at least one value", None));
    }
    match values.iter().find(|value| !(value.is_finite() && (0.0..=most).contains(*value))) {
        Some(wrong) => Err(refuse(call, key, &short(*wrong), expected, None)),
        None => Ok(()),
    }
}

pub(crate) fn place(call: &str) -> Place {
    Place { file: call.to_owned(), line: None }
}

pub(crate) fn refuse(call: &str, key: &str, value: &str, expected: &str, hint: Option<String>) -> Error {
    Error::Recipe {
        place: place(call),
        key: key.to_owned(),
        value: value.to_owned(),
        expected: expected.to_owned(),
        hint,
    }
}
