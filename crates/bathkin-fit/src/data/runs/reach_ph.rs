//! The pH of a run, reached by acid or base as needed.

use bathkin::document::Value;
use bathkin::{Error, Recipe};

/// What sets the pH of a make-up.
const PH_REAGENT: &str = "operation.ph_reagent";
/// Acids and bases with one ion beside the proton or hydroxide, and that ion.
const ACIDS: [(&str, &str); 3] =
    [("sulfuric_acid", "sulfate"), ("hydrochloric_acid", "chloride"), ("nitric_acid", "nitrate")];
const BASES: [(&str, &str); 2] = [("sodium_hydroxide", "sodium"), ("potassium_hydroxide", "potassium")];

/// The recipe of a run, with another pH reagent where its own does not approach the one asked for: an acid
/// or a base of ions the bath holds. Gives the name of that one.
pub(crate) fn reach_ph(of_bath: &Recipe, run: Recipe, by: &str) -> (Recipe, Option<String>) {
    if !matches!(run.model(), Err(Error::PhNotReachable { .. })) {
        return (run, None);
    }
    let Ok(model) = of_bath.model() else { return (run, None) };
    let held = model.tank.bath.equilibrium.component_names();
    let of_bath_first = |known: &[(&'static str, &str)]| {
        let own = known.iter().find(|(_, ion)| held.iter().any(|name| name == ion));
        own.or(known.first()).map(|(reagent, _)| *reagent)
    };
    for reagent in [of_bath_first(&ACIDS), of_bath_first(&BASES)].into_iter().flatten() {
        let other = run.with(PH_REAGENT, Value::Text(reagent.to_owned()), by);
        if other.model().is_ok() {
            return (other, Some(reagent.to_owned()));
        }
    }
    (run, None)
}
