//! Polarisation of a bath: columns as arrays, everything else as JSON.

use bathkin::flag::Flag;
use bathkin::study::reference_electrode;
use numpy::PyReadonlyArray1;
use pyo3::prelude::*;
use pyo3::types::PyDict;
use serde::Serialize;

use crate::bath::Bath;
use crate::errors::raise;
use crate::json::json;
use crate::over_ph::columns;
use crate::watched::of_bath;

#[derive(Serialize)]
struct About<'a> {
    reference: &'a str,
    reference_potential_v_she: f64,
    mixed_potential_v: Option<f64>,
    mixed_currents_ma_cm2: &'a [(String, f64)],
    temperature_c: f64,
    ph: f64,
    flags: &'a [Flag],
}

/// Partial currents by half-reaction over potentials against a reference electrode, their sum, and what
/// belongs to the whole.
#[pyfunction]
pub fn polarisation<'py>(
    py: Python<'py>,
    bath: &Bath,
    potential_v: PyReadonlyArray1<'_, f64>,
    reference: &str,
) -> PyResult<(Bound<'py, PyDict>, Bound<'py, PyDict>, String)> {
    let potentials = potential_v.as_slice()?;
    let found = of_bath(py, &bath.inner, |bath| bath.polarisation(potentials, reference))?;
    let about = json(&About {
        reference: found.reference.name(),
        reference_potential_v_she: found.reference.potential_v(),
        mixed_potential_v: found.mixed_potential_v,
        mixed_currents_ma_cm2: &found.mixed_currents_ma_cm2,
        temperature_c: found.temperature_c,
        ph: found.ph,
        flags: &found.flags,
    });
    let currents =
        columns(py, found.currents_ma_cm2.iter().map(|(name, currents)| (name.as_str(), currents.clone())))?;
    let whole = columns(py, [("potential_v", found.potential_v), ("total_ma_cm2", found.total_ma_cm2)])?;
    Ok((currents, whole, about))
}

/// A potential against a reference electrode from one against the standard hydrogen electrode, and the
/// name of the electrode as it is written here.
#[pyfunction]
pub fn against_reference(py: Python<'_>, potential_v_she: f64, reference: &str) -> PyResult<(f64, String)> {
    let electrode = reference_electrode("reference", reference).map_err(|error| raise(py, &error))?;
    Ok((electrode.from_she_v(potential_v_she), electrode.name().to_owned()))
}
