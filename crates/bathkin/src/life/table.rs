//! The table of a life: one row at make-up, at every turnover, and at the end.

use serde::ser::{Serialize, SerializeMap, Serializer};

/// Columns with unit-suffixed names, all of one length.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Table {
    columns: Vec<(String, Vec<f64>)>,
}

impl Table {
    /// Adds a row given as (column, value); the first row fixes the columns.
    pub fn push(&mut self, row: Vec<(String, f64)>) {
        if self.columns.is_empty() {
            self.columns = row.into_iter().map(|(name, value)| (name, vec![value])).collect();
        } else {
            for ((_, values), (_, value)) in self.columns.iter_mut().zip(row) {
                values.push(value);
            }
        }
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
