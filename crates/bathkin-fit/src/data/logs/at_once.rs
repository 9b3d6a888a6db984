//! Additions of a log that were hardly made at once at their row, and those of its first row, which have no row before.

use std::borrow::Cow;

use bathkin::life::{LoggedSegment, Member, RowByRow, replayed};
use bathkin::model::{LoggedAdditions, Model};
use bathkin::tank::{AlsoRead, PH, Ramp};

use crate::data::logs::columns::Meaning;
use crate::data::logs::course::poured;
use crate::data::logs::log_doubt::LogDoubt;
use crate::data::logs::logged_bath::LoggedBath;
use crate::data::sheet::Sheet;

/// Additions with pH corrector that move the bath as made up by more than this were not made at once: no bath that is
/// controlled is let go so far.
const MOST_PH: f64 = 1.0;

/// The row of which the additions with its pH corrector, poured into the bath as made up, move its pH most, if by more than
/// [`MOST_PH`] (a part of what the row has: by twice that). What makes no solution that the model describes is left to the course, which says so.
pub(super) fn at_once(model: &Model, log: &Sheet, bath: &LoggedBath) -> Option<LogDoubt> {
    const TOLERANCE: f64 = 1e-6;
    let tank = replayed(&model.tank, bath.ph);
    let members = [Member { tank: Cow::Borrowed(&tank), area_factor: 1.0 }];
    let baths = RowByRow::new(&members, &model.fresh_totals_mol_l, TOLERANCE);
    let fresh = baths.fresh_state(&model.fresh_totals_mol_l);
    let also = AlsoRead { cooled: false, liquid: false };
    let ph = |state: &[f64], segment: &LoggedSegment| {
        baths.read(0, state, &fresh, segment, also).ok().map(|read| read.bath.ph)
    };
    let mut found: Vec<LogDoubt> = Vec::new();
    for up_to_row in bath.course.split_inclusive(|segment| segment.row.is_some()) {
        let row = up_to_row.last().and_then(|last| last.row);
        let of_corrector = |segment: &LoggedSegment| -> f64 {
            let corrector = segment.additions.iter().filter(|(solution, _)| *solution == PH);
            corrector.map(|(_, litres)| litres).sum()
        };
        // All parts of a row are alike.
        let Some(added) = up_to_row.iter().find(|segment| of_corrector(segment) > 0.0) else { continue };
        let at_work =
            LoggedSegment { temperature: Ramp::held(tank.operation.temperature_k), ..added.clone() };
        let mut state = fresh.clone();
        let Some(ph_before) = ph(&state, &at_work) else { continue };
        if baths.add(&mut state, &at_work).is_err() {
            continue;
        }
        let Some(ph_after) = ph(&state, &at_work) else { continue };
        let is_part = added.row.is_none();
        // About a part the bath stands half of it low, then half of it high.
        let most = if is_part { 2.0 * MOST_PH } else { MOST_PH };
        if (ph_after - ph_before).abs() > most {
            found.push(LogDoubt::AddedAtOnce {
                row: row.and_then(|row| log.rows.get(row)).copied().unwrap_or_default(),
                solution: tank.operation.replenishers[PH].name.clone(),
                litres: of_corrector(added),
                ph_before,
                ph_after,
                more_rows: 0,
                is_part,
            });
        }
    }
    let others = found.len().saturating_sub(1);
    let by = |doubt: &LogDoubt| match doubt {
        LogDoubt::AddedAtOnce { ph_before, ph_after, .. } => (ph_after - ph_before).abs(),
        _ => 0.0,
    };
    let mut worst = found.into_iter().max_by(|one, other| by(one).total_cmp(&by(other)))?;
    if let LogDoubt::AddedAtOnce { more_rows, .. } = &mut worst {
        *more_rows = others;
    }
    Some(worst)
}

/// What the first row has as added, where that went in before its readings.
pub(super) fn added_before_first(model: &Model, log: &Sheet, meanings: &[Meaning]) -> Option<LogDoubt> {
    if model.log.additions == LoggedAdditions::AtTheRow {
        return None;
    }
    // What is wrong with it was told with the course.
    let (additions, water_l) = poured(log, meanings, 0, model.tank.plant.volume_l, &mut Vec::new());
    let name = |solution: usize| model.tank.operation.replenishers[solution].name.clone();
    let mut added: Vec<(String, f64)> =
        additions.into_iter().map(|(solution, litres)| (name(solution), litres)).collect();
    added.extend((water_l > 0.0).then(|| ("water".to_owned(), water_l)));
    let row = log.rows.first().copied()?;
    (!added.is_empty()).then_some(LogDoubt::AddedBeforeFirst { row, added })
}
