//! The right-hand side, for those who bring their own integrator.

use bathkin::life::simulate::fresh_state;
use bathkin::tank::Balances;
use numpy::IntoPyArray;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;

use crate::classes::Recipe;
use crate::errors::raise;
use crate::typed::{Array, ReadArray1};
use crate::watched::of_recipe;

/// The balances of a tank: state, scale and time derivative.
#[pyclass(frozen, module = "bathkin._core")]
pub struct TankBalances {
    recipe: bathkin::Recipe,
    area_m2: f64,
}

#[pymethods]
impl TankBalances {
    /// The balances of a recipe's tank with a steady area in it.
    #[new]
    fn new(recipe: &Recipe, area_m2: f64) -> Self {
        TankBalances { recipe: recipe.inner.clone(), area_m2 }
    }

    /// Scaled state of the fresh bath.
    fn fresh_state<'py>(&self, py: Python<'py>) -> PyResult<Array<'py, f64>> {
        let model = self.recipe.model().map_err(|error| raise(py, &error))?;
        let balances = Balances::new(&model.tank, &model.fresh_totals_mol_l);
        Ok(Array(fresh_state(&balances, &model.fresh_totals_mol_l).into_pyarray(py)))
    }

    /// Unit of each state: mol, m² or L per unit of the scaled state.
    fn scale<'py>(&self, py: Python<'py>) -> PyResult<Array<'py, f64>> {
        let model = self.recipe.model().map_err(|error| raise(py, &error))?;
        let balances = Balances::new(&model.tank, &model.fresh_totals_mol_l);
        Ok(Array(balances.layout().scale().to_vec().into_pyarray(py)))
    }

    /// Time derivative of a scaled state, 1/s.
    fn derivative<'py>(&self, py: Python<'py>, state: ReadArray1<'_>) -> PyResult<Array<'py, f64>> {
        let model = self.recipe.model().map_err(|error| raise(py, &error))?;
        let balances = Balances::new(&model.tank, &model.fresh_totals_mol_l);
        balances.set_area_m2(self.area_m2);
        let state = state.as_slice()?;
        if state.len() != balances.layout().len() {
            let expected = balances.layout().len();
            return Err(PyValueError::new_err(format!(
                "the state has {expected} values, got {}",
                state.len()
            )));
        }
        let mut derivative = vec![0.0; state.len()];
        balances.derivative(state, &mut derivative).map_err(|error| raise(py, &error))?;
        Ok(Array(derivative.into_pyarray(py)))
    }

    /// The scaled state after a time in seconds, by the built-in integrator, with no event.
    fn integrate<'py>(
        &self,
        py: Python<'py>,
        seconds: f64,
        relative_tolerance: f64,
    ) -> PyResult<Array<'py, f64>> {
        let state = of_recipe(py, &self.recipe, |recipe| {
            let model = recipe.model()?;
            let (tank, fresh) = (&model.tank, &model.fresh_totals_mol_l);
            bathkin::life::single_load::carry(tank, fresh, self.area_m2, seconds, relative_tolerance)
        })?;
        Ok(Array(state.into_pyarray(py)))
    }
}
