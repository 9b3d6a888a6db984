//! Recipes.

use std::collections::BTreeMap;

use bathkin::Flag;
use bathkin::document::Value;
use bathkin::life::Settings;
use bathkin::model::parameter::{DescribedParameter, Json, recipe_schema};
use bathkin::model::substance::{Substance, reagents};
use bathkin::model::{Heading, Parameter, Substrate};
use bathkin::recipe::numbers::RecipeValue;
use bathkin::recipe::{self, SpeciesConstant};
use bathkin::solution::Role;
use bathkin::study::{ApparentEnergy, Equations, Notation, SweepPoint, sweep};
use bathkin::tank::Quantity;
use bathkin::tank::quantity::Described;
use bathkin_fit::data::{check_log, empty_log};
use bathkin_fit::{Data, DataError};
use pyo3::exceptions::PyTypeError;
use pyo3::prelude::*;

use crate::classes::{Bath, Recipe};
use crate::errors::{raise, raise_data, raise_problem};
use crate::fit_options::{Given, sheets};
use crate::life::{Lived, simulate};
use crate::made::Made;
use crate::tables::{Moment, parts};
use crate::typed::{Progress, Raised, Setting};
use crate::watched::of_recipe;

/// Paths with their values, for Python.
pub(crate) type Set = Vec<(String, Setting)>;

/// A path, with mean and standard deviation where it has them.
type Width = (String, Option<(f64, f64)>);

/// Columns of a log, what is wrong with it, and what is hard to believe.
type Checked = (Vec<(String, String, String)>, Vec<(Option<String>, Raised)>, Vec<String>);

/// What a recipe is made again from: file, text, overrides.
type Arguments = (String, String, Set);

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
pub(crate) fn to_python(py: Python<'_>, settings: &[(String, Value)]) -> PyResult<Set> {
    settings.iter().map(|(path, value)| Ok((path.clone(), Setting(value_to_python(py, value)?)))).collect()
}

fn value_to_python(py: Python<'_>, value: &Value) -> PyResult<Py<PyAny>> {
    Ok(match value {
        Value::Number(number) => number.into_pyobject(py)?.into_any().unbind(),
        Value::Text(text) => text.into_pyobject(py)?.into_any().unbind(),
        Value::Flag(flag) => flag.into_pyobject(py)?.to_owned().into_any().unbind(),
        Value::List(list) => list.into_pyobject(py)?.into_any().unbind(),
    })
}

