//! What was done so far: turnovers, hours, area.

use super::entry::{Entry, rising};

/// Turnovers by metal replenished.
pub(super) static TURNOVERS: Entry = Entry {
    definition: "Metal added since make-up over the metal of the make-up.",
    value: |at| at.row.turnovers,
    worse: rising,
    ..Entry::count("turnovers", "metal turnovers", "MTO", "turnovers")
};

/// Clock time.
pub(super) static CLOCK_H: Entry = Entry {
    definition: "Clock time since make-up.",
    value: |at| at.row.clock_h,
    worse: rising,
    ..Entry::count("clock_h", "time", "t", "h")
};

/// Area plated.
pub(super) static AREA_M2: Entry = Entry {
    definition: "Area of all work plated since make-up.",
    value: |at| at.row.area_m2,
    worse: rising,
    ..Entry::count("area_m2", "area plated", "A", "m2")
};

/// Turnovers by metal plated.
pub(super) static TURNOVERS_PLATED: Entry = Entry {
    definition: "Metal plated since make-up over the metal of the make-up.",
    value: |at| at.row.turnovers_plated,
    worse: rising,
    ..Entry::count("turnovers_plated", "turnovers plated", "MTO plated", "turnovers")
};

/// Time with work in the tank.
pub(super) static PLATING_H: Entry = Entry {
    definition: "Clock time since make-up with work in the tank.",
    value: |at| at.row.plating_h,
    worse: rising,
    ..Entry::count("plating_h", "plating time", "t plating", "h")
};

/// In the order of the columns.
pub(super) const COUNTED: &[&Entry] = &[&TURNOVERS, &TURNOVERS_PLATED, &CLOCK_H, &PLATING_H, &AREA_M2];
