//! The table of a life, a view of its rows: one at make-up, at every turnover, and at the end.

use serde::ser::{Serialize, SerializeMap, Serializer};

use crate::tank::quantity::Quantity;
use crate::tank::{Readings, Tank};

/// Columns with unit-suffixed names, all of one length.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Table {
    columns: Vec<(String, Vec<f64>)>,
}

impl Table {
    /// What the dictionary says of every row.
    pub fn of(tank: &Tank, rows: &[Readings]) -> Self {
        let column = |quantity: Quantity| {
            (quantity.name(tank), rows.iter().map(|row| quantity.value(tank, row)).collect())
        };
        Table { columns: Quantity::columns(tank).into_iter().map(column).collect() }
    }

    /// What a quantity is in a row; `NaN` where no column shows it.
    pub fn at(&self, tank: &Tank, quantity: Quantity, row: usize) -> f64 {
        let column = self.column(&quantity.name(tank));
        column.and_then(|values| values.get(row).copied()).unwrap_or(f64::NAN)
    }

    /// Adds a column of as many values as there are rows.
    pub fn add_column(&mut self, name: &str, values: Vec<f64>) {
        self.columns.push((name.to_owned(), values));
    }

    /// The columns, in order.
    pub fn columns(&self) -> &[(String, Vec<f64>)] {
        &self.columns
    }

    /// One column by name.
    pub fn column(&self, name: &str) -> Option<&[f64]> {
        self.columns.iter().find(|(column, _)| column == name).map(|(_, values)| values.as_slice())
    }

    /// Number of rows.
    pub fn rows(&self) -> usize {
        self.columns.first().map_or(0, |(_, values)| values.len())
    }
}

impl Serialize for Table {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.columns.len()))?;
        for (name, values) in &self.columns {
            map.serialize_entry(name, values)?;
        }
        map.end()
    }
}
