//! Slips of the pen in a log: what was read is written down wrong, and the shop goes on by what was read.

use bathkin_fit::Sheet;

/// How a number was written down wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Slip {
    /// With its point one place to the right.
    TenTimes,
    /// With its point one place to the left.
    ATenth,
    /// Its two digits swapped: 5.8 as 8.5.
    Swapped,
    /// Larger by this part.
    By(f64),
}

impl Slip {
    /// A number as it is written down, and as it should be: both in tenths where digits are swapped.
    pub fn of(self, value: f64) -> (f64, f64) {
        match self {
            Slip::TenTimes => (10.0 * value, value),
            Slip::ATenth => (value / 10.0, value),
            Slip::By(part) => ((1.0 + part) * value, value),
            Slip::Swapped => {
                let tenths = (10.0 * value).round();
                ((10.0 * (tenths % 10.0) + (tenths / 10.0).floor()) / 10.0, tenths / 10.0)
            }
        }
    }
}

/// A log with a slip in a column of a row (counted from 0), and what should stand there.
///
/// # Panics
/// Where nothing stands there.
pub fn slipped(log: &Sheet, column: &str, row: usize, slip: Slip) -> (Sheet, f64) {
    let mut log = log.clone();
    let cells = log.columns.iter_mut().find(|(name, _)| name == column).map(|(_, cells)| cells);
    let cell = cells.and_then(|cells| cells[row].as_mut()).expect("a reading");
    let (written, meant) = slip.of(*cell);
    *cell = written;
    (log, meant)
}
