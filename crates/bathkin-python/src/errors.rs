//! From the core's errors to the exceptions of `bathkin.errors`.

use bathkin::Error;
use bathkin_fit::DataError;
use bathkin_fit::error::SheetProblem;
use bathkin_statistics::FitError;
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::made::Made;

/// Raises the exception class that fits, with the numbers and names as attributes.
pub fn raise(py: Python<'_>, error: &Error) -> PyErr {
    raise_as(py, error, error.to_string())
}

/// The same with a message that says more.
fn raise_as(py: Python<'_>, error: &Error, message: String) -> PyErr {
    const PLACE_OF_FAILURE: [&str; 5] = ["time_h", "residual", "worst", "total_mol_l", "free_mol_l"];
    let (class, attributes): (_, &[&str]) = match error {
        Error::UnknownName { .. } => ("UnknownNameError", &["name", "valid"]),
        _ if error.is_input() || matches!(error, Error::Stopped) => ("RecipeError", &[]),
        _ => ("ConvergenceError", &PLACE_OF_FAILURE),
    };
    let details = PyDict::new(py);
    for (name, value) in error.remark().values {
        if attributes.contains(&name.as_str())
            && let Err(failed) = details.set_item(name, Made(value))
        {
            return failed;
        }
    }
    new(py, class, message, Some(&details))
}

/// Raises what is wrong with a fit: the data, the recipe under them, or a search without an end.
pub fn raise_data(py: Python<'_>, error: &DataError) -> PyErr {
    match error {
        DataError::Cell { row, column, raw, .. } => {
            let details = PyDict::new(py);
            let filled = details
                .set_item("row", row)
                .and_then(|()| details.set_item("column", column))
                .and_then(|()| details.set_item("raw", raw));
            match filled {
                Ok(()) => new(py, "DataError", error.to_string(), Some(&details)),
                Err(failed) => failed,
            }
        }
        DataError::Sheet { problem: SheetProblem::Several(all), .. } => {
            let of = |one: &DataError| match one {
                DataError::Cell { .. } => raise_data(py, one),
                _ => new(py, "DataError", one.to_string(), None),
            };
            let each: Vec<Py<PyAny>> = all.iter().map(|one| of(one).into_value(py).into_any()).collect();
            let details = PyDict::new(py);
            match details.set_item("problems", each) {
                Ok(()) => new(py, "DataError", error.to_string(), Some(&details)),
                Err(failed) => failed,
            }
        }
        DataError::Recipe { error: of_recipe, .. } => raise_as(py, of_recipe, error.to_string()),
        DataError::NotConverged { refusal: Some(refusal), .. } => match refusal.as_ref() {
            DataError::Recipe { error: of_recipe, .. } if !of_recipe.is_input() => {
                raise_as(py, of_recipe, error.to_string())
            }
            _ => new(py, "ConvergenceError", error.to_string(), None),
        },
        DataError::NotConverged { .. } | DataError::Fit(FitError::NotConverged { .. }) => {
            new(py, "ConvergenceError", error.to_string(), None)
        }
        DataError::Fit(of_fit) => raise_fit(py, of_fit),
        _ => new(py, "DataError", error.to_string(), None),
    }
}

/// One of several problems of a table, whatever it is by itself.
pub fn raise_problem(py: Python<'_>, error: &DataError) -> PyErr {
    match error {
        DataError::Cell { .. } => raise_data(py, error),
        _ => new(py, "DataError", error.to_string(), None),
    }
}

/// Raises a data error.
pub fn raise_fit(py: Python<'_>, error: &FitError) -> PyErr {
    let details = PyDict::new(py);
    if let FitError::Value { row, column, value, .. } = error {
        let filled = details
            .set_item("row", row)
            .and_then(|()| details.set_item("column", column))
            .and_then(|()| details.set_item("raw", value.to_string()));
        if let Err(failed) = filled {
            return failed;
        }
    }
    new(py, "DataError", error.to_string(), Some(&details))
}

/// An exception of `bathkin.errors`, its details as keywords.
pub fn new(py: Python<'_>, class: &str, message: String, details: Option<&Bound<'_, PyDict>>) -> PyErr {
    let made = py
        .import("bathkin.errors")
        .and_then(|module| module.getattr(class))
        .and_then(|class| class.call((message,), details));
    match made {
        Ok(exception) => PyErr::from_value(exception),
        Err(failed) => failed,
    }
}
