//! The surface a load is plated on, the course of its thickness, and the doubts about its start.

use super::Bath;
use crate::error::Result;
use crate::life::{LoadCurve, SingleLoad, load_curve};
use crate::recipe::reader::Flag;
use crate::recipe::substrates::{Substrate, Surface, surface_for};
use crate::surface::{Activation, Start};

impl Bath {
    /// The surface of a call: the recipe's own, or another substrate and activation.
    ///
    /// # Errors
    /// [`crate::Error::UnknownName`] for an activation that is not known.
    pub(super) fn surface(&self, substrate: Option<&str>, activation: Option<&str>) -> Result<Surface> {
        surface_for(&self.recipe.model()?.surface, substrate, activation)
    }

    /// The substrate, and how deposition starts on it.
    pub(super) fn start(&self, surface: &Surface) -> Result<(&Substrate, Start)> {
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
        super::check_load(area_m2, minutes)?;
        let (_, start) = self.start(&self.surface(substrate, activation)?)?;
        load_curve(&self.recipe.model()?.tank, &self.observed.totals_mol_l, area_m2, minutes, start)
    }
}

/// Doubts about the start of a load.
pub(super) fn start_flags(substrate: &Substrate, start: &Start, load: &SingleLoad) -> Vec<Flag> {
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
