//! What following a measured pH took of the pH corrector, by rows and by turnovers.
//!
//! The filter counts the litres of corrector as one more number of its state, so that what a reading tells of the bath (it plated
//! more, it holds more base) corrects them too. Below zero they stand for as much acid.

use bathkin::model::LoggedAdditions;
use bathkin::tank::PH;

use crate::data::logs::MeasuredPh;
use crate::track::observed::ObservedLog;
use crate::track::passes::Passes;
use crate::track::result::{CorrectorOfTurnover, PhCorrector, TrackedRow};

/// Adds to the rows what each took since the one before, and sums it up; `None` where no measured pH is followed.
pub(crate) fn ph_corrector(
    log: &ObservedLog,
    of: &Passes,
    additions: LoggedAdditions,
    rows: &mut [TrackedRow],
) -> Option<PhCorrector> {
    let (measured, place) = (log.bath.measured_ph.as_ref()?, of.coordinates.corrector()?);
    let fed: Vec<f64> = of.rows.iter().map(|row| row.belief.mean[place]).collect();
    for at in 1..rows.len() {
        rows[at].ph_corrector_l = Some(fed[at] - fed[at - 1]);
        rows[at].ph_corrector_logged_l = logged_up_to(measured, additions, at);
    }
    let (first, last) = (rows.first()?, rows.last()?);
    let turnovers = last.turnovers - first.turnovers;
    let needed_l: f64 = rows.iter().filter_map(|row| row.ph_corrector_l).sum();
    Some(PhCorrector {
        name: of.tank.operation.replenishers[PH].name.clone(),
        needed_l,
        sd_l: of.rows.last().map_or(0.0, |row| row.belief.standard_deviation(place)),
        logged_l: measured
            .logged_l
            .as_ref()
            .map(|_| rows.iter().filter_map(|row| row.ph_corrector_logged_l).sum()),
        turnovers,
        per_turnover_l: (turnovers > 0.0).then(|| needed_l / turnovers),
        by_turnover: by_turnover(rows),
    })
}

/// Litres written as added between the row before and a row.
fn logged_up_to(measured: &MeasuredPh, additions: LoggedAdditions, row: usize) -> Option<f64> {
    let written_in = match additions {
        LoggedAdditions::AtTheRow => row - 1,
        LoggedAdditions::SinceTheRowBefore => row,
    };
    measured.logged_l.as_ref().and_then(|rows| rows.get(written_in)).copied()
}

/// The same by turnovers of metal replenished; rows in which one ends are divided as the metal is.
fn by_turnover(rows: &[TrackedRow]) -> Vec<CorrectorOfTurnover> {
    let mut found: Vec<CorrectorOfTurnover> = Vec::new();
    for (before, row) in rows.iter().zip(rows.iter().skip(1)) {
        let (from, to) = (before.turnovers, row.turnovers.max(before.turnovers));
        for turn in from.floor() as usize..=to.floor() as usize {
            let within = (to.min(turn as f64 + 1.0) - from.max(turn as f64)).max(0.0);
            let share = if to > from { within / (to - from) } else { 1.0 };
            if found.last().is_none_or(|last| last.turnover != turn + 1) {
                let logged_l = row.ph_corrector_logged_l.map(|_| 0.0);
                found.push(CorrectorOfTurnover { turnover: turn + 1, part: 0.0, needed_l: 0.0, logged_l });
            }
            let Some(last) = found.last_mut() else { continue };
            last.part += within;
            last.needed_l += share * row.ph_corrector_l.unwrap_or(0.0);
            if let (Some(sum), Some(litres)) = (&mut last.logged_l, row.ph_corrector_logged_l) {
                *sum += share * litres;
            }
        }
    }
    // A log that ends with a turnover has nothing of the next.
    found.retain(|one| one.part > 0.0 || one.needed_l != 0.0);
    found
}
