//! Where the values of members come from, as Python says it.

use bathkin::study::ensemble::Design;
use bathkin_fit::estimate::Prior;
use bathkin_statistics::FitError;
use bathkin_statistics::distribution::Distribution;
use bathkin_statistics::morris::MorrisSample;
use bathkin_statistics::sobol::Sobol;
use bathkin_statistics::sobol_indices::SobolSample;
use numpy::IntoPyArray;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use pyo3::types::PyTuple;

use crate::errors::{new, raise_data, raise_fit};
use crate::typed::{Array, ReadArray1};

/// Kind, columns of values, distributions by name with their numbers, and sizes:
///
/// | kind | sizes |
/// |---|---|
/// | table | its first member |
/// | grid | |
/// | random, sobol | members |
/// | indices | points of a scrambling, scramblings |
/// | effects | trajectories, levels |
#[derive(Clone)]
pub struct Draws {
    kind: String,
    columns: Vec<Vec<f64>>,
    distributions: Vec<(String, Vec<f64>)>,
    sizes: Vec<u64>,
}

/// As they come from Python.
type Given<'py> = (String, Vec<ReadArray1<'py>>, Vec<(String, Vec<f64>)>, Vec<u64>);

/// As they go back.
type Returned<'py> = (String, Vec<Array<'py, f64>>, Vec<(String, Vec<f64>)>, Vec<u64>);

impl<'a, 'py> FromPyObject<'a, 'py> for Draws {
    type Error = PyErr;
    #[cfg(feature = "stub")]
    const INPUT_TYPE: pyo3::inspect::PyStaticExpr = <Given<'_> as FromPyObject<'_, '_>>::INPUT_TYPE;

    fn extract(given: Borrowed<'a, 'py, PyAny>) -> PyResult<Self> {
        let (kind, columns, distributions, sizes): Given = given.extract()?;
        let columns =
            columns.iter().map(|column| Ok(column.as_slice()?.to_vec())).collect::<PyResult<_>>()?;
        Ok(Draws { kind, columns, distributions, sizes })
    }
}

impl<'py> IntoPyObject<'py> for Draws {
    type Target = PyTuple;
    type Output = Bound<'py, PyTuple>;
    type Error = PyErr;
    #[cfg(feature = "stub")]
    const OUTPUT_TYPE: pyo3::inspect::PyStaticExpr = <Returned<'_> as IntoPyObject<'_>>::OUTPUT_TYPE;

    fn into_pyobject(self, py: Python<'py>) -> PyResult<Self::Output> {
        let columns = self.columns.into_iter().map(|column| Array(column.into_pyarray(py))).collect();
        let returned: Returned<'py> = (self.kind, columns, self.distributions, self.sizes);
        returned.into_pyobject(py)
    }
}

impl Draws {
    /// What they are to the core.
    pub fn design(
        &self,
        py: Python<'_>,
        recipe: &bathkin::Recipe,
        paths: &[String],
        seed: u64,
    ) -> PyResult<Design> {
        let columns = self.columns.clone();
        let of = paths.iter().zip(&self.distributions);
        let of = of.map(|(path, one)| distribution(py, recipe, path, one)).collect::<PyResult<Vec<_>>>()?;
        let refused = |error: FitError| raise_fit(py, &error);
        match (self.kind.as_str(), self.sizes.as_slice()) {
            ("table", &[first]) => Ok(Design::Table { first, columns }),
            ("grid", _) => Ok(Design::Grid(columns)),
            ("random", &[count]) => Ok(Design::Random { of, count, seed }),
            ("sobol", &[count]) => {
                let points = Sobol::scrambled(of.len(), seed).map_err(refused)?;
                Ok(Design::Sobol { of, count, points })
            }
            ("indices", &[base, scrambles]) => {
                let sample = SobolSample::new(of.len(), base, scrambles as usize, seed).map_err(refused)?;
                Ok(Design::Indices { of, sample })
            }
            ("effects", &[trajectories, levels]) => {
                let sample =
                    MorrisSample::new(of.len(), levels as usize, trajectories, seed).map_err(refused)?;
                Ok(Design::Effects { of, sample })
            }
            _ => Err(PyValueError::new_err("these are no draws")),
        }
    }

    /// The rows of some members of a table; none of other draws.
    pub fn rows(&self, from: u64, to: u64) -> Option<Draws> {
        if self.kind != "table" {
            return None;
        }
        let first = self.sizes.first().copied().unwrap_or(0);
        let rows = (from - first) as usize..(to - first) as usize;
        let columns = self.columns.iter().map(|column| column[rows.clone()].to_vec()).collect();
        Some(Draws { columns, sizes: vec![from], kind: self.kind.clone(), distributions: Vec::new() })
    }
}

/// A distribution by its name; a prior is that of the recipe where no numbers stand with it.
fn distribution(
    py: Python<'_>,
    recipe: &bathkin::Recipe,
    path: &str,
    (name, numbers): &(String, Vec<f64>),
) -> PyResult<Distribution> {
    if name == "prior" {
        let given = |mean, standard_deviation| Prior { path: path.to_owned(), mean, standard_deviation };
        let prior = match numbers.as_slice() {
            [mean, standard_deviation] => Ok(given(*mean, *standard_deviation)),
            _ => Prior::from_recipe(recipe, path),
        };
        let spread = prior.and_then(|prior| prior.distribution(recipe));
        return spread.map_err(|error| raise_data(py, &error));
    }
    Distribution::named(name, numbers).ok_or_else(|| {
        let takes = Distribution::NAMED.iter().find(|(known, _)| known == name);
        let expected = match takes {
            Some((_, takes)) => format!("{takes}, finite, in order, standard deviations above zero"),
            None => {
                let known: Vec<&str> = Distribution::NAMED.iter().map(|(known, _)| *known).collect();
                format!("{} or prior", known.join(", "))
            }
        };
        let numbers: Vec<String> = numbers.iter().map(f64::to_string).collect();
        let told = format!("ensemble: {path} = {name}({}): expected {expected}", numbers.join(", "));
        new(py, "RecipeError", told, None)
    })
}
