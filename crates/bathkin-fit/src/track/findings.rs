//! What is odd in a log, in two grades.
//!
//! *Look*: one false alarm in a hundred rows per kind. *Finding*: one in a hundred rows for all kinds together. Additions
//! are judged by the score of a jump over eight rows, readings by their innovation, both on a pass in which every reading
//! counts but wild ones; whether it was a slip of the pen or an addition is told by the rows after it: a slip where z² of the
//! reading is above t² of the jump. Thresholds were set on simulated baths (invented).

use bathkin::tank::{METAL, REDUCTANT};
use bathkin_statistics::kalman::{FilteredRow, JumpScore, jump_scores};
use nalgebra::DVector;

use crate::format::number;
use crate::track::all_along::{drifts, misses, strengths};
use crate::track::finding::{FINDING, Finding, Grade, OUTLYING, SETTLING, SmallestSeen, WHOLE_DOSE};
use crate::track::followed::TrackedBath;
use crate::track::observed::ObservedLog;

/// Rows that tell of a jump.
pub(crate) const WINDOW: usize = 8;
/// Score beyond which an addition is to be looked at.
const LOOK: f64 = 2.2;
/// The same of a single reading.
const READING_LOOK: f64 = 2.6;
const READING_FINDING: f64 = 3.3;
/// How a slip of the point is put right.
const POINT_MOVED: &str = "with the point moved";
/// Alarms this many rows apart are one.
const NEIGHBOURS: usize = 3;

/// What may have been poured in.
struct Pourable {
    solution: Option<usize>,
    name: String,
    /// Effect of a litre on the state.
    effect: DVector<f64>,
}

/// Findings of a log, from the pass in which every reading counts; `known`: what an earlier pass found, whose slips are left out
/// of this one.
pub(crate) fn findings(
    bath: &TrackedBath,
    rows: &[FilteredRow],
    gated: &[FilteredRow],
    known: Option<Vec<Finding>>,
) -> (Vec<Finding>, Vec<SmallestSeen>) {
    let pourables = pourables(bath, bath.coordinates.len() + bath.unknowns.len());
    let scored: Vec<(usize, Vec<JumpScore>)> = pourables
        .iter()
        .enumerate()
        .map(|(at, pourable)| (at, jump_scores(rows, WINDOW, |_| pourable.effect.clone())))
        .collect();
    let slips = match known {
        Some(known) => known.into_iter().filter(|one| one.code == OUTLYING).collect(),
        None => slips(bath.log, gated, &scored),
    };
    let mut found: Vec<Finding> = Vec::new();
    let mut alarms: Vec<(usize, JumpScore)> = scored
        .iter()
        .flat_map(|(at, scores)| scores.iter().map(move |score| (*at, *score)))
        .filter(|(_, score)| score.score.abs() > LOOK && score.after >= SETTLING)
        .filter(|(_, score)| !slips.iter().any(|slip| explains(bath.log, slip, score)))
        .collect();
    alarms.sort_by(|a, b| b.1.score.abs().total_cmp(&a.1.score.abs()));
    let mut told: Vec<usize> = Vec::new();
    for (at, score) in alarms {
        if told.iter().any(|row| row.abs_diff(score.after) <= NEIGHBOURS) {
            continue;
        }
        told.push(score.after);
        found.push(addition(bath.log, &pourables[at], &score));
    }
    found.extend(slips);
    found.extend(drifts(&found));
    found.extend(strengths(bath, rows));
    found.extend(misses(bath.log, rows));
    found.sort_by(|a, b| b.grade.cmp(&a.grade).then(a.row.cmp(&b.row)));
    let smallest = scored
        .iter()
        .filter_map(|(at, scores)| {
            let mut sizes: Vec<f64> = scores.iter().map(|score| score.standard_deviation).collect();
            sizes.sort_by(f64::total_cmp);
            let middle = *sizes.get(sizes.len() / 2)?;
            let of =
                |threshold| JumpScore { standard_deviation: middle, ..scores[0] }.smallest_seen(threshold);
            Some(SmallestSeen {
                solution: pourables[*at].name.clone(),
                look_l: of(LOOK),
                finding_l: of(FINDING),
            })
        })
        .collect();
    (found, smallest)
}

/// Each solution by itself, and a whole dose in the proportions of the log.
fn pourables(bath: &TrackedBath, size: usize) -> Vec<Pourable> {
    let tank = bath.tank;
    let padded = |mut effect: Vec<f64>| {
        effect.resize(size, 0.0);
        DVector::from_vec(effect)
    };
    let mut solutions: Vec<usize> = vec![METAL, REDUCTANT];
    solutions.extend(tank.operation.feeds.iter().map(|feed| feed.solution));
    solutions.dedup();
    let mut found: Vec<Pourable> = solutions
        .iter()
        .map(|solution| Pourable {
            solution: Some(*solution),
            name: tank.operation.replenishers[*solution].name.clone(),
            effect: padded(bath.coordinates.of_solution(tank, *solution)),
        })
        .collect();
    let parts = bath.log.parts_of_a_dose(tank);
    if parts.len() > 1 {
        let mut effect = vec![0.0; bath.coordinates.len()];
        for (solution, part) in &parts {
            let own = bath.coordinates.of_solution(tank, *solution);
            effect.iter_mut().zip(own).for_each(|(sum, own)| *sum += part * own);
        }
        found.push(Pourable { solution: None, name: WHOLE_DOSE.to_owned(), effect: padded(effect) });
    }
    found
}

