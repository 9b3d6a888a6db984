//! Enthalpies that are missing.

use crate::constants::{REFERENCE_TEMPERATURE_K, ZERO_CELSIUS_K};
use crate::flag::Flag;
use crate::solution::{Chemistry, EnthalpyEvidence, Species};
use crate::tank::Tank;

/// Within so much of 25 degC an enthalpy does nothing, K.
const NEAR_K: f64 = 5.0;

/// Enthalpies that are missing, and count as zero.
pub(crate) fn missing(chemistry: &Chemistry, tank: &Tank) -> Vec<Flag> {
    if (tank.operation.temperature_k - REFERENCE_TEMPERATURE_K).abs() <= NEAR_K {
        return Vec::new();
    }
    let temperature_c = tank.operation.temperature_k - ZERO_CELSIUS_K;
    let said = |table: &str, name: &str, enthalpy: &EnthalpyEvidence| Flag {
        r#where: format!("{table}.{name}"),
        what: format!(
            "it has no enthalpy_kj_mol, so log K of 25 degC is used at {temperature_c:.0} degC: {:.0} kJ/mol either way move \
             it by {:.2}; give one, an estimate with enthalpy_uncertainty_kj_mol",
            enthalpy.width_kj_mol.value,
            enthalpy.log_k_width_at(tank.operation.temperature_k)
        ),
    };
    let lacking = |of: &Option<EnthalpyEvidence>| of.clone().filter(|enthalpy| enthalpy.missing);
    let species = tank.bath.equilibrium.species_names().iter().filter_map(|name| {
        let enthalpy = lacking(&species_named(chemistry, name)?.evidence.enthalpy)?;
        Some(said("species", name, &enthalpy))
    });
    let solids = chemistry.solids.iter().filter_map(|solid| {
        let watched = tank.bath.solids.iter().any(|known| known.name == solid.name);
        let enthalpy = lacking(&solid.evidence.enthalpy).filter(|_| watched)?;
        Some(said("solids", &solid.name, &enthalpy))
    });
    species.chain(solids).collect()
}

pub(crate) fn species_named<'a>(chemistry: &'a Chemistry, name: &str) -> Option<&'a Species> {
    chemistry.species.iter().find(|species| species.name == name)
}
