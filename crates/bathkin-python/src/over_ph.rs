//! Baths at another pH.

use bathkin::model::PhAdjustment;
use bathkin::solution::{FormationCurve, Onset};
use bathkin::study::{BathDistribution, BathTitration, HeldSolution};
use pyo3::prelude::*;

use crate::classes::Bath;
use crate::errors::raise;
use crate::made::Made;
use crate::typed::ReadArray1;
use crate::watched::of_bath;

/// Columns along a curve, and where it becomes oversaturated.
type Curve<T> = (Made<T>, Made<Vec<Onset>>);

fn owned(array: Option<ReadArray1<'_>>) -> PyResult<Option<Vec<f64>>> {
    array.map(|array| Ok(array.as_slice()?.to_vec())).transpose()
}

/// Shares of a component over pH.
#[pyfunction]
#[pyo3(signature = (bath, component, ph, temperature_c=None))]
pub fn distribution(
    py: Python<'_>,
    bath: &Bath,
    component: &str,
    ph: ReadArray1<'_>,
    temperature_c: Option<f64>,
) -> PyResult<Curve<BathDistribution>> {
    let ph = ph.as_slice()?;
    let found = of_bath(py, &bath.inner, |bath| bath.distribution(component, ph, temperature_c))?;
    let onsets = found.profile.onsets();
    Ok((Made(found), Made(onsets)))
}

/// A bath titrated with a reagent, to stated pHs or with stated amounts.
#[pyfunction]
#[pyo3(signature = (bath, reagent, to_ph=None, amounts_g_l=None, temperature_c=None))]
pub fn titration(
    py: Python<'_>,
    bath: &Bath,
    reagent: &str,
    to_ph: Option<ReadArray1<'_>>,
    amounts_g_l: Option<ReadArray1<'_>>,
    temperature_c: Option<f64>,
) -> PyResult<Curve<BathTitration>> {
    let (to_ph, amounts) = (owned(to_ph)?, owned(amounts_g_l)?);
    let found = of_bath(py, &bath.inner, |bath| match to_ph {
        Some(to_ph) => bath.titrate_to(reagent, &to_ph, temperature_c),
        None => bath.titrate(reagent, &amounts.unwrap_or_default(), temperature_c),
    })?;
    let onsets = found.curve.profile.onsets();
    Ok((Made(found), Made(onsets)))
}

/// The amount of a reagent that brings a bath to a pH.
#[pyfunction]
#[pyo3(signature = (bath, reagent, ph, temperature_c=None))]
pub fn amount_for_ph(
    py: Python<'_>,
    bath: &Bath,
    reagent: &str,
    ph: f64,
    temperature_c: Option<f64>,
) -> PyResult<Made<PhAdjustment>> {
    bath.inner.amount_for_ph(reagent, ph, temperature_c).map(Made).map_err(|error| raise(py, &error))
}

/// A bath with its pH held.
#[pyfunction]
#[pyo3(signature = (bath, ph, temperature_c=None))]
pub fn held_at_ph(
    py: Python<'_>,
    bath: &Bath,
    ph: f64,
    temperature_c: Option<f64>,
) -> PyResult<Made<HeldSolution>> {
    bath.inner.held_at_ph(ph, temperature_c).map(Made).map_err(|error| raise(py, &error))
}

/// Ligands per metal against pL.
#[pyfunction]
#[pyo3(signature = (bath, ligand, pl, ph=None, temperature_c=None))]
pub fn formation_curve(
    py: Python<'_>,
    bath: &Bath,
    ligand: &str,
    pl: ReadArray1<'_>,
    ph: Option<f64>,
    temperature_c: Option<f64>,
) -> PyResult<Made<FormationCurve>> {
    let pl = pl.as_slice()?;
    of_bath(py, &bath.inner, |bath| bath.formation_curve(ligand, pl, ph, temperature_c)).map(Made)
}

/// (component, share that is complexed).
#[pyfunction]
pub fn complexed_fractions(py: Python<'_>, bath: &Bath) -> PyResult<Vec<(String, f64)>> {
    bath.inner.complexed_fractions().map_err(|error| raise(py, &error))
}
