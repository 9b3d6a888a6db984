//! Partial currents of a bath's half-reactions, at its mixed potential and over a range.

use schemars::JsonSchema;
use serde::Serialize;

use crate::document::Document;
use crate::error::{Error, Place, Result};
use crate::flag::Flag;
use crate::recipe::Recipe;
use crate::study::Bath;
use crate::study::warnings::surface::no_potential;
use crate::surface::mixed_potential::{HIGHEST_POTENTIAL_V, LOWEST_POTENTIAL_V};
use crate::surface::{PolarisationPoint, ReferenceElectrode};
use crate::tank::Tank;
use bathkin_numerics::short;

/// 1 A/m² in mA/cm².
const MA_CM2_PER_A_M2: f64 = 0.1;

/// Currents of a surface against its potential.
///
/// Potentials are against the reference electrode that was asked for, currents in mA/cm², positive where
/// electrons are given to the surface.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
#[serde(rename = "Polarisation")]
pub struct BathPolarisation {
    /// What potentials are against.
    pub reference: ReferenceElectrode,
    /// Its own potential, V SHE.
    pub reference_potential_v_she: f64,
    /// Potentials, V.
    pub potential_v: Vec<f64>,
    /// Partial current of each half-reaction at each potential, mA/cm².
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, Vec<f64>>")]
    pub currents_ma_cm2: Vec<(String, Vec<f64>)>,
    /// Their sum, mA/cm².
    pub total_ma_cm2: Vec<f64>,
    /// The mixed potential, V, where there is one.
    pub mixed_potential_v: Option<f64>,
    /// Partial currents there, mA/cm²; empty where there is none.
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, f64>")]
    pub mixed_currents_ma_cm2: Vec<(String, f64)>,
    /// Temperature, degC.
    pub temperature_c: f64,
    /// pH in the bath.
    pub ph: f64,
    /// Warnings.
    pub flags: Vec<Flag>,
}

impl Bath {
    /// Partial currents over a range of potentials (V against `reference`), and the mixed potential.
    ///
    /// The liquid at the surface is taken as it is: nothing is used up while the potential moves.
    ///
    /// # Errors
    /// [`Error::UnknownName`] for a reference electrode nobody knows; [`Error::Recipe`] for a potential
    /// outside the range that is looked at, and for a recipe of rate laws, which knows no potential.
    ///
    /// ```
    /// use bathkin::Recipe;
    /// let bath = Recipe::built_in("nickel-mixed-potential")?.make_up()?;
    /// let curves = bath.polarisation(&[-0.8, -0.64, -0.5], "SCE")?;
    /// assert!(curves.total_ma_cm2[0] < 0.0 && curves.total_ma_cm2[2] > 0.0);
    /// let mixed = curves.mixed_potential_v.expect("a mixed potential");
    /// assert!((-0.70..-0.60).contains(&mixed));
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    pub fn polarisation(&self, potentials_v: &[f64], reference: &str) -> Result<BathPolarisation> {
        let tank = &self.recipe.model()?.tank;
        let electrode = reference_electrode("polarisation", reference)?;
        let she_v: Vec<f64> = potentials_v.iter().map(|potential| electrode.to_she_v(*potential)).collect();
        let outside = |potential: &&f64| !(LOWEST_POTENTIAL_V..=HIGHEST_POTENTIAL_V).contains(*potential);
        if let Some(potential) = she_v.iter().find(outside) {
            return Err(Error::Recipe {
                place: Place { file: "polarisation".to_owned(), line: None },
                key: "potential_v".to_owned(),
                value: short(electrode.from_she_v(*potential)),
                expected: format!("a potential between {LOWEST_POTENTIAL_V} and {HIGHEST_POTENTIAL_V} V SHE"),
                hint: (potential.abs() > 10.0).then(|| "volts, not millivolts".to_owned()),
            });
        }
        let points = tank
            .bath
            .kinetics
            .polarisation(&self.observed.conditions_at_surface(), &she_v)
            .ok_or_else(|| self.no_partial_currents())?;
        let names = tank.bath.kinetics.half_reactions().iter().map(|reaction| &reaction.name);
        let of = |at: usize| points.iter().map(move |point| point.currents_a_m2[at] * MA_CM2_PER_A_M2);
        let (mixed_potential_v, mixed_currents_ma_cm2) = self.mixed_point(tank);
        Ok(BathPolarisation {
            reference: electrode,
            reference_potential_v_she: electrode.potential_v(),
            potential_v: potentials_v.to_vec(),
            currents_ma_cm2: names.enumerate().map(|(at, name)| (name.clone(), of(at).collect())).collect(),
            total_ma_cm2: points.iter().map(|point| point.total_a_m2() * MA_CM2_PER_A_M2).collect(),
            mixed_potential_v: mixed_potential_v.map(|potential| electrode.from_she_v(potential)),
            mixed_currents_ma_cm2,
            temperature_c: self.temperature_c(),
            ph: self.observed.ph,
            flags: self.flags()?,
        })
    }

    /// The mixed potential, V SHE, and the partial currents there, mA/cm².
    pub(crate) fn mixed_point(&self, tank: &Tank) -> (Option<f64>, Vec<(String, f64)>) {
        let conditions = self.observed.conditions_at_surface();
        let potential_v = tank.bath.kinetics.potential_v(&conditions);
        let point = potential_v
            .and_then(|potential| tank.bath.kinetics.polarisation(&conditions, &[potential]))
            .and_then(|mut points| points.pop());
        let currents = point.map(|PolarisationPoint { currents_a_m2, .. }| {
            let names = tank.bath.kinetics.half_reactions().iter().map(|reaction| reaction.name.clone());
            names.zip(currents_a_m2.into_iter().map(|current| current * MA_CM2_PER_A_M2)).collect()
        });
        (potential_v, currents.unwrap_or_default())
    }

    /// The warning of a bath whose partial currents cancel nowhere.
    pub(crate) fn no_mixed_potential(&self, tank: &Tank) -> Option<Flag> {
        let conditions = self.observed.conditions_at_surface();
        tank.bath
            .kinetics
            .mixed_potential()
            .filter(|mixed| mixed.potential_v(&conditions).is_none())
            .map(|_| Flag { r#where: "half_reaction".to_owned(), what: no_potential() })
    }

    fn no_partial_currents(&self) -> Error {
        let document = self.recipe.document();
        let with_partial_currents: Vec<&str> = Recipe::built_in_names()
            .filter(|name| Recipe::built_in(name).is_ok_and(|recipe| has_partial_currents(recipe.document())))
            .collect();
        Error::Recipe {
            place: Place { file: document.file.clone(), line: None },
            key: "half_reaction".to_owned(),
            value: "(rate laws)".to_owned(),
            expected: "half-reactions with partial_current = \"table\": rate laws know no potential"
                .to_owned(),
            hint: Some(format!(
                "built-in recipes with partial currents: {}",
                with_partial_currents.join(", ")
            )),
        }
    }
}

fn has_partial_currents(document: &Document) -> bool {
    document.under("half_reaction").any(|entry| entry.path.ends_with(".partial_current"))
}

/// A reference electrode by name.
///
/// # Errors
/// [`Error::UnknownName`] with the valid names.
pub fn reference_electrode(call: &str, name: &str) -> Result<ReferenceElectrode> {
    ReferenceElectrode::parse(name).ok_or_else(|| {
        let place = Place { file: call.to_owned(), line: None };
        let valid = ReferenceElectrode::NAMES.iter().map(|(name, _)| *name);
        Error::unknown_name(place, "reference electrode", name, valid)
    })
}
