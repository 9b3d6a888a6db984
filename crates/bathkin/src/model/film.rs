//! The film before the surface as a recipe writes it: `[film]`. Without it the surface has the
//! liquid of the bath.
//!
//! | key | meaning | default |
//! |---|---|---|
//! | `stirring` | `quiet` 300 um, `moved-work` 100 um, `air` 50 um, `jet` 10 um | `moved-work` |
//! | `thickness_um` | film thickness for the metal, in place of a level of stirring | - |
//! | `exponent` | m in k = (D_metal/delta) (D/D_metal)^m | 2/3 |
//! | `diffusion_m2_s.NAME` | D of a dissolved substance at `diffusion_temperature_c` | see below |
//! | `diffusion_temperature_c` | the temperature all D are given at | 25 |
//! | `first_state` | `slowest` or `fastest`: where a fresh surface goes if there are several | `slowest` |
//!
//! A species without a number of its own moves like the metal it holds, otherwise like the slowest of
//! the components it holds. At any other temperature, along a life too, all D go as T over the viscosity of
//! water ([`crate::surface::Film::mobility`]). Levels of stirring are common practice (no source): tens of micrometres
//! under strong agitation, some tenths of a millimetre where only gas and natural convection stir.

use crate::constants::ZERO_CELSIUS_K;
use crate::document::Dependence;
use crate::document::reader::{Bounds, Reader};
use crate::error::Result;
use crate::model::slots::Slots;
use crate::solution::chemistry::{HYDROXIDE, PROTON};
use crate::surface::{Film, FirstState};
use crate::tank::ResolvedReaction;

const TABLE: &str = "film";
/// Levels of stirring, um: common practice, no source.
const STIRRING_UM: [(&str, f64); 4] = [("moved-work", 100.0), ("quiet", 300.0), ("air", 50.0), ("jet", 10.0)];
/// What tables of diffusion coefficients are given at, degC.
const TABLES_C: f64 = 25.0;
const BOUNDARY_LAYER: f64 = 2.0 / 3.0;
/// Diffusion coefficients at 25 degC and infinite dilution, m²/s: CRC Handbook of Chemistry and
/// Physics, ionic conductivity and diffusion (from memory).
const AT_INFINITE_DILUTION_M2_S: [(&str, f64); 2] = [(PROTON, 9.31e-9), (HYDROXIDE, 5.27e-9)];
/// What nothing is said of, m²/s: common practice for ions of middle size in water at 25 degC.
const UNSAID_M2_S: f64 = 0.8e-9;

/// The film of a recipe, resolved.
pub(crate) fn read_film(
    reader: &Reader,
    slots: &Slots,
    metal: usize,
    reactions: &[ResolvedReaction],
) -> Result<Option<Film>> {
    const THICKNESS: Bounds = Bounds::between(1e-6, 5000.0, "a film thickness between 1e-6 and 5000 um");
    const EXPONENT: Bounds =
        Bounds::between(0.0, 1.0, "an exponent between 0 and 1").slope(Dependence::Exponent);
    const DIFFUSION: Bounds =
        Bounds::between(1e-12, 1e-7, "a diffusion coefficient between 1e-12 and 1e-7 m2/s");
    if reader.document().children(TABLE).is_empty() {
        return Ok(None);
    }
    let path = |key: &str| format!("{TABLE}.{key}");
    let level_um = reader.choice(&path("stirring"), &STIRRING_UM)?;
    let given_um = reader.optional(&path("thickness_um"), THICKNESS)?;
    if given_um.is_some() && reader.optional_text(&path("stirring"))?.is_some() {
        let expected = "a level of stirring or a thickness_um, not both";
        return Err(reader.refuse(&path("stirring"), expected, None));
    }
    let thickness_um = given_um.unwrap_or(level_um);
    let exponent = reader.number_or(&path("exponent"), EXPONENT, BOUNDARY_LAYER)?;
    const TEMPERATURE: Bounds = Bounds::between(0.0, 100.0, "a temperature between 0 and 100 degC").linear();
    let given_at_c = reader.number_or(&path("diffusion_temperature_c"), TEMPERATURE, TABLES_C)?;
    let first = [("slowest", FirstState::Slowest), ("fastest", FirstState::Fastest)];
    let first = reader.choice(&path("first_state"), &first)?;

    let names: Vec<&str> = slots.equilibrium.substance_names().collect();
    let mut own: Vec<Option<f64>> = names
        .iter()
        .map(|name| AT_INFINITE_DILUTION_M2_S.iter().find(|(known, _)| known == name).map(|(_, d)| *d))
        .collect();
    for (name, d_m2_s) in reader.numbers_under(&path("diffusion_m2_s"), DIFFUSION)? {
        own[slots.dissolved(reader, &path(&format!("diffusion_m2_s.{name}")), &name)?] = Some(d_m2_s);
    }
    let components = slots.names.len();
    let of_component = |slot: usize| own[slot].unwrap_or(UNSAID_M2_S);
    let of_substance = |substance: usize| {
        own[substance].unwrap_or_else(|| {
            let parts = slots.equilibrium.made_of(substance);
            let held = || parts.iter().map(|(slot, _)| *slot).filter(|slot| *slot < components);
            if held().any(|slot| slot == metal) {
                of_component(metal)
            } else {
                held().map(of_component).reduce(f64::min).unwrap_or(UNSAID_M2_S)
            }
        })
    };
    let d_ref = of_component(metal);
    let transfer = (0..names.len())
        .map(|substance| {
            Film::transfer_coefficient_m_s(thickness_um, of_substance(substance), d_ref, exponent)
        })
        .collect();
    let makes = reactions.iter().map(|reaction| reaction.liquid.clone());
    Ok(Some(Film::new(slots.equilibrium, transfer, given_at_c + ZERO_CELSIUS_K, makes, first)))
}
