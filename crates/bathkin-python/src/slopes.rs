//! Derivatives of a bath's answers.

use bathkin::study::{BathSlope, ParameterKind};
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::classes::Bath;
use crate::errors::raise;
use crate::made::{Made, columns};

/// Slopes of the whole solution, those of every substance, names and kinds of the parameters.
type Slopes<'py> = (Bound<'py, PyDict>, Bound<'py, PyDict>, Vec<String>, Made<Vec<ParameterKind>>);

/// Derivatives of a bath's answers, a value per parameter: those of the whole solution, those of every
/// substance, names and kinds of the parameters.
#[pyfunction]
pub fn slopes<'py>(py: Python<'py>, bath: &Bath) -> PyResult<Slopes<'py>> {
    let (found, species) = py
        .detach(|| Ok((bath.inner.slopes()?, bath.inner.species()?)))
        .map_err(|error: bathkin::Error| raise(py, &error))?;
    let column = |of: fn(&BathSlope) -> f64| found.iter().map(of).collect::<Vec<f64>>();
    let whole = columns(
        py,
        [
            ("ph", column(|slope| slope.d_ph)),
            ("ionic_strength_mol_l", column(|slope| slope.d_ionic_strength_mol_l)),
            ("ln_water_activity", column(|slope| slope.d_ln_water_activity)),
            ("free_metal_mol_l", column(|slope| slope.d_free_metal_mol_l)),
            ("value", column(|slope| slope.value)),
            ("usual_change", column(|slope| slope.usual_change)),
        ],
    )?;
    let of_species = species.iter().enumerate().map(|(place, (name, _))| {
        let slopes = found.iter().filter_map(|slope| slope.d_species_mol_l.get(place).copied());
        (name.as_str(), slopes.collect())
    });
    let kinds = found.iter().map(|slope| slope.kind).collect();
    let parameters = found.iter().map(|slope| slope.parameter.clone()).collect();
    Ok((whole, columns(py, of_species)?, parameters, Made(kinds)))
}
