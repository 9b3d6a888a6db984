//! Baths.

use bathkin::model::PhAdjustment;
use bathkin::study::{CouplePotential, Plate};
use bathkin::{Flag, Rate};
use pyo3::prelude::*;

use crate::classes::{Bath, Recipe};
use crate::errors::raise;
use crate::made::Made;
use crate::watched::of_bath;

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

    /// What set the pH; None when nothing did.
    fn ph_adjustment(&self, py: Python<'_>) -> PyResult<Made<Option<PhAdjustment>>> {
        self.inner.ph_adjustment().map(|set| Made(set.cloned())).map_err(|error| raise(py, &error))
    }

    /// Rates on a surface.
    fn rate(&self, py: Python<'_>) -> PyResult<Made<Rate>> {
        self.inner.rate().map(Made).map_err(|error| raise(py, &error))
    }

    /// Warnings.
    fn flags(&self, py: Python<'_>) -> PyResult<Made<Vec<Flag>>> {
        self.inner.flags().map(Made).map_err(|error| raise(py, &error))
    }

    /// (solid, saturation index).
    fn saturation_index(&self, py: Python<'_>) -> PyResult<Vec<(String, f64)>> {
        self.inner.saturation_index().map_err(|error| raise(py, &error))
    }

    /// pH at which a solid is just saturated.
    fn precipitation_ph(&self, py: Python<'_>, solid: &str) -> PyResult<Option<f64>> {
        self.inner.precipitation_ph(solid).map_err(|error| raise(py, &error))
    }

    /// log10 K of a solid that starts to precipitate at a pH.
    fn log_k_from_precipitation_ph(&self, py: Python<'_>, solid: &str, ph: f64) -> PyResult<f64> {
        self.inner.log_k_from_precipitation_ph(solid, ph).map_err(|error| raise(py, &error))
    }

    /// Potentials of couples with pure solids.
    fn couples(&self, py: Python<'_>) -> PyResult<Made<Vec<CouplePotential>>> {
        self.inner.couples().map(Made).map_err(|error| raise(py, &error))
    }

    /// One load and its course in time.
    #[pyo3(signature = (area_m2, minutes, substrate = None, activation = None))]
    fn plate(
        &self,
        py: Python<'_>,
        area_m2: f64,
        minutes: f64,
        substrate: Option<&str>,
        activation: Option<&str>,
    ) -> PyResult<Made<Plate>> {
        let plate = of_bath(py, &self.inner, |bath| {
            let plated = bath.plate_on(area_m2, minutes, substrate, activation)?;
            Ok(Plate { plated, columns: bath.load_curve(area_m2, minutes, substrate, activation)? })
        });
        plate.map(Made)
    }

    /// The recipe that made it.
    #[getter]
    fn recipe(&self) -> Recipe {
        Recipe { inner: self.inner.recipe().clone() }
    }
}