#[pymethods]
impl Recipe {
    /// From TOML text; `file` names it in messages. `overrides` are (path, value) pairs.
    #[new]
    #[pyo3(signature = (file, text, overrides = Vec::new()))]
    fn new(py: Python<'_>, file: &str, text: &str, overrides: Set) -> PyResult<Self> {
        let read = recipe::Recipe::from_toml(file, text).map_err(|error| raise(py, &error))?;
        let inner = overrides.iter().try_fold(read, |recipe, (path, value)| {
            Ok::<_, PyErr>(recipe.with(path, from_python(value.0.bind(py))?, "set"))
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
    fn with_value(&self, py: Python<'_>, path: &str, value: Setting, by: &str) -> PyResult<Self> {
        Ok(Recipe { inner: self.inner.with(path, from_python(value.0.bind(py))?, by) })
    }

    /// Checks every value.
    fn check(&self, py: Python<'_>) -> PyResult<()> {
        self.inner.model().map(|_| ()).map_err(|error| raise(py, &error))
    }

    /// Name, title, metal, reductant, backing, cautions, cite.
    fn heading(&self, py: Python<'_>) -> PyResult<Made<Heading>> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(Made(Heading::clone(&model.heading)))
    }

    /// The value at a path; None where the recipe sets none.
    fn value(&self, py: Python<'_>, path: &str) -> PyResult<Option<Py<PyAny>>> {
        self.inner.document().get(path).map(|entry| value_to_python(py, &entry.value)).transpose()
    }

    /// The moment of clock zero where a calendar of racks tells it.
    fn calendar_zero(&self, py: Python<'_>) -> PyResult<Option<Moment>> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(model.calendar_zero.map(parts))
    }

    /// Headings of its logs as the shop writes them, each with the heading it is read as.
    fn log_columns(&self, py: Python<'_>) -> PyResult<Vec<(String, String)>> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(model.log.columns.clone())
    }

    /// Headings of an empty log, each with what its example row has.
    fn empty_log(&self, py: Python<'_>) -> PyResult<Vec<(String, String)>> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(empty_log(model).into_iter().map(|column| (column.heading, column.example)).collect())
    }

    /// Path of its log.
    fn log_file(&self, py: Python<'_>) -> PyResult<Option<String>> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(model.log.file.clone())
    }

    /// Paths of all files of its log.
    fn log_files(&self, py: Python<'_>) -> PyResult<Vec<String>> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(model.log.file.iter().chain(&model.log.files).cloned().collect())
    }

    /// Sheet of a workbook that holds its log.
    fn log_sheet(&self, py: Python<'_>) -> PyResult<Option<String>> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(model.log.sheet.clone())
    }

    /// Name, words and unit of every column of a log; its problems, the column and the exception of each; its doubts.
    fn check_log(&self, py: Python<'_>, given: Given) -> PyResult<Checked> {
        let mut sheets = sheets(vec![given])?;
        let Some(Data::Log(log)) = sheets.pop() else { return Ok((Vec::new(), Vec::new(), Vec::new())) };
        let checked = py.detach(|| check_log(&self.inner, &log)).map_err(|error| raise(py, &error))?;
        let columns = checked.columns.into_iter().map(|one| (one.name, one.what, one.unit)).collect();
        let raised =
            |(column, error): (Option<String>, DataError)| (column, Raised(raise_problem(py, &error)));
        let doubts = checked.doubts.iter().map(ToString::to_string).collect();
        Ok((columns, checked.problems.into_iter().map(raised).collect(), doubts))
    }

    /// Warnings found when reading.
    fn flags(&self, py: Python<'_>) -> PyResult<Made<Vec<Flag>>> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(Made(model.flags.clone()))
    }

    /// Name of the alloying element's column; None for a pure metal.
    fn alloy_column(&self, py: Python<'_>) -> PyResult<Option<String>> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(Quantity::alloy(&model.tank).map(|alloy| alloy.name(&model.tank)))
    }

    /// What can be read off its bath.
    fn quantities(&self, py: Python<'_>) -> PyResult<Made<Vec<Described>>> {
        let tank = &self.inner.model().map_err(|error| raise(py, &error))?.tank;
        Ok(Made(Quantity::all(tank).into_iter().map(|quantity| quantity.described(tank)).collect()))
    }

    /// Words and unit of a limit or a column by its name.
    fn words(&self, py: Python<'_>, name: &str) -> PyResult<(String, String)> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(Quantity::words(&model.tank, name))
    }

    /// Roles of the components beside metal, reductant and by-product.
    fn roles(&self, py: Python<'_>) -> PyResult<Made<BTreeMap<String, Vec<Role>>>> {
        self.inner.roles().map(Made).map_err(|error| raise(py, &error))
    }

    /// Every value with its path, source, kind, range and place.
    fn numbers(&self) -> Made<Vec<RecipeValue<'_>>> {
        Made(self.inner.values())
    }

    /// The numbers that can be set.
    fn parameters(&self, py: Python<'_>) -> PyResult<Made<Vec<DescribedParameter>>> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(Made(model.parameters().iter().map(Parameter::described).collect()))
    }

    /// The JSON Schema of recipes like it and the built-in ones.
    fn schema(&self, py: Python<'_>) -> PyResult<Made<Json>> {
        let known = || -> bathkin::error::Result<Vec<recipe::Recipe>> {
            recipe::Recipe::built_in_names()
                .map(recipe::Recipe::built_in)
                .chain([Ok(self.inner.clone())])
                .collect()
        };
        let schema = known().and_then(|recipes| {
            let models =
                recipes.iter().map(recipe::Recipe::model).collect::<bathkin::error::Result<Vec<_>>>()?;
            Ok(recipe_schema(models))
        });
        schema.map(Made).map_err(|error| raise(py, &error))
    }

    /// The formation constants of its bath.
    fn constants(&self, py: Python<'_>) -> PyResult<Made<Vec<SpeciesConstant>>> {
        self.inner.constants().map(Made).map_err(|error| raise(py, &error))
    }

    /// The formation constants of the solids that can fall out of it.
    fn solid_constants(&self, py: Python<'_>) -> PyResult<Made<Vec<SpeciesConstant>>> {
        self.inner.solid_constants().map(Made).map_err(|error| raise(py, &error))
    }

    /// Its numbers that have a width: path, and mean and standard deviation; without them the prior of the recipe.
    fn widths(&self, py: Python<'_>, solids: bool) -> PyResult<Vec<Width>> {
        let found = bathkin_fit::widths(&self.inner, solids).map_err(|error| raise_data(py, &error))?;
        Ok(found.into_iter().map(|one| (one.path, one.normal)).collect())
    }

    /// Half-reactions, overall reaction and laws in a notation.
    fn equations(&self, py: Python<'_>, notation: &str) -> PyResult<Made<Equations>> {
        let notation = Notation::named(notation).map_err(|error| raise(py, &error))?;
        self.inner.equations(notation).map(Made).map_err(|error| raise(py, &error))
    }

    /// The activation energy it shows over the range of its temperature; None without a range.
    fn apparent_activation_energy(&self, py: Python<'_>) -> PyResult<Made<Option<ApparentEnergy>>> {
        self.inner.apparent_activation_energy().map(Made).map_err(|error| raise(py, &error))
    }

    /// The substrates of its metal and reductant.
    fn substrates(&self, py: Python<'_>) -> PyResult<Made<Vec<Substrate>>> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(Made(model.substrates.to_vec()))
    }

    /// Reagents and components with molar masses and spellings.
    fn reagents(&self, py: Python<'_>) -> PyResult<Made<Vec<Substance>>> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(Made(reagents(&model.chemistry, &model.own()).substances()))
    }

    /// The text it was read from.
    #[getter]
    fn text(&self) -> &str {
        self.inner.text()
    }

    /// The same with every change in its text.
    fn written(&self, py: Python<'_>) -> PyResult<Recipe> {
        self.inner.written().map(|inner| Recipe { inner }).map_err(|error| raise(py, &error))
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

    /// Tolerances of its lives.
    fn solver(&self, py: Python<'_>) -> PyResult<Made<Settings>> {
        let model = self.inner.model().map_err(|error| raise(py, &error))?;
        Ok(Made(model.settings.clone()))
    }

    /// What was changed since it was read: (path, value) in order.
    fn overrides(&self, py: Python<'_>) -> PyResult<Set> {
        to_python(py, self.inner.overrides())
    }

    /// The fresh bath.
    fn make_up(&self, py: Python<'_>) -> PyResult<Bath> {
        let inner = py.detach(|| self.inner.make_up()).map_err(|error| raise(py, &error))?;
        Ok(Bath { inner })
    }

    /// The life, what it came to, and its warnings; `progress` is called with the turnovers so far, now and then.
    #[pyo3(signature = (progress = None))]
    fn simulate_life(&self, py: Python<'_>, progress: Option<Progress>) -> PyResult<Lived> {
        simulate(py, &self.inner, progress)
    }

    /// Rates at every combination of values.
    fn sweep(&self, py: Python<'_>, varied: Vec<(String, Vec<f64>)>) -> PyResult<Made<Vec<SweepPoint>>> {
        of_recipe(py, &self.inner, |recipe| sweep(recipe, &varied)).map(Made)
    }
}

/// Names of the built-in recipes.
#[pyfunction]
pub fn built_in_recipes() -> Vec<String> {
    recipe::Recipe::built_in_names().map(str::to_owned).collect()
}

/// The built-in substrates of all families.
#[pyfunction]
pub fn built_in_substrates(py: Python<'_>) -> PyResult<Made<Vec<Substrate>>> {
    bathkin::model::built_in_substrates().map(Made).map_err(|error| raise(py, &error))
}

/// The built-in reagents and components.
#[pyfunction]
pub fn built_in_reagents(py: Python<'_>) -> PyResult<Made<Vec<Substance>>> {
    let (_, chemistry) = bathkin::model::database::built_in().map_err(|error| raise(py, &error))?;
    Ok(Made(reagents(chemistry, &[]).substances()))
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
