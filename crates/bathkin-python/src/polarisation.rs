//! Polarisation of a bath.

use bathkin::study::{BathPolarisation, reference_electrode};
use pyo3::prelude::*;

use crate::classes::Bath;
use crate::errors::raise;
use crate::made::Made;
use crate::typed::ReadArray1;
use crate::watched::of_bath;

/// Partial currents by half-reaction over potentials against a reference electrode, and their sum.
#[pyfunction]
pub fn polarisation(
    py: Python<'_>,
    bath: &Bath,
    potential_v: ReadArray1<'_>,
    reference: &str,
) -> PyResult<Made<BathPolarisation>> {
    let potentials = potential_v.as_slice()?;
    of_bath(py, &bath.inner, |bath| bath.polarisation(potentials, reference)).map(Made)
}

/// A potential against a reference electrode from one against the standard hydrogen electrode, and the
/// name of the electrode as it is written here.
#[pyfunction]
pub fn against_reference(py: Python<'_>, potential_v_she: f64, reference: &str) -> PyResult<(f64, String)> {
    let electrode = reference_electrode("reference", reference).map_err(|error| raise(py, &error))?;
    Ok((electrode.from_she_v(potential_v_she), electrode.name().to_owned()))
}
