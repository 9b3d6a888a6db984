//! A life that makes no progress: which additions and events trigger each other (a Zeno run).

use super::EventRecord;
use super::ledger::{Addition, Ledger};

/// Lines of the ledger, and events, that are looked back on.
const LOOKED_BACK: usize = 40;
/// Names a sentence has room for.
const NAMED: usize = 4;

/// What to say when events and doses at one instant do not come to an end.
pub(super) fn at_one_instant(ledger: &Ledger, happened: &[EventRecord]) -> String {
    format!(
        "no progress: replenishment policies and events trigger each other at one instant ({}); make the solutions \
         stronger, a trigger lower, a dead band wider, or an event rarer",
        last_done(ledger, happened)
    )
}

/// What to say when a run comes to more stops than it may have.
pub(super) fn over_time(ledger: &Ledger, happened: &[EventRecord], stops: u64, clock_h: f64) -> String {
    format!(
        "more than {stops} stops in the first {clock_h:.4} h: something repeats too often; the last things done: {}",
        last_done(ledger, happened)
    )
}

/// The last additions and events, each kind once, in words.
fn last_done(ledger: &Ledger, happened: &[EventRecord]) -> String {
    let mut words: Vec<String> = Vec::new();
    let mut name = |what: String| {
        if !words.contains(&what) && words.len() < NAMED {
            words.push(what);
        }
    };
    for event in happened.iter().rev().take(LOOKED_BACK) {
        name(format!("event '{}'", event.event));
    }
    for Addition { replenisher, reason, .. } in ledger.additions.iter().rev().take(LOOKED_BACK) {
        name(format!("{replenisher}, {reason}"));
    }
    if words.is_empty() { "nothing was added; work comes and goes".to_owned() } else { words.join("; ") }
}
