//! The classes that hand each other out.

use pyo3::prelude::*;

/// A recipe document with its overrides.
#[pyclass(frozen, eq, module = "bathkin._core")]
#[derive(Clone, PartialEq)]
pub struct Recipe {
    pub(crate) inner: bathkin::Recipe,
}

/// A bath made up from a recipe.
#[pyclass(frozen, module = "bathkin._core")]
pub struct Bath {
    pub(crate) inner: bathkin::Bath,
}
