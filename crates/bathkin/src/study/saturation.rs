//! Solids and couples of a bath: saturation indices, the pH at which one precipitates, calibration from it.

use crate::error::{Error, Place, Result};
use crate::flag::Flag;
use crate::solution::solids::{MOST_BASE_MOL_L, OVERSATURATED};
use crate::solution::{BathSolid, PrecipitationOnset};
use crate::study::Bath;
use bathkin_numerics::short;

/// The potential of a couple in a bath.
#[derive(Debug, Clone, PartialEq, schemars::JsonSchema, serde::Serialize)]
#[serde(rename = "Couple")]
pub struct CouplePotential {
    /// Name of the couple.
    pub name: String,
    /// The reaction, as a reduction.
    pub reaction: String,
    /// Potential against the standard hydrogen electrode, V.
    pub potential_v_she: f64,
}

/// A warning about a bath that is oversaturated from some clock time on.
pub(crate) fn oversaturated(title: &str, largest_index: f64, from_h: f64) -> String {
    format!(
        "oversaturated with {title} from {from_h:.1} h on (saturation index up to {largest_index:.2}): it can precipitate"
    )
}

impl Bath {
    /// Saturation index of every solid the bath can form, log10(IAP/Ksp), at its temperature.
    ///
    /// # Errors
    /// As [`crate::recipe::Recipe::model`].
    ///
    /// ```
    /// let bath = bathkin::Recipe::built_in("nickel-acid")?.make_up()?;
    /// assert!(bath.saturation_index()?.iter().all(|(_, index)| *index < 0.0));
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    pub fn saturation_index(&self) -> Result<Vec<(String, f64)>> {
        let tank = &self.recipe().model()?.tank;
        let names = tank.bath.solids.iter().map(|solid| solid.name.clone());
        Ok(names.zip(tank.bath.saturation_indices(&self.speciation)).collect())
    }

    /// The pH, with caustic added at the bath temperature, at which a solid is just saturated;
    /// with acid for a bath that is oversaturated already; `None` when no pH between 0 and 14 is that
    /// 5 mol/L of base or acid reach.
    ///
    /// # Errors
    /// [`Error::UnknownName`] for a solid the bath cannot form; [`Error::Convergence`].
    pub fn precipitation_ph(&self, solid: &str) -> Result<Option<f64>> {
        let solid = self.solid(solid)?;
        self.precipitation_onset()?.ph(solid, self.ph())
    }

    /// The `solids.<solid>.log_k_25c` with which the solid starts to precipitate at a pH, the cloud point, at
    /// the bath temperature: the one reading a shop needs to calibrate a solubility product.
    ///
    /// # Errors
    /// As [`Bath::precipitation_ph`]; [`Error::Recipe`] for a pH outside 0-14.
    ///
    /// ```
    /// let recipe = bathkin::Recipe::built_in("nickel-acid")?;
    /// let log_k = recipe.make_up()?.log_k_from_precipitation_ph("nickel_phosphite", 5.6);
    /// // A fresh bath holds no phosphite: only an old one can tell.
    /// assert!(log_k.is_err());
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    pub fn log_k_from_precipitation_ph(&self, solid: &str, ph: f64) -> Result<f64> {
        let refuse = |key: &str, value: String, expected: &str, hint: Option<String>| Error::Recipe {
            place: Place { file: "log_k_from_precipitation_ph".to_owned(), line: None },
            key: key.to_owned(),
            value,
            expected: expected.to_owned(),
            hint,
        };
        if !(0.0..=14.0).contains(&ph) {
            return Err(refuse("ph", short(ph), "a pH between 0 and 14", None));
        }
        let solid = self.solid(solid)?;
        let names = self.recipe().model()?.tank.bath.equilibrium.component_names();
        let totals = names.iter().zip(&self.observed.totals_mol_l);
        let missing = totals.enumerate().find(|(at, (_, total))| solid.contains(*at) && **total <= 0.0);
        if let Some((_, (name, _))) = missing {
            let hint = format!("this bath holds no {name}: make up the bath the pH was seen in");
            return Err(refuse("solid", solid.name.clone(), "a solid of what the bath holds", Some(hint)));
        }
        // The constant has no part in the speciation, so the index moves with it one to one.
        let index = self.precipitation_onset()?.saturation_index_at(solid, ph)?;
        let expected = format!("a pH that at most {MOST_BASE_MOL_L} mol/L of base or acid reach");
        index
            .map(|index| solid.log_k_25c() - index)
            .ok_or_else(|| refuse("ph", ph.to_string(), &expected, None))
    }

    /// Potentials of the couples with pure solids (copper and its oxide) in this bath.
    ///
    /// # Errors
    /// As [`crate::recipe::Recipe::model`].
    pub fn couples(&self) -> Result<Vec<CouplePotential>> {
        let model = self.recipe().model()?;
        let potential = |couple: &crate::solution::BathCouple| CouplePotential {
            name: couple.name.clone(),
            reaction: couple.title.clone(),
            potential_v_she: couple.potential_v(&model.tank.bath.equilibrium, &self.speciation),
        };
        Ok(model.tank.bath.couples.iter().map(potential).collect())
    }

    /// Warnings about a fresh bath that is oversaturated.
    pub(crate) fn oversaturated(&self) -> Result<Vec<Flag>> {
        let solids = &self.recipe().model()?.tank.bath.solids;
        let found = solids.iter().zip(self.saturation_index()?);
        Ok(found
            .filter(|(_, (_, index))| *index > OVERSATURATED)
            .map(|(solid, (_, index))| Flag {
                r#where: format!("solids.{}", solid.name),
                what: format!(
                    "the fresh bath is oversaturated with {} (saturation index {index:.2}): it can precipitate",
                    solid.title
                ),
            })
            .collect())
    }

    fn precipitation_onset(&self) -> Result<PrecipitationOnset<'_>> {
        let equilibrium = &self.recipe().model()?.tank.bath.equilibrium;
        Ok(PrecipitationOnset::new(equilibrium, &self.observed.totals_mol_l, self.speciation.temperature_k))
    }

    fn solid(&self, name: &str) -> Result<&BathSolid> {
        let solids = &self.recipe().model()?.tank.bath.solids;
        solids.iter().find(|solid| solid.name == name).ok_or_else(|| {
            let valid = solids.iter().map(|solid| solid.name.as_str());
            Error::unknown_name(Place::without_line("this bath"), "solid it can form", name, valid)
        })
    }
}
