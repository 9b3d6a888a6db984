//! What has a type in Python, which the generated stub of the module names.

use std::collections::BTreeMap;

use bathkin::model::parameter::Json;
#[cfg(feature = "stub")]
use pyo3::inspect::{PyStaticConstant, PyStaticExpr};
#[cfg(feature = "stub")]
use pyo3::{type_hint_identifier, type_hint_subscript, type_hint_union};

/// What has a type in Python.
pub trait Classed {
    /// Its type.
    #[cfg(feature = "stub")]
    const CLASS: PyStaticExpr;
}

macro_rules! classes {
    ($($module:tt: $($rust:ty => $class:literal),+;)+) => {
        $($(impl crate::classed::Classed for $rust {
            #[cfg(feature = "stub")]
            const CLASS: pyo3::inspect::PyStaticExpr = pyo3::type_hint_identifier!($module, $class);
        })+)+
    };
}

classes! {
    "builtins": String => "str";
}

impl<T: Classed> Classed for &T {
    #[cfg(feature = "stub")]
    const CLASS: PyStaticExpr = T::CLASS;
}

impl<T: Classed> Classed for Vec<T> {
    #[cfg(feature = "stub")]
    const CLASS: PyStaticExpr = type_hint_subscript!(type_hint_identifier!("builtins", "list"), T::CLASS);
}

impl<T: Classed> Classed for Option<T> {
    #[cfg(feature = "stub")]
    const CLASS: PyStaticExpr =
        type_hint_union!(T::CLASS, PyStaticExpr::Constant { value: PyStaticConstant::None });
}

impl<T: Classed> Classed for BTreeMap<String, T> {
    #[cfg(feature = "stub")]
    const CLASS: PyStaticExpr =
        type_hint_subscript!(type_hint_identifier!("builtins", "dict"), String::CLASS, T::CLASS);
}

impl Classed for Json {
    #[cfg(feature = "stub")]
    const CLASS: PyStaticExpr = type_hint_subscript!(
        type_hint_identifier!("builtins", "dict"),
        String::CLASS,
        type_hint_identifier!("typing", "Any")
    );
}
