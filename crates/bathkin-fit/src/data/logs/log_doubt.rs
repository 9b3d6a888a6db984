//! What is hard to believe of a log, in numbers and words.

use bathkin_numerics::short;
use thiserror::Error;

use crate::format::number;

/// Something of a log that is hard to believe.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum LogDoubt {
    /// What its reader doubts.
    #[error("{0}")]
    OfReader(String),
    /// No rack of the calendar hangs while it is kept.
    #[error(
        "no rack of the calendar hangs between the first row and the last, {} h later: the racks hang from {} h to {} h \
         after the first row; is it the calendar of another time? (work.calendar, work.calendar_repeat_h)",
        number(*last_h, 3), number(*begins_h, 3), number(*ends_h, 3)
    )]
    RacksElsewhere {
        /// When the first rack goes in, h after the first row.
        begins_h: f64,
        /// When the last rack comes out.
        ends_h: f64,
        /// When the last row was written.
        last_h: f64,
    },
    /// The calendar ends a row or more before the log.
    #[error(
        "the racks of the calendar end {} h after the first row, {} h before the last: nothing plates from row {row} on; \
         add the racks since (work.calendar), or let it repeat (work.calendar_repeat_h)",
        number(*ends_h, 3), number(*before_h, 3)
    )]
    RacksEnd {
        /// The first row without a rack.
        row: usize,
        /// When the last rack comes out, h after the first row.
        ends_h: f64,
        /// How long that is before the last row, h.
        before_h: f64,
    },
    /// The pH corrector of one row, which moves the bath much further than any bath goes.
    #[error(
        "the additions of row {row}, poured in at once with {} L of {solution}, take the bath as made up from pH {} to {}{}: {}",
        number(*litres, 3), number(*ph_before, 3), number(*ph_after, 3), and_more(*more_rows), at_once_remedy(*is_part)
    )]
    AddedAtOnce {
        /// The row that moves it most.
        row: usize,
        /// Name of the corrector.
        solution: String,
        /// How much of it goes in at once, L.
        litres: f64,
        /// pH of the bath as made up, as the operator reads it.
        ph_before: f64,
        /// The same with what goes in.
        ph_after: f64,
        /// Further rows that move it too far.
        more_rows: usize,
        /// Whether it is a part of what the row has, spread since the row before.
        is_part: bool,
    },
    /// Additions of the first row, where they went in before its readings.
    #[error(
        "the additions of row {row} ({}) went in before it ([log] additions = \"since-the-row-before\") and no row stands before: \
         its readings have them, they are not added again; write a row of when the shift began to let them count",
        all_of(added)
    )]
    AddedBeforeFirst {
        /// The first row.
        row: usize,
        /// Each solution, or water, with its litres.
        added: Vec<(String, f64)>,
    },
    /// A measured pH that no bath of the recipe stands at, and that is not followed.
    #[error(
        "row {row}, {column} = {}: more than {} from the {} this bath is run at: it is no part of the course of the pH; is a point \
         moved, or a digit swapped?",
        number(*ph, 3), short(*most), number(*run_at, 3)
    )]
    PhNotFollowed {
        /// The row.
        row: usize,
        /// The column.
        column: String,
        /// What stands there.
        ph: f64,
        /// How far off it may be.
        most: f64,
        /// What the recipe runs the bath at.
        run_at: f64,
    },
    /// Work that would plate more metal than the bath holds.
    #[error(
        "the work up to row {row} would plate {} g of {metal} and the whole bath holds {} g: is it the log of a larger tank \
         (tank.volume_l = {}), is the area in another unit, or were additions in between written in one row (log.additions)?",
        number(*plated_g, 3), number(*held_g, 3), short(*volume_l)
    )]
    WorkBeyondBath {
        /// The row that the work ends with.
        row: usize,
        /// Name of the metal.
        metal: String,
        /// What the work plates at the rate of the fresh bath, g.
        plated_g: f64,
        /// What the bath as made up holds, with what was added before the work, g.
        held_g: f64,
        /// What the tank of the recipe holds, L.
        volume_l: f64,
    },
    /// Metal went that the work does not explain, or did not go that it plates.
    #[error(
        "by analyses and additions {} g of {metal} went between row {first} and {last}, while the work of these rows plates \
         {} g in this bath: is it the log of another tank (tank.volume_l = {}), or are areas, minutes or additions missing \
         or in another unit?",
        number(*gone_g, 3), number(*plated_g, 3), short(*volume_l)
    )]
    MetalWithoutWork {
        /// The row of the first analysis.
        first: usize,
        /// That of the last.
        last: usize,
        /// Name of the metal.
        metal: String,
        /// What was added, and what the bath lost, g.
        gone_g: f64,
        /// What the work plates at the rate of the fresh bath, g.
        plated_g: f64,
        /// What the tank of the recipe holds, L.
        volume_l: f64,
    },
}

fn and_more(rows: usize) -> String {
    match rows {
        0 => String::new(),
        1 => " (one more row does the like)".to_owned(),
        _ => format!(" ({rows} more rows do the like)"),
    }
}

fn at_once_remedy(is_part: bool) -> &'static str {
    if is_part {
        "this is one part of the sum of the row; write a row for every hour, or is it in another unit?"
    } else {
        "if it is the sum of what was added since the row before, say so ([log] additions = \"since-the-row-before\"), or \
         write a row for every hour"
    }
}

fn all_of(added: &[(String, f64)]) -> String {
    let each = added.iter().map(|(name, litres)| format!("{} L of {name}", number(*litres, 3)));
    each.collect::<Vec<_>>().join(", ")
}
