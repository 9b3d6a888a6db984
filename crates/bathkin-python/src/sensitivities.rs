//! Derivatives of a bath's answers.

use bathkin::study::{BathSensitivity, ParameterKind};
use pyo3::prelude::*;

use crate::classes::Bath;
use crate::errors::raise;
use crate::made::{Made, columns};
use crate::typed::Columns;

/// Sensitivities of the whole solution, those of every substance, names and kinds of the parameters.
type Sensitivities<'py> = (Columns<'py>, Columns<'py>, Vec<String>, Made<Vec<ParameterKind>>);

/// Derivatives of a bath's answers, a value per parameter: those of the whole solution, those of every
/// substance, names and kinds of the parameters.
#[pyfunction]
pub fn sensitivities<'py>(py: Python<'py>, bath: &Bath) -> PyResult<Sensitivities<'py>> {
    let (found, species) = py
        .detach(|| Ok((bath.inner.sensitivities()?, bath.inner.species()?)))
        .map_err(|error: bathkin::Error| raise(py, &error))?;
    let column = |of: fn(&BathSensitivity) -> f64| found.iter().map(of).collect::<Vec<f64>>();
    let whole = columns(
        py,
        [
            ("ph", column(|row| row.d_ph)),
            ("ionic_strength_mol_l", column(|row| row.d_ionic_strength_mol_l)),
            ("ln_water_activity", column(|row| row.d_ln_water_activity)),
            ("free_metal_mol_l", column(|row| row.d_free_metal_mol_l)),
            ("value", column(|row| row.value)),
            ("usual_change", column(|row| row.usual_change)),
        ],
    )?;
    let of_species = species.iter().enumerate().map(|(place, (name, _))| {
        let sensitivities = found.iter().filter_map(|row| row.d_species_mol_l.get(place).copied());
        (name.as_str(), sensitivities.collect())
    });
    let kinds = found.iter().map(|row| row.kind).collect();
    let parameters = found.iter().map(|row| row.parameter.clone()).collect();
    Ok((whole, columns(py, of_species)?, parameters, Made(kinds)))
}
