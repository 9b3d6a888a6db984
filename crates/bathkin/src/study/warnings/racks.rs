//! Remarks on the racks of a life: more area at once than the bath takes, and work without a pause.

use crate::document::Document;
use crate::flag::Flag;
use crate::life::{Life, LoadRecord};
use crate::tank::{Tank, Work};

/// Loading of the bath above which it is remarked where the recipe states no range, dm²/L.
///
/// Source: common practice, no source: 0.25 to 0.5 are called the best, 2.5 the most.
const MOST_DM2_L: f64 = 2.5;
const LOADING: &str = "work.loading_dm2_l";

/// What the racks came to in a life.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Busy {
    /// Most area at once, dm².
    most_dm2: f64,
    /// Clock time at which it first was, h.
    most_at_h: f64,
    /// From the first rack in to the last out, h.
    from_h: f64,
    to_h: f64,
    /// Whether the tank was empty in between.
    paused: bool,
}

/// Goes through the racks that came out, in the order in which they moved; `None` without racks.
fn busy(racks: &[LoadRecord]) -> Option<Busy> {
    let mut moves: Vec<(f64, f64)> =
        racks.iter().flat_map(|rack| [(rack.in_h, rack.area_dm2), (rack.out_h, -rack.area_dm2)]).collect();
    // At one instant racks come out before others go in.
    moves.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let (first, last) = (moves.first()?.0, moves.last()?.0);
    let mut busy = Busy { most_dm2: 0.0, most_at_h: first, from_h: first, to_h: last, paused: false };
    let (mut inside, mut area_dm2, mut emptied_h) = (0_usize, 0.0, first);
    for (at_h, dm2) in moves {
        area_dm2 += dm2;
        if dm2 < 0.0 {
            inside -= 1;
            emptied_h = at_h;
        } else {
            busy.paused |= inside == 0 && at_h > emptied_h;
            inside += 1;
        }
        if area_dm2 > busy.most_dm2 {
            (busy.most_dm2, busy.most_at_h) = (area_dm2, at_h);
        }
    }
    Some(busy)
}

/// Remarks on the racks of a life; none where the work is steady.
pub(crate) fn of_life(document: &Document, tank: &Tank, life: &Life) -> Vec<Flag> {
    let (Work::Loads(_), Some(busy)) = (&tank.operation.work, busy(&life.loads)) else { return Vec::new() };
    let mut flags = Vec::new();
    let mut flag = |place: &str, what: String| flags.push(Flag { r#where: place.to_owned(), what });
    let stated = document.get(LOADING).and_then(|entry| entry.range).map(|(_, most)| most);
    let (most, whose) = stated
        .map_or((MOST_DM2_L, "what is called the most"), |most| (most, "the most this recipe was made for"));
    let loading = busy.most_dm2 / tank.plant.volume_l;
    if loading > most {
        flag(
            LOADING,
            format!(
                "the racks are {loading:.3} dm2/L at {:.1} h, beyond {most} dm2/L, {whose}: is the area in dm2, and do \
                 racks pile up where the calendar repeats?",
                busy.most_at_h
            ),
        );
    }
    const WORTH_SAYING_H: f64 = 24.0;
    let hours = busy.to_h - busy.from_h;
    if !busy.paused && hours > WORTH_SAYING_H {
        flag(
            "work",
            format!(
                "work is in the tank for {hours:.0} h without a pause: is that meant, or do racks overlap where the \
                 calendar repeats?"
            ),
        );
    }
    flags
}