fn addition(log: &ObservedLog, of: &Pourable, score: &JumpScore) -> Finding {
    let more = score.size > 0.0;
    let row = log.rows[score.after];
    let (low, high) = (
        score.size.abs() - 2.0 * score.standard_deviation,
        score.size.abs() + 2.0 * score.standard_deviation,
    );
    let litres = number(score.size.abs(), 2);
    let range = format!("{} to {}", number(low.max(0.0), 2), number(high, 2));
    let next = log.rows.get(score.after + 1).map_or(String::new(), |next| format!(" and {next}"));
    let (code, text) = match (of.solution, more) {
        (None, true) => (
            "forgotten_dose",
            format!(
                "between row {row}{next} about one whole dose with {litres} L ({range}) of the first solution more than \
                 written: ask who added it"
            ),
        ),
        (_, true) => (
            "unlogged_addition",
            format!("between row {row}{next} about {litres} L ({range}) of {} more than written", of.name),
        ),
        (_, false) => (
            "less_added",
            format!("between row {row}{next} about {litres} L ({range}) of {} less than written", of.name),
        ),
    };
    Finding {
        code,
        grade: if score.score.abs() > FINDING { Grade::Finding } else { Grade::Look },
        row: Some(row),
        at_h: None,
        date: None,
        of: of.name.clone(),
        size: Some(score.size),
        size_sd: Some(score.standard_deviation),
        score: score.score,
        meant: None,
        text,
    }
}

/// Readings that are off, and that no jump explains.
fn slips(log: &ObservedLog, gated: &[FilteredRow], scored: &[(usize, Vec<JumpScore>)]) -> Vec<Finding> {
    let mut found = Vec::new();
    // A factor of ten is a slip wherever it stands.
    const UNMISTAKABLE: f64 = 10.0;
    for (row, filtered) in gated.iter().enumerate() {
        let least = if row < SETTLING { UNMISTAKABLE } else { READING_LOOK };
        for one in filtered.readings.iter().filter(|one| one.standardised.abs() > least) {
            let Some(observed) =
                log.of_row(row).iter().find(|observed| observed.column == one.channel && !observed.below)
            else {
                continue;
            };
            let of_jump = |scores: &Vec<JumpScore>| {
                let near = scores.iter().filter(|score| score.after + 1 == row);
                near.map(|score| score.score.abs()).fold(0.0, f64::max)
            };
            let jump = scored.iter().map(|(_, scores)| of_jump(scores)).fold(0.0, f64::max);
            let last = row + 1 == gated.len();
            if !last && jump * jump > one.standardised.powi(2) {
                continue;
            }
            let (expected, sd) = observed.expected(one);
            let meant = meant(observed.value, expected, sd);
            let digits = |value: f64| number(value, 3);
            let because =
                meant.map_or(String::new(), |(value, how)| format!("; {how} it would be {}", digits(value)));
            let wait = if last && meant.is_none_or(|(_, how)| how != POINT_MOVED) {
                "; an addition nobody wrote down would look the same: the next row tells"
            } else {
                ""
            };
            found.push(Finding {
                code: OUTLYING,
                grade: if one.standardised.abs() > READING_FINDING { Grade::Finding } else { Grade::Look },
                row: Some(log.rows[row]),
                at_h: None,
                date: None,
                of: log.columns[observed.column].clone(),
                size: Some(observed.value - expected),
                size_sd: Some(sd),
                score: one.standardised,
                meant: meant.map(|(value, _)| value),
                text: format!(
                    "row {}, {}: {} was expected{because}{wait}",
                    log.rows[row],
                    log.told(observed.column, observed.value),
                    digits(expected)
                ),
            });
        }
    }
    found
}

/// Whether a slip beside a jump explains it: a wild reading pulls the scores of its neighbours along.
fn explains(log: &ObservedLog, slip: &Finding, jump: &JumpScore) -> bool {
    let row = slip.row.and_then(|row| log.rows.iter().position(|known| *known == row));
    let beside = row.is_some_and(|row| jump.after + 1 == row || jump.after == row);
    beside && slip.score.abs() > jump.score.abs()
}

/// What a number would be with its point moved or two neighbouring digits swapped, if that is near what was expected.
pub(crate) fn meant(value: f64, expected: f64, sd: f64) -> Option<(f64, &'static str)> {
    // A factor of ten is unmistakable, two digits are not.
    const SWAPPED: f64 = 2.0;
    const POINT: f64 = 5.0;
    let mut candidates = vec![(value * 10.0, POINT_MOVED, POINT), (value / 10.0, POINT_MOVED, POINT)];
    let text = format!("{value}");
    let digits: Vec<char> = text.chars().collect();
    for at in 0..digits.len().saturating_sub(1) {
        let mut swapped = digits.clone();
        let next = if swapped[at + 1] == '.' { at + 2 } else { at + 1 };
        if next >= swapped.len() || !swapped[at].is_ascii_digit() || !swapped[next].is_ascii_digit() {
            continue;
        }
        // Nobody writes 0.52 for 5.02.
        if at == 0 && digits[0] == '0' {
            continue;
        }
        swapped.swap(at, next);
        if let Ok(number) = swapped.iter().collect::<String>().parse() {
            candidates.push((number, "with two digits swapped", SWAPPED));
        }
    }
    let off = |value: f64| ((value - expected) / sd).abs();
    candidates
        .into_iter()
        .filter(|(candidate, _, near)| off(*candidate) < *near)
        .min_by(|a, b| off(a.0).total_cmp(&off(b.0)))
        .map(|(candidate, how, _)| (candidate, how))
}
