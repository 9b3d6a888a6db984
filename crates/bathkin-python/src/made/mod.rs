//! Results of the core as the frozen dataclasses of `bathkin.*.results`: what serialises as a struct becomes the class
//! of that name, columns of numbers become read-only NumPy arrays.

mod classes;
mod serializer;

use numpy::{IntoPyArray, PyArray2, PyArrayMethods};
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use pyo3::sync::PyOnceLock;
use pyo3::types::{PyDict, PyList, PyTuple};
use serde::Serialize;

use serializer::ToPython;

use crate::classed::Classed;
use crate::typed::{Array, Columns};

/// A result on its way to Python.
pub struct Made<T>(pub T);

impl<'py, T: Serialize + Classed> IntoPyObject<'py> for Made<T> {
    type Target = PyAny;
    type Output = Bound<'py, PyAny>;
    type Error = PyErr;
    #[cfg(feature = "stub")]
    const OUTPUT_TYPE: pyo3::inspect::PyStaticExpr = T::CLASS;

    fn into_pyobject(self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        self.0.serialize(ToPython(py))?.plain(py)
    }
}

/// A column that Python may read and not change.
pub fn column<'py>(py: Python<'py>, values: Vec<f64>) -> Array<'py, f64> {
    let array = values.into_pyarray(py);
    array.readwrite().make_nonwriteable();
    Array(array)
}

/// Columns by name.
pub fn columns<'py, 'a>(
    py: Python<'py>,
    of: impl IntoIterator<Item = (&'a str, Vec<f64>)>,
) -> PyResult<Columns<'py>> {
    let columns = PyDict::new(py);
    for (name, values) in of {
        columns.set_item(name, column(py, values))?;
    }
    Ok(Columns(columns))
}

/// The key under which a struct with flattened parts names its class.
const CLASS: &str = "class";

/// A value that is a list or a column, as the class that gets it says.
pub enum Value<'py> {
    Number(f64),
    List(Vec<Value<'py>>),
    Map(Vec<(Bound<'py, PyAny>, Value<'py>)>),
    Object(Bound<'py, PyAny>),
}

impl<'py> Value<'py> {
    fn plain(self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        match self {
            Value::Number(number) => Ok(number.into_pyobject(py)?.into_any()),
            Value::List(values) => {
                let items = values.into_iter().map(|value| value.plain(py)).collect::<PyResult<Vec<_>>>()?;
                Ok(PyList::new(py, items)?.into_any())
            }
            Value::Map(items) => dictionary(py, items, Value::plain),
            Value::Object(object) => Ok(object),
        }
    }

    fn number(&self) -> PyResult<f64> {
        match self {
            Value::Number(number) => Ok(*number),
            _ => Err(PyValueError::new_err("a column holds something else than numbers")),
        }
    }

    fn numbers(&self) -> PyResult<Vec<f64>> {
        match self {
            Value::List(values) => values.iter().map(Value::number).collect(),
            _ => Err(PyValueError::new_err("a column is no list")),
        }
    }

    /// A column, a table of rows, or columns by name.
    fn columns(self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        match self {
            Value::Map(items) => dictionary(py, items, Value::columns),
            Value::List(rows) if rows.iter().any(|row| matches!(row, Value::List(_))) => {
                let rows = rows.iter().map(Value::numbers).collect::<PyResult<Vec<_>>>()?;
                let array = PyArray2::from_vec2(py, &rows)?;
                array.readwrite().make_nonwriteable();
                Ok(array.into_any())
            }
            Value::Object(none) if none.is_none() => Ok(none),
            list => Ok(column(py, list.numbers()?).0.into_any()),
        }
    }
}

fn dictionary<'py>(
    py: Python<'py>,
    items: Vec<(Bound<'py, PyAny>, Value<'py>)>,
    of: fn(Value<'py>, Python<'py>) -> PyResult<Bound<'py, PyAny>>,
) -> PyResult<Bound<'py, PyAny>> {
    let made = PyDict::new(py);
    for (name, value) in items {
        made.set_item(name, of(value, py)?)?;
    }
    Ok(made.into_any())
}

/// An instance of the class of this name.
fn instance<'py>(
    py: Python<'py>,
    name: &str,
    fields: Vec<(Bound<'py, PyAny>, Value<'py>)>,
) -> PyResult<Bound<'py, PyAny>> {
    static CLASSES: PyOnceLock<Py<PyDict>> = PyOnceLock::new();
    let classes = CLASSES.import(py, "bathkin.core.result", "CLASSES")?;
    let class = classes.as_any().get_item(name)?;
    let arrays = class.getattr("_ARRAYS")?;
    let values = PyDict::new(py);
    for (field, value) in fields {
        let is_column = arrays.contains(&field)?;
        let value = if is_column { value.columns(py)? } else { value.plain(py)? };
        values.set_item(field, value)?;
    }
    class.call(PyTuple::empty(py), Some(&values))
}
