//! Recipes.

use bathkin::document::Value;
use bathkin::recipe;
use bathkin::study::Notation;
use bathkin::tank::Quantity;
use pyo3::exceptions::PyTypeError;
use pyo3::prelude::*;
use serde::Serialize;

use crate::bath::Bath;
use crate::errors::raise;
use crate::json::json;
use crate::life::{Life, simulate};
use crate::watched::of_recipe;

/// A recipe document with its overrides.
#[pyclass(frozen, eq, module = "bathkin._core")]
#[derive(Clone, PartialEq)]
pub struct Recipe {
    pub(crate) inner: recipe::Recipe,
}

#[derive(Serialize)]
struct Number<'a> {
    path: &'a str,
    value: serde_json::Value,
    source: Option<&'a str>,
    kind: Option<bathkin::solution::Kind>,
    range: Option<(f64, f64)>,
    place: String,
}

/// Paths with their values, for Python.
pub(crate) type Settings = Vec<(String, Py<PyAny>)>;

/// What a recipe is made again from: file, text, overrides.
type Arguments = (String, String, Settings);

fn plain(value: &Value) -> serde_json::Value {
    match value {
        Value::Number(number) => (*number).into(),
        Value::Text(text) => text.clone().into(),
        Value::Flag(flag) => (*flag).into(),
        Value::List(list) => list.clone().into(),
    }
}

/// One value of a recipe from Python: a number, a string or true/false.
pub(crate) fn from_python(value: &Bound<'_, PyAny>) -> PyResult<Value> {
    // A Python bool is a number too, so it comes first.
    if let Ok(flag) = value.extract::<bool>() {
        Ok(Value::Flag(flag))
    } else if let Ok(number) = value.extract::<f64>() {
        Ok(Value::Number(number))
    } else if let Ok(text) = value.extract::<String>() {
        Ok(Value::Text(text))
    } else {
        Err(PyTypeError::new_err("a recipe value is a number, a string or true/false"))
    }
}

/// Paths and values of a recipe, to Python.
pub(crate) fn to_python(py: Python<'_>, settings: &[(String, Value)]) -> PyResult<Settings> {
    settings
        .iter()
        .map(|(path, value)| {
            let value = match value {
                Value::Number(number) => number.into_pyobject(py)?.into_any().unbind(),
                Value::Text(text) => text.into_pyobject(py)?.into_any().unbind(),
                Value::Flag(flag) => flag.into_pyobject(py)?.to_owned().into_any().unbind(),
                Value::List(list) => list.into_pyobject(py)?.into_any().unbind(),
            };
            Ok((path.clone(), value))
        })
        .collect()
}

