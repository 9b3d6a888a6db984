//! What crosses the border as it is, with the Python type that the generated stub names.

use std::ops::Deref;

use numpy::{Element, Ix1, Ix2, PyArray1, PyReadonlyArray};
#[cfg(feature = "stub")]
use pyo3::inspect::PyStaticExpr;
use pyo3::prelude::*;
use pyo3::types::PyDict;
#[cfg(feature = "stub")]
use pyo3::{type_hint_identifier, type_hint_subscript, type_hint_union};

use crate::classed::Classed;

/// `NDArray` of a type of numbers.
#[cfg(feature = "stub")]
macro_rules! array_of {
    ($number:expr) => {
        type_hint_subscript!(
            type_hint_identifier!("numpy.typing", "NDArray"),
            type_hint_identifier!("numpy", $number)
        )
    };
}

/// Numbers of an array from Python.
pub struct ReadArray<'py, D: numpy::ndarray::Dimension>(PyReadonlyArray<'py, f64, D>);
/// A column from Python.
pub type ReadArray1<'py> = ReadArray<'py, Ix1>;
/// A table of rows from Python.
pub type ReadArray2<'py> = ReadArray<'py, Ix2>;

impl<'a, 'py, D: numpy::ndarray::Dimension + 'static> FromPyObject<'a, 'py> for ReadArray<'py, D> {
    type Error = <PyReadonlyArray<'py, f64, D> as FromPyObject<'a, 'py>>::Error;
    #[cfg(feature = "stub")]
    const INPUT_TYPE: PyStaticExpr = array_of!("float64");

    fn extract(given: Borrowed<'a, 'py, PyAny>) -> Result<Self, Self::Error> {
        given.extract().map(ReadArray)
    }
}

impl<'py, D: numpy::ndarray::Dimension> Deref for ReadArray<'py, D> {
    type Target = PyReadonlyArray<'py, f64, D>;

    fn deref(&self) -> &Self::Target {
        &self.0
    }
}

/// Numbers that NumPy has a name for.
pub trait Number: Element {
    /// Its type.
    #[cfg(feature = "stub")]
    const ARRAY: PyStaticExpr;
}

macro_rules! numbers {
    ($($number:ty => $name:literal),+) => {
        $(impl Number for $number {
            #[cfg(feature = "stub")]
            const ARRAY: PyStaticExpr = array_of!($name);
        })+
    };
}

numbers!(f64 => "float64", u16 => "uint16", u64 => "uint64");

/// A column for Python.
pub struct Array<'py, T>(pub Bound<'py, PyArray1<T>>);

impl<'py, T: Number> IntoPyObject<'py> for Array<'py, T> {
    type Target = PyArray1<T>;
    type Output = Bound<'py, PyArray1<T>>;
    type Error = std::convert::Infallible;
    #[cfg(feature = "stub")]
    const OUTPUT_TYPE: PyStaticExpr = T::ARRAY;

    fn into_pyobject(self, _: Python<'py>) -> Result<Self::Output, Self::Error> {
        Ok(self.0)
    }
}

/// Columns by name for Python.
pub struct Columns<'py>(pub Bound<'py, PyDict>);

impl<'py> IntoPyObject<'py> for Columns<'py> {
    type Target = PyDict;
    type Output = Bound<'py, PyDict>;
    type Error = std::convert::Infallible;
    #[cfg(feature = "stub")]
    const OUTPUT_TYPE: PyStaticExpr =
        type_hint_subscript!(type_hint_identifier!("builtins", "dict"), String::CLASS, array_of!("float64"));

    fn into_pyobject(self, _: Python<'py>) -> Result<Self::Output, Self::Error> {
        Ok(self.0)
    }
}

/// What is called with how much is done.
pub struct Progress(pub Py<PyAny>);

impl<'py> FromPyObject<'_, 'py> for Progress {
    type Error = std::convert::Infallible;
    #[cfg(feature = "stub")]
    const INPUT_TYPE: PyStaticExpr = type_hint_subscript!(
        type_hint_identifier!("collections.abc", "Callable"),
        PyStaticExpr::List { elts: &[type_hint_identifier!("builtins", "float")] },
        type_hint_identifier!("builtins", "object")
    );

    fn extract(given: Borrowed<'_, 'py, PyAny>) -> Result<Self, Self::Error> {
        Ok(Progress(given.to_owned().unbind()))
    }
}

/// What a path of a recipe is set to: a number, a string or true/false.
pub struct Setting(pub Py<PyAny>);

#[cfg(feature = "stub")]
const SETTING: PyStaticExpr = type_hint_union!(
    type_hint_identifier!("builtins", "float"),
    type_hint_identifier!("builtins", "str"),
    type_hint_identifier!("builtins", "bool")
);

impl<'py> FromPyObject<'_, 'py> for Setting {
    type Error = std::convert::Infallible;
    #[cfg(feature = "stub")]
    const INPUT_TYPE: PyStaticExpr = SETTING;

    fn extract(given: Borrowed<'_, 'py, PyAny>) -> Result<Self, Self::Error> {
        Ok(Setting(given.to_owned().unbind()))
    }
}

impl<'py> IntoPyObject<'py> for Setting {
    type Target = PyAny;
    type Output = Bound<'py, PyAny>;
    type Error = std::convert::Infallible;
    #[cfg(feature = "stub")]
    const OUTPUT_TYPE: PyStaticExpr = SETTING;

    fn into_pyobject(self, py: Python<'py>) -> Result<Self::Output, Self::Error> {
        Ok(self.0.into_bound(py))
    }
}

/// An exception that is handed over, not raised.
pub struct Raised(pub PyErr);

impl<'py> IntoPyObject<'py> for Raised {
    type Target = PyAny;
    type Output = Bound<'py, PyAny>;
    type Error = std::convert::Infallible;
    #[cfg(feature = "stub")]
    const OUTPUT_TYPE: PyStaticExpr = type_hint_identifier!("bathkin.errors", "DataError");

    fn into_pyobject(self, py: Python<'py>) -> Result<Self::Output, Self::Error> {
        Ok(self.0.into_value(py).into_bound(py).into_any())
    }
}

/// The attributes of an object of a class.
pub struct Attributes<T>(pub T);

impl<'a, 'py, T: Classed + FromPyObject<'a, 'py>> FromPyObject<'a, 'py> for Attributes<T> {
    type Error = T::Error;
    #[cfg(feature = "stub")]
    const INPUT_TYPE: PyStaticExpr = T::CLASS;

    fn extract(given: Borrowed<'a, 'py, PyAny>) -> Result<Self, Self::Error> {
        T::extract(given).map(Attributes)
    }
}
