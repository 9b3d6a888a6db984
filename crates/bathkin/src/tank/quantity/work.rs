//! What was done so far: turnovers, hours, area.

use super::entry::{Entry, Name, rising};

/// Turnovers by metal replenished.
pub(super) static TURNOVERS: Entry = Entry {
    name: Name::One("turnovers"),
    title: "metal turnovers",
    symbol: "MTO",
    unit: "turnovers",
    definition: "Metal added since make-up over the metal of the make-up.",
    value: |at| at.row.turnovers,
    worse: rising,
    ..Entry::COUNT
};

/// Clock time.
pub(super) static CLOCK_H: Entry = Entry {
    name: Name::One("clock_h"),
    title: "time",
    symbol: "t",
    unit: "h",
    definition: "Clock time since make-up.",
    value: |at| at.row.clock_h,
    worse: rising,
    ..Entry::COUNT
};

/// Area plated.
pub(super) static AREA_M2: Entry = Entry {
    name: Name::One("area_m2"),
    title: "area plated",
    symbol: "A",
    unit: "m2",
    definition: "Area of all work plated since make-up.",
    value: |at| at.row.area_m2,
    worse: rising,
    ..Entry::COUNT
};

/// Turnovers by metal plated.
pub(super) static TURNOVERS_PLATED: Entry = Entry {
    name: Name::One("turnovers_plated"),
    title: "turnovers plated",
    symbol: "MTO plated",
    unit: "turnovers",
    definition: "Metal plated since make-up over the metal of the make-up.",
    value: |at| at.row.turnovers_plated,
    worse: rising,
    ..Entry::COUNT
};

/// Time with work in the tank.
pub(super) static PLATING_H: Entry = Entry {
    name: Name::One("plating_h"),
    title: "plating time",
    symbol: "t plating",
    unit: "h",
    definition: "Clock time since make-up with work in the tank.",
    value: |at| at.row.plating_h,
    worse: rising,
    ..Entry::COUNT
};

/// In the order of the columns.
pub(super) const COUNTED: &[&Entry] = &[&TURNOVERS, &TURNOVERS_PLATED, &CLOCK_H, &PLATING_H, &AREA_M2];