#[pymethods]
impl Recipe {
    /// From TOML text; `file` names it in messages. `overrides` are (path, value) pairs.
    #[new]
    #[pyo3(signature = (file, text, overrides = Vec::new()))]
    fn new(
        py: Python<'_>,
        file: &str,
        text: &str,
        overrides: Vec<(String, Bound<'_, PyAny>)>,
    ) -> PyResult<Self> {
        let read = recipe::Recipe::from_toml(file, text).map_err(|error| raise(py, &error))?;
        let inner = overrides.iter().try_fold(read, |recipe, (path, value)| {
            Ok::<_, PyErr>(recipe.with(path, from_python(value)?, "set"))
        })?;
        Ok(Recipe { inner })
    }

    /// A built-in name or a path.
    #[staticmethod]
    fn load(py: Python<'_>, name_or_path: &str) -> PyResult<Self> {
        let inner = recipe::Recipe::load(name_or_path).map_err(|error| raise(py, &error))?;
        Ok(Recipe { inner })
    }

    fn __getnewargs__(&self, py: Python<'_>) -> PyResult<Arguments> {
        let overrides = to_python(py, self.inner.overrides())?;
        Ok((self.inner.document().file.clone(), self.inner.text().to_owned(), overrides))
    }

    /// This recipe with one value changed; `by` is named in messages.
    fn with_value(&self, path: &str, value: &Bound<'_, PyAny>, by: &str) -> PyResult<Self> {
        Ok(Recipe { inner: self.inner.with(path, from_python(value)?, by) })
    }

    /// Name, title, metal, reductant, backing, cautions, cite, as JSON. Checks every value.
    fn heading(&self, py: Python<'_>) -> PyResult<String> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(json(&model.heading))
    }

    /// Warnings found when reading, as JSON.
    fn flags(&self, py: Python<'_>) -> PyResult<String> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(json(&model.flags))
    }

    /// Name of the alloying element's column; None for a pure metal.
    fn alloy_column(&self, py: Python<'_>) -> PyResult<Option<String>> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(Quantity::alloy(&model.tank).map(|alloy| alloy.name(&model.tank)))
    }

    /// What can be read off its bath, as JSON.
    fn quantities(&self, py: Python<'_>) -> PyResult<String> {
        let tank = &self.inner.model().map_err(|error| raise(py, &error))?.tank;
        let described = Quantity::all(tank).into_iter().map(|quantity| quantity.described(tank));
        Ok(json(&described.collect::<Vec<_>>()))
    }

    /// Words and unit of a limit or a column by its name.
    fn words(&self, py: Python<'_>, name: &str) -> PyResult<(String, String)> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(Quantity::words(&model.tank, name))
    }

    /// Name of the by-product.
    fn by_product(&self, py: Python<'_>) -> PyResult<String> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(model.heading.by_product.clone())
    }

    /// Roles of the components beside metal, reductant and by-product, as JSON.
    fn roles(&self, py: Python<'_>) -> PyResult<String> {
        self.inner.roles().map(|roles| json(&roles)).map_err(|error| raise(py, &error))
    }

    /// Every value with its path, source, kind, range and place, as JSON.
    fn numbers(&self) -> String {
        let entries: Vec<Number> = self
            .inner
            .document()
            .entries()
            .iter()
            .map(|entry| Number {
                path: &entry.path,
                value: plain(&entry.value),
                source: entry.source.as_ref().map(|source| source.text.as_str()),
                kind: entry.source.as_ref().map(|source| source.kind),
                range: entry.range,
                place: entry.place.to_string(),
            })
            .collect();
        json(&entries)
    }

    /// The formation constants of its bath, as JSON.
    fn constants(&self, py: Python<'_>) -> PyResult<String> {
        self.inner.constants().map(|constants| json(&constants)).map_err(|error| raise(py, &error))
    }

    /// The formation constants of the solids that can fall out of it, as JSON.
    fn solid_constants(&self, py: Python<'_>) -> PyResult<String> {
        self.inner.solid_constants().map(|constants| json(&constants)).map_err(|error| raise(py, &error))
    }

    /// Half-reactions, overall reaction and laws in a notation, as JSON.
    fn equations(&self, py: Python<'_>, notation: &str) -> PyResult<String> {
        let notation = Notation::named(notation).map_err(|error| raise(py, &error))?;
        let equations = self.inner.equations(notation).map_err(|error| raise(py, &error))?;
        Ok(json(&equations))
    }

    /// The activation energy it shows over the range of its temperature, as JSON; `null` without a range.
    fn apparent_activation_energy(&self, py: Python<'_>) -> PyResult<String> {
        let energy = self.inner.apparent_activation_energy().map_err(|error| raise(py, &error))?;
        Ok(json(&energy))
    }

    /// The substrates of its metal and reductant, as JSON.
    fn substrates(&self, py: Python<'_>) -> PyResult<String> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(json(&model.substrates))
    }

    /// Reagents and components with molar masses and spellings, as JSON.
    fn reagents(&self, py: Python<'_>) -> PyResult<String> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(json(&bathkin::model::substance::reagents(&model.chemistry, &model.own())))
    }

    /// The text it was read from.
    #[getter]
    fn text(&self) -> &str {
        self.inner.text()
    }

    /// The file it was read from.
    #[getter]
    fn file(&self) -> &str {
        &self.inner.document().file
    }

    /// Files that it is read from: its own, unless it is built in, and a calendar.
    fn files(&self) -> Vec<String> {
        self.inner.files()
    }

    /// The document with everything merged into it, as TOML.
    fn merged(&self) -> String {
        self.inner.merged()
    }

    /// Tolerances of its lives, as JSON.
    fn solver(&self, py: Python<'_>) -> PyResult<String> {
        #[derive(Serialize)]
        struct Solver {
            relative_tolerance: f64,
            event_time_tolerance_s: f64,
            max_steps: u32,
            longest_clock_h: f64,
        }
        let settings = &self.inner.model().map_err(|error| raise(py, &error))?.settings;
        Ok(json(&Solver {
            relative_tolerance: settings.relative_tolerance,
            event_time_tolerance_s: settings.event_time_tolerance_s,
            max_steps: settings.max_steps,
            longest_clock_h: settings.longest_clock_h,
        }))
    }

    /// What was changed since it was read: (path, value) in order.
    fn overrides(&self, py: Python<'_>) -> PyResult<Settings> {
        to_python(py, self.inner.overrides())
    }

    /// The fresh bath.
    fn make_up(&self, py: Python<'_>) -> PyResult<Bath> {
        let inner = py.detach(|| self.inner.make_up()).map_err(|error| raise(py, &error))?;
        Ok(Bath { inner })
    }

    /// The life; `progress` is called with the turnovers so far, now and then.
    #[pyo3(signature = (progress = None))]
    fn simulate_life(&self, py: Python<'_>, progress: Option<Py<PyAny>>) -> PyResult<Life> {
        simulate(py, &self.inner, progress)
    }

    /// Rates at every combination of values, each as JSON.
    fn sweep(&self, py: Python<'_>, varied: Vec<(String, Vec<f64>)>) -> PyResult<Vec<String>> {
        #[derive(Serialize)]
        struct Point {
            settings: Vec<(String, f64)>,
            rate: Option<bathkin::Rate>,
            failure: Option<String>,
            flags: Vec<bathkin::Flag>,
            reason: Option<String>,
            alloy_reason: Option<String>,
            free_metal_reason: Option<String>,
        }
        let written = |point: bathkin::study::SweepPoint| {
            json(&Point {
                settings: point.settings,
                rate: point.rate,
                failure: point.failure,
                flags: point.flags,
                reason: point.reason,
                alloy_reason: point.alloy_reason,
                free_metal_reason: point.free_metal_reason,
            })
        };
        of_recipe(py, &self.inner, |recipe| {
            Ok(bathkin::study::sweep(recipe, &varied)?.into_iter().map(written).collect())
        })
    }
}

/// Names of the built-in recipes.
#[pyfunction]
pub fn built_in_recipes() -> Vec<String> {
    recipe::Recipe::built_in_names().map(str::to_owned).collect()
}

/// The built-in substrates of all families, as JSON.
#[pyfunction]
pub fn built_in_substrates(py: Python<'_>) -> PyResult<String> {
    let found = bathkin::model::built_in_substrates().map_err(|error| raise(py, &error))?;
    Ok(json(&found))
}

/// The built-in reagents and components, as JSON.
#[pyfunction]
pub fn built_in_reagents(py: Python<'_>) -> PyResult<String> {
    let (_, chemistry) = bathkin::model::database::built_in().map_err(|error| raise(py, &error))?;
    Ok(json(&bathkin::model::substance::reagents(chemistry, &[])))
}

/// Bath carried out, L, from what was added of a salt that nothing uses up.
#[pyfunction]
pub fn drag_out_from_use_l(
    py: Python<'_>,
    added_g: f64,
    held_g_l: f64,
    consumed_by_reaction: bool,
) -> PyResult<f64> {
    bathkin::tank::drag_out::drag_out_from_use_l(added_g, held_g_l, consumed_by_reaction)
        .map_err(|error| raise(py, &error))
}

/// Area plated by one turnover, m².
#[pyfunction]
pub fn area_per_turnover_m2(
    volume_l: f64,
    metal_g_l: f64,
    thickness_um: f64,
    alloy_wt_pct: f64,
    density_g_cm3: f64,
) -> f64 {
    bathkin::deposit::layer::area_per_turnover_m2(
        volume_l,
        metal_g_l,
        thickness_um,
        alloy_wt_pct,
        density_g_cm3,
    )
}
