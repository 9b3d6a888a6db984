//! Baths at another pH: columns as arrays, everything else as JSON.

use bathkin::flag::Flag;
use bathkin::solution::Onset;
use numpy::{IntoPyArray, PyArray1, PyReadonlyArray1};
use pyo3::prelude::*;
use pyo3::types::PyDict;
use serde::Serialize;

use crate::bath::Bath;
use crate::errors::raise;
use crate::json::json;
use crate::watched::of_bath;

/// Arrays by name.
type Columns<'py> = Bound<'py, PyDict>;

#[derive(Serialize)]
struct About<'a> {
    bath_ph: f64,
    temperature_c: f64,
    total_mol_l: Option<f64>,
    onsets: Vec<Onset>,
    flags: &'a [Flag],
}

pub(crate) fn columns<'py, 'a>(
    py: Python<'py>,
    of: impl IntoIterator<Item = (&'a str, Vec<f64>)>,
) -> PyResult<Columns<'py>> {
    let columns = PyDict::new(py);
    for (name, values) in of {
        let array: Bound<'py, PyArray1<f64>> = values.into_pyarray(py);
        columns.set_item(name, array)?;
    }
    Ok(columns)
}

fn named(py: Python<'_>, of: Vec<(String, Vec<f64>)>) -> PyResult<Columns<'_>> {
    columns(py, of.iter().map(|(name, values)| (name.as_str(), values.clone())))
}

fn owned(array: Option<PyReadonlyArray1<'_, f64>>) -> PyResult<Option<Vec<f64>>> {
    array.map(|array| Ok(array.as_slice()?.to_vec())).transpose()
}

/// Shares of a component over pH: its species by name, what belongs to the whole solution, saturation
/// indices by solid.
#[pyfunction]
#[pyo3(signature = (bath, component, ph, temperature_c=None))]
pub fn distribution<'py>(
    py: Python<'py>,
    bath: &Bath,
    component: &str,
    ph: PyReadonlyArray1<'_, f64>,
    temperature_c: Option<f64>,
) -> PyResult<(Columns<'py>, Columns<'py>, Columns<'py>, String)> {
    let ph = ph.as_slice()?;
    let found = of_bath(py, &bath.inner, |bath| bath.distribution(component, ph, temperature_c))?;
    let about = json(&About {
        bath_ph: found.bath_ph,
        temperature_c: found.temperature_c,
        total_mol_l: Some(found.total_mol_l),
        onsets: found.profile.onsets(),
        flags: &found.flags,
    });
    let fractions = named(py, found.fractions)?;
    let whole = columns(
        py,
        [
            ("ph", ph.to_vec()),
            ("free_metal_mol_l", found.free_metal_mol_l),
            ("base_mol_l", found.base_mol_l),
            ("ionic_strength_mol_l", found.profile.ionic_strength_mol_l),
            ("buffer_capacity_mol_l", found.profile.buffer_capacity_mol_l),
        ],
    )?;
    Ok((fractions, whole, named(py, found.profile.saturation_index)?, about))
}

/// A bath titrated with a reagent, to stated pHs or with stated amounts: the curve, and saturation indices
/// by solid.
#[pyfunction]
#[pyo3(signature = (bath, reagent, to_ph=None, amounts_g_l=None, temperature_c=None))]
pub fn titration<'py>(
    py: Python<'py>,
    bath: &Bath,
    reagent: &str,
    to_ph: Option<PyReadonlyArray1<'_, f64>>,
    amounts_g_l: Option<PyReadonlyArray1<'_, f64>>,
    temperature_c: Option<f64>,
) -> PyResult<(Columns<'py>, Columns<'py>, String)> {
    let (to_ph, amounts) = (owned(to_ph)?, owned(amounts_g_l)?);
    let found = of_bath(py, &bath.inner, |bath| match to_ph {
        Some(to_ph) => bath.titrate_to(reagent, &to_ph, temperature_c),
        None => bath.titrate(reagent, &amounts.unwrap_or_default(), temperature_c),
    })?;
    let about = json(&About {
        bath_ph: found.bath_ph,
        temperature_c: found.temperature_c,
        total_mol_l: None,
        onsets: found.curve.profile.onsets(),
        flags: &found.flags,
    });
    let curve = columns(
        py,
        [
            ("amount_g_l", found.amount_g_l),
            ("amount_mol_l", found.curve.amount_mol_l),
            ("ph", found.curve.profile.ph),
            ("buffer_capacity_mol_l", found.curve.profile.buffer_capacity_mol_l),
            ("free_metal_mol_l", found.free_metal_mol_l),
            ("ionic_strength_mol_l", found.curve.profile.ionic_strength_mol_l),
        ],
    )?;
    Ok((curve, named(py, found.curve.profile.saturation_index)?, about))
}

/// The amount of a reagent that brings a bath to a pH, as JSON.
#[pyfunction]
#[pyo3(signature = (bath, reagent, ph, temperature_c=None))]
pub fn amount_for_ph(
    py: Python<'_>,
    bath: &Bath,
    reagent: &str,
    ph: f64,
    temperature_c: Option<f64>,
) -> PyResult<String> {
    bath.inner
        .amount_for_ph(reagent, ph, temperature_c)
        .map(|amount| json(&amount))
        .map_err(|error| raise(py, &error))
}

/// A bath with its pH held, as JSON.
#[pyfunction]
#[pyo3(signature = (bath, ph, temperature_c=None))]
pub fn held_at_ph(py: Python<'_>, bath: &Bath, ph: f64, temperature_c: Option<f64>) -> PyResult<String> {
    bath.inner.held_at_ph(ph, temperature_c).map(|held| json(&held)).map_err(|error| raise(py, &error))
}

/// Ligands per metal against pL.
#[pyfunction]
#[pyo3(signature = (bath, ligand, pl, ph=None, temperature_c=None))]
pub fn formation_curve<'py>(
    py: Python<'py>,
    bath: &Bath,
    ligand: &str,
    pl: PyReadonlyArray1<'_, f64>,
    ph: Option<f64>,
    temperature_c: Option<f64>,
) -> PyResult<Columns<'py>> {
    let pl = pl.as_slice()?;
    let found = of_bath(py, &bath.inner, |bath| bath.formation_curve(ligand, pl, ph, temperature_c))?;
    columns(
        py,
        [
            ("pl", found.pl),
            ("mean_ligand_number", found.mean_ligand_number),
            ("ligand_mol_l", found.ligand_mol_l),
            ("free_metal_mol_l", found.free_metal_mol_l),
        ],
    )
}

/// (component, share that is complexed).
#[pyfunction]
pub fn complexed_fractions(py: Python<'_>, bath: &Bath) -> PyResult<Vec<(String, f64)>> {
    bath.inner.complexed_fractions().map_err(|error| raise(py, &error))
}
