//! A load plated from a bath: its surface, its start, the course of its thickness, and the warnings about it.

use schemars::JsonSchema;
use serde::Serialize;

use crate::error::{Error, Place, Result};
use crate::flag::Flag;
use crate::life::single_load::plate;
use crate::life::{LoadCurve, SingleLoad, load_curve};
use crate::model::substrates::{Substrate, Surface, surface_for};
use crate::study::Bath;
use crate::surface::{Activation, Start};
use bathkin_numerics::short;

/// A load plated from a bath, with the warnings that go with it.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Plated {
    /// The load.
    #[serde(flatten)]
    pub load: SingleLoad,
    /// The substrate.
    pub substrate: String,
    /// What was done to it.
    pub activation: Activation,
    /// Warnings.
    pub flags: Vec<Flag>,
}

/// A load plated from a bath, and its course in time.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
#[serde(tag = "class")]
pub struct Plate {
    /// The load.
    #[serde(flatten)]
    pub plated: Plated,
    /// The load against time.
    pub columns: LoadCurve,
}

impl Bath {
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
        flags.extend(start_flags(substrate, &start, &load));
        if let Some(minutes) = load.used_up_after_min {
            flags.push(Flag {
                r#where: "plate".to_owned(),
                what: format!("metal or reductant is used up after {minutes:.1} min: plating ends there"),
            });
        }
        if load.deposition_end_um_h < 0.0 {
            flags.push(Flag {
                r#where: "plate".to_owned(),
                what: format!(
                    "the metal dissolves at the end, {:.3} um/h: the bath at pH {:.2} no longer plates",
                    load.deposition_end_um_h, load.ph_end
                ),
            });
        }
        let used =
            1.0 - load.metal_end_g_l / tank.bath.metal_g_l(self.observed.totals_mol_l[tank.bath.roles.metal]);
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

    /// The surface of a call: the recipe's own, or another substrate and activation.
    ///
    /// # Errors
    /// [`Error::UnknownName`] for an activation that is not known.
    pub(crate) fn surface(&self, substrate: Option<&str>, activation: Option<&str>) -> Result<Surface> {
        surface_for(&self.recipe.model()?.surface, substrate, activation)
    }

    /// The substrate, and how deposition starts on it.
    pub(crate) fn start(&self, surface: &Surface) -> Result<(&Substrate, Start)> {
        surface.start(&self.recipe.model()?.substrates)
    }

    /// Thickness against time of a load as [`Bath::plate_on`] plates it, with an induction time where
    /// the substrate has one.
    ///
    /// # Errors
    /// As [`Bath::plate_on`].
    pub fn load_curve(
        &self,
        area_m2: f64,
        minutes: f64,
        substrate: Option<&str>,
        activation: Option<&str>,
    ) -> Result<LoadCurve> {
        check_load(area_m2, minutes)?;
        let (_, start) = self.start(&self.surface(substrate, activation)?)?;
        load_curve(&self.recipe.model()?.tank, &self.observed.totals_mol_l, area_m2, minutes, start)
    }
}

/// An area and a time above zero.
fn check_load(area_m2: f64, minutes: f64) -> Result<()> {
    for (key, value) in [("area_dm2", area_m2 * 100.0), ("minutes", minutes)] {
        if !(value.is_finite() && value > 0.0) {
            return Err(Error::Recipe {
                place: Place { file: "plate".to_owned(), line: None },
                key: key.to_owned(),
                value: short(value),
                expected: "a number above zero".to_owned(),
                hint: Some("thickness = mass / (density x area), so both are needed".to_owned()),
            });
        }
    }
    Ok(())
}

/// Warnings about the start of a load.
fn start_flags(substrate: &Substrate, start: &Start, load: &SingleLoad) -> Vec<Flag> {
    if start.coverage.is_complete() {
        return Vec::new();
    }
    let flag = |place: &str, what: String| Flag { r#where: place.to_owned(), what };
    let after = match start.activation {
        Activation::None => String::new(),
        activation => format!(" after {}", activation.name().replace('_', " ")),
    };
    let range =
        start.range_s.map_or(String::new(), |(low, high)| format!(" ({low} to {high} s in practice)"));
    let late = if load.induction_s.is_finite() {
        format!("starts late by {:.1} s in this bath", load.induction_s)
    } else {
        "never starts in this bath".to_owned()
    };
    let caution = "the order of magnitude only, measure your own";
    let mut flags =
        vec![flag("work.substrate", format!("{}{after} {late}{range}: {caution}", substrate.name))];
    const COVERED: f64 = 0.99;
    if load.coverage_end < COVERED {
        let covered = load.coverage_end * 100.0;
        let what = format!(
            "only {covered:.0} % of the surface is covered at the end: the thickness is a mean with bare places"
        );
        flags.push(flag("plate", what));
    }
    flags
}
