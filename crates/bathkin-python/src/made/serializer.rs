//! The walk over a result.

use pyo3::IntoPyObjectExt;
use pyo3::prelude::*;
use pyo3::types::{PyString, PyTuple};
use serde::ser::{self, Impossible, Serialize};

use super::{CLASS, Value, instance};

/// Makes Python objects of what serialises.
#[derive(Clone, Copy)]
pub struct ToPython<'py>(pub Python<'py>);

/// Why an object cannot be made.
#[derive(Debug)]
pub struct Failed(PyErr);

impl From<PyErr> for Failed {
    fn from(error: PyErr) -> Self {
        Failed(error)
    }
}

impl From<Failed> for PyErr {
    fn from(failed: Failed) -> Self {
        failed.0
    }
}

impl std::fmt::Display for Failed {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.fmt(f)
    }
}

impl std::error::Error for Failed {}

impl ser::Error for Failed {
    fn custom<T: std::fmt::Display>(message: T) -> Self {
        Failed(pyo3::exceptions::PyTypeError::new_err(message.to_string()))
    }
}

type Made<'py> = Result<Value<'py>, Failed>;

impl<'py> ToPython<'py> {
    fn object<T: IntoPyObject<'py>>(self, value: T) -> Made<'py> {
        Ok(Value::Object(value.into_bound_py_any(self.0)?))
    }

    fn items(self) -> Items<'py> {
        Items { to: self, items: Vec::new() }
    }

    fn fields(self, class: Option<&str>) -> Fields<'py> {
        Fields { to: self, class: class.map(str::to_owned), key: None, fields: Vec::new() }
    }
}

/// Items of a list or a tuple.
pub struct Items<'py> {
    to: ToPython<'py>,
    items: Vec<Value<'py>>,
}

/// Named values: of a struct of this name, or of a mapping.
pub struct Fields<'py> {
    to: ToPython<'py>,
    class: Option<String>,
    key: Option<Bound<'py, PyAny>>,
    fields: Vec<(Bound<'py, PyAny>, Value<'py>)>,
}

impl<'py> Items<'py> {
    fn push<T: ?Sized + Serialize>(&mut self, value: &T) -> Result<(), Failed> {
        self.items.push(value.serialize(self.to)?);
        Ok(())
    }

    fn tuple(self) -> Made<'py> {
        let py = self.to.0;
        let items = self.items.into_iter().map(|item| item.plain(py)).collect::<PyResult<Vec<_>>>()?;
        Ok(Value::Object(PyTuple::new(py, items)?.into_any()))
    }
}

impl<'py> Fields<'py> {
    fn push<T: ?Sized + Serialize>(&mut self, name: Bound<'py, PyAny>, value: &T) -> Result<(), Failed> {
        self.fields.push((name, value.serialize(self.to)?));
        Ok(())
    }

    fn named<T: ?Sized + Serialize>(&mut self, name: &'static str, value: &T) -> Result<(), Failed> {
        self.push(PyString::intern(self.to.0, name).into_any(), value)
    }

    fn made(self) -> Made<'py> {
        match self.class {
            Some(class) => Ok(Value::Object(instance(self.to.0, &class, self.fields)?)),
            None => Ok(Value::Map(self.fields)),
        }
    }
}

impl<'py> ser::SerializeSeq for Items<'py> {
    type Ok = Value<'py>;
    type Error = Failed;

    fn serialize_element<T: ?Sized + Serialize>(&mut self, value: &T) -> Result<(), Failed> {
        self.push(value)
    }

    fn end(self) -> Made<'py> {
        Ok(Value::List(self.items))
    }
}

impl<'py> ser::SerializeTuple for Items<'py> {
    type Ok = Value<'py>;
    type Error = Failed;

    fn serialize_element<T: ?Sized + Serialize>(&mut self, value: &T) -> Result<(), Failed> {
        self.push(value)
    }

    fn end(self) -> Made<'py> {
        self.tuple()
    }
}

impl<'py> ser::SerializeTupleStruct for Items<'py> {
    type Ok = Value<'py>;
    type Error = Failed;

    fn serialize_field<T: ?Sized + Serialize>(&mut self, value: &T) -> Result<(), Failed> {
        self.push(value)
    }

    fn end(self) -> Made<'py> {
        self.tuple()
    }
}

impl<'py> ser::SerializeStruct for Fields<'py> {
    type Ok = Value<'py>;
    type Error = Failed;

    fn serialize_field<T: ?Sized + Serialize>(
        &mut self,
        name: &'static str,
        value: &T,
    ) -> Result<(), Failed> {
        self.named(name, value)
    }

    fn end(self) -> Made<'py> {
        self.made()
    }
}

