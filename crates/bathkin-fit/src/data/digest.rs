//! By what data are known again.

use bathkin::document::Digest;

use crate::data::sheet::{Data, Sheet};

/// Digest of what sheets hold, whatever their files are called: over names of columns, numbers of rows, and cells by
/// their bits.
pub fn digest(data: &[Data]) -> String {
    let mut digest = Digest::default();
    for of in data {
        let (kind, sheet): (&str, &Sheet) = match of {
            Data::Runs(sheet) => ("runs", sheet),
            Data::Log(sheet) => ("log", sheet),
        };
        digest.take(kind.as_bytes());
        sheet.rows.iter().for_each(|row| digest.take(&(*row as u64).to_le_bytes()));
        for (name, cells) in &sheet.columns {
            digest.take_text(name);
            // No cell is NaN: that stands for an empty one.
            cells.iter().for_each(|cell| digest.take_number(cell.unwrap_or(f64::NAN)));
        }
        for (name, words) in &sheet.labels {
            std::iter::once(name).chain(words).for_each(|text| digest.take_text(text));
        }
    }
    digest.to_string()
}
