//! By what data are known again.

use crate::data::sheet::{Data, Sheet};

/// Digest of what sheets hold, whatever their files are called: FNV-1a of 64 bits (G. Fowler, L. C. Noll, K.-P.
/// Vo), over names of columns, numbers of rows, and cells by their bits.
pub fn digest(data: &[Data]) -> String {
    const BASIS: u64 = 0xcbf2_9ce4_8422_2325;
    const PRIME: u64 = 0x0000_0100_0000_01b3;
    let mut hash = BASIS;
    let mut eat =
        |bytes: &[u8]| bytes.iter().for_each(|byte| hash = (hash ^ u64::from(*byte)).wrapping_mul(PRIME));
    // Not the end of any text, so that columns cannot run into each other.
    const END: [u8; 1] = [0xff];
    for of in data {
        let (kind, sheet): (&str, &Sheet) = match of {
            Data::Runs(sheet) => ("runs", sheet),
            Data::Log(sheet) => ("log", sheet),
        };
        eat(kind.as_bytes());
        sheet.rows.iter().for_each(|row| eat(&(*row as u64).to_le_bytes()));
        for (name, cells) in &sheet.columns {
            eat(name.as_bytes());
            eat(&END);
            for cell in cells {
                // No cell is NaN: that stands for an empty one.
                eat(&cell.unwrap_or(f64::NAN).to_bits().to_le_bytes());
            }
        }
        for (name, words) in &sheet.labels {
            for text in std::iter::once(name).chain(words) {
                eat(text.as_bytes());
                eat(&END);
            }
        }
    }
    format!("fnv1a-{hash:016x}")
}
