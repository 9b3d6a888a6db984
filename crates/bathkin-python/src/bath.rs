//! Baths.

use pyo3::prelude::*;
use serde::Serialize;

use crate::errors::raise;
use crate::json::json;
use crate::recipe::Recipe;
use crate::watched::of_bath;

/// A bath made up from a recipe.
#[pyclass(frozen, module = "bathkin._core")]
pub struct Bath {
    pub(crate) inner: bathkin::Bath,
}

#[pymethods]
impl Bath {
    /// pH at the bath temperature.
    #[getter]
    fn ph(&self) -> f64 {
        self.inner.ph()
    }

    /// pH of a sample at another temperature, degC.
    fn ph_at(&self, py: Python<'_>, temperature_c: f64) -> PyResult<f64> {
        self.inner.ph_at(temperature_c).map_err(|error| raise(py, &error))
    }

    /// Temperature, degC.
    #[getter]
    fn temperature_c(&self) -> f64 {
        self.inner.temperature_c()
    }

    /// Ionic strength, mol/L.
    #[getter]
    fn ionic_strength_mol_l(&self) -> f64 {
        self.inner.ionic_strength_mol_l()
    }

    /// Mass at 25 degC over that of as much water.
    #[getter]
    fn specific_gravity(&self) -> f64 {
        self.inner.specific_gravity()
    }

    /// Density at a temperature, kg/m³.
    fn density_kg_m3(&self, py: Python<'_>, temperature_c: f64) -> PyResult<f64> {
        self.inner.density_kg_m3(temperature_c).map_err(|error| raise(py, &error))
    }

    /// Strong base per unit of pH, mol/L.
    #[getter]
    fn buffer_capacity_mol_l(&self) -> f64 {
        self.inner.buffer_capacity_mol_l()
    }

    /// (component, mol/L).
    fn totals(&self, py: Python<'_>) -> PyResult<Vec<(String, f64)>> {
        self.inner.totals().map_err(|error| raise(py, &error))
    }

    /// (substance, mol/L).
    fn species(&self, py: Python<'_>) -> PyResult<Vec<(String, f64)>> {
        self.inner.species().map_err(|error| raise(py, &error))
    }

    /// (substance, molal activity coefficient).
    fn activity_coefficients(&self, py: Python<'_>) -> PyResult<Vec<(String, f64)>> {
        self.inner.activity_coefficients().map_err(|error| raise(py, &error))
    }

    /// Activity of the water.
    #[getter]
    fn water_activity(&self) -> f64 {
        self.inner.water_activity()
    }

    /// (reagent, g/L).
    fn make_up(&self, py: Python<'_>) -> PyResult<Vec<(String, f64)>> {
        self.inner.make_up_g_l().map(<[_]>::to_vec).map_err(|error| raise(py, &error))
    }

    /// Free hydroxide as sodium hydroxide, g/L; None unless the bath is controlled by free alkali.
    fn free_naoh_g_l(&self, py: Python<'_>) -> PyResult<Option<f64>> {
        self.inner.free_naoh_g_l().map_err(|error| raise(py, &error))
    }

    /// What set the pH, as JSON (null when nothing did).
    fn ph_adjustment(&self, py: Python<'_>) -> PyResult<String> {
        self.inner.ph_adjustment().map(|adjustment| json(&adjustment)).map_err(|error| raise(py, &error))
    }

    /// Rates on a surface, as JSON.
    fn rate(&self, py: Python<'_>) -> PyResult<String> {
        self.inner.rate().map(|rate| json(&rate)).map_err(|error| raise(py, &error))
    }

    /// Warnings, as JSON.
    fn flags(&self, py: Python<'_>) -> PyResult<String> {
        self.inner.flags().map(|flags| json(&flags)).map_err(|error| raise(py, &error))
    }

    /// (solid, saturation index).
    fn saturation_index(&self, py: Python<'_>) -> PyResult<Vec<(String, f64)>> {
        self.inner.saturation_index().map_err(|error| raise(py, &error))
    }

    /// pH at which a solid is just saturated.
    fn cloud_ph(&self, py: Python<'_>, solid: &str) -> PyResult<Option<f64>> {
        self.inner.cloud_ph(solid).map_err(|error| raise(py, &error))
    }

    /// log10 K of a solid that makes the bath cloud at a pH.
    fn log_k_from_cloud_ph(&self, py: Python<'_>, solid: &str, ph: f64) -> PyResult<f64> {
        self.inner.log_k_from_cloud_ph(solid, ph).map_err(|error| raise(py, &error))
    }

    /// Potentials of couples with pure solids, as JSON.
    fn couples(&self, py: Python<'_>) -> PyResult<String> {
        self.inner.couples().map(|couples| json(&couples)).map_err(|error| raise(py, &error))
    }

    /// One load, as JSON with its flags.
    #[pyo3(signature = (area_m2, minutes, substrate = None, activation = None))]
    fn plate(
        &self,
        py: Python<'_>,
        area_m2: f64,
        minutes: f64,
        substrate: Option<&str>,
        activation: Option<&str>,
    ) -> PyResult<String> {
        #[derive(Serialize)]
        struct Document {
            load: bathkin::life::SingleLoad,
            substrate: String,
            activation: bathkin::surface::Activation,
            columns: bathkin::life::LoadCurve,
            flags: Vec<bathkin::flag::Flag>,
        }
        let (plated, columns) = of_bath(py, &self.inner, |bath| {
            let plated = bath.plate_on(area_m2, minutes, substrate, activation)?;
            Ok((plated, bath.load_curve(area_m2, minutes, substrate, activation)?))
        })?;
        let bathkin::Plated { load, substrate, activation, flags } = plated;
        Ok(json(&Document { load, substrate, activation, columns, flags }))
    }

    /// The recipe that made it.
    #[getter]
    fn recipe(&self) -> Recipe {
        Recipe { inner: self.inner.recipe().clone() }
    }
}
