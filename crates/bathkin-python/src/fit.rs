//! Fits.

use bathkin_fit::{ArrheniusFit, Reference};
use pyo3::prelude::*;

use crate::errors::raise_fit;
use crate::made::Made;
use crate::typed::ReadArray1;

/// An Arrhenius fit.
#[pyfunction]
#[pyo3(signature = (temperature_k, k, reference_temperature_k = None))]
pub fn fit_arrhenius(
    py: Python<'_>,
    temperature_k: ReadArray1<'_>,
    k: ReadArray1<'_>,
    reference_temperature_k: Option<f64>,
) -> PyResult<Made<ArrheniusFit>> {
    let reference = reference_temperature_k.map_or(Reference::HarmonicMean, Reference::Kelvin);
    let (temperatures, rates) = (temperature_k.as_slice()?, k.as_slice()?);
    bathkin_fit::fit_arrhenius(temperatures, rates, reference)
        .map(Made)
        .map_err(|error| raise_fit(py, &error))
}

/// Ea in kJ/mol from a slope in kelvin.
#[pyfunction]
pub fn activation_energy_kj_mol(slope_k: f64) -> f64 {
    bathkin_fit::activation_energy_kj_mol(slope_k)
}