impl<'py> ser::SerializeMap for Fields<'py> {
    type Ok = Value<'py>;
    type Error = Failed;

    fn serialize_key<T: ?Sized + Serialize>(&mut self, key: &T) -> Result<(), Failed> {
        self.key = Some(key.serialize(self.to)?.plain(self.to.0)?);
        Ok(())
    }

    fn serialize_value<T: ?Sized + Serialize>(&mut self, value: &T) -> Result<(), Failed> {
        let Some(key) = self.key.take() else { return Err(ser::Error::custom("a value without a key")) };
        self.push(key, value)
    }

    fn serialize_entry<K: ?Sized + Serialize, V: ?Sized + Serialize>(
        &mut self,
        key: &K,
        value: &V,
    ) -> Result<(), Failed> {
        let key = key.serialize(self.to)?.plain(self.to.0)?;
        if key.eq(CLASS)? {
            self.class = Some(value.serialize(self.to)?.plain(self.to.0)?.extract()?);
            return Ok(());
        }
        self.push(key, value)
    }

    fn end(self) -> Made<'py> {
        self.made()
    }
}

/// Methods for values that Python has as they are.
macro_rules! as_it_is {
    ($($method:ident: $kind:ty),* $(,)?) => {
        $(fn $method(self, value: $kind) -> Made<'py> {
            self.object(value)
        })*
    };
}

impl<'py> ser::Serializer for ToPython<'py> {
    type Ok = Value<'py>;
    type Error = Failed;
    type SerializeSeq = Items<'py>;
    type SerializeTuple = Items<'py>;
    type SerializeTupleStruct = Items<'py>;
    type SerializeTupleVariant = Impossible<Value<'py>, Failed>;
    type SerializeMap = Fields<'py>;
    type SerializeStruct = Fields<'py>;
    type SerializeStructVariant = Impossible<Value<'py>, Failed>;

    as_it_is!(
        serialize_bool: bool, serialize_i8: i8, serialize_i16: i16, serialize_i32: i32, serialize_i64: i64,
        serialize_u8: u8, serialize_u16: u16, serialize_u32: u32, serialize_u64: u64, serialize_char: char,
        serialize_str: &str, serialize_bytes: &[u8],
    );

    fn serialize_f32(self, value: f32) -> Made<'py> {
        Ok(Value::Number(value.into()))
    }

    fn serialize_f64(self, value: f64) -> Made<'py> {
        Ok(Value::Number(value))
    }

    fn serialize_none(self) -> Made<'py> {
        Ok(Value::Object(self.0.None().into_bound(self.0)))
    }

    fn serialize_some<T: ?Sized + Serialize>(self, value: &T) -> Made<'py> {
        value.serialize(self)
    }

    fn serialize_unit(self) -> Made<'py> {
        self.serialize_none()
    }

    fn serialize_unit_struct(self, name: &'static str) -> Made<'py> {
        self.object(name)
    }

    fn serialize_unit_variant(self, _: &'static str, _: u32, variant: &'static str) -> Made<'py> {
        self.object(variant)
    }

    fn serialize_newtype_struct<T: ?Sized + Serialize>(self, _: &'static str, value: &T) -> Made<'py> {
        value.serialize(self)
    }

    fn serialize_newtype_variant<T: ?Sized + Serialize>(
        self,
        _: &'static str,
        _: u32,
        _: &'static str,
        value: &T,
    ) -> Made<'py> {
        value.serialize(self)
    }

    fn serialize_seq(self, _: Option<usize>) -> Result<Items<'py>, Failed> {
        Ok(self.items())
    }

    fn serialize_tuple(self, _: usize) -> Result<Items<'py>, Failed> {
        Ok(self.items())
    }

    fn serialize_tuple_struct(self, _: &'static str, _: usize) -> Result<Items<'py>, Failed> {
        Ok(self.items())
    }

    fn serialize_tuple_variant(
        self,
        name: &'static str,
        _: u32,
        _: &'static str,
        _: usize,
    ) -> Result<Self::SerializeTupleVariant, Failed> {
        Err(ser::Error::custom(format!("{name}: no such variants cross to Python")))
    }

    fn serialize_map(self, _: Option<usize>) -> Result<Fields<'py>, Failed> {
        Ok(self.fields(None))
    }

    fn serialize_struct(self, name: &'static str, _: usize) -> Result<Fields<'py>, Failed> {
        Ok(self.fields(Some(name)))
    }

    fn serialize_struct_variant(
        self,
        name: &'static str,
        _: u32,
        _: &'static str,
        _: usize,
    ) -> Result<Self::SerializeStructVariant, Failed> {
        Err(ser::Error::custom(format!("{name}: no such variants cross to Python")))
    }
}
