//! A bath that is followed by the sums of its shifts. Producer of the truths: `support/dosed.rs`.

use bathkin_fit::Sheet;
use bathkin_fit::track::{Finding, Grade, Track, TrackOptions, track};

use support::dosed::{recipe, shifts};

const AT: &str = "at-the-row";
const SINCE: &str = "since-the-row-before";

fn followed(additions: &str, log: &Sheet, accept: &[usize]) -> Track {
    let accept = accept.to_vec();
    let options = TrackOptions { members: 1, accept, held_numbers: false, ..TrackOptions::default() };
    track(&recipe(additions), log, &options, &|_| true).expect("followed").track
}

fn cells<'a>(log: &'a mut Sheet, column: &str) -> &'a mut Vec<Option<f64>> {
    log.columns.iter_mut().find(|(name, _)| name == column).map(|(_, cells)| cells).expect("a column")
}

/// Largest difference of what is expected of the pH from 4.80, which the pump held.
fn ph_off(of: &Track) -> f64 {
    let readings = of.rows.iter().flat_map(|row| &row.readings).filter(|one| one.column == "ph");
    readings.map(|one| (one.expected - 4.8).abs()).fold(0.0, f64::max)
}

/// Asked: pH to 0.02, metal to 0.2 %, no finding.
#[test]
fn the_sums_of_shifts_are_followed() {
    let log = shifts(8);
    let found = followed(SINCE, &log, &[]);
    assert!(ph_off(&found) < 0.02, "{}", ph_off(&found));
    for (row, read) in found.rows.iter().zip(log.column("nickel_g_l").expect("a column")) {
        assert!((row.metal_g_l / read.expect("nickel") - 1.0).abs() < 2e-3, "{row:?}");
        // All of it is in the bath that is read.
        assert!((row.metal_after_additions_g_l - row.metal_g_l).abs() < 1e-9, "{row:?}");
    }
    assert!(found.findings.is_empty(), "{:?}", found.findings);
    assert!(found.held.iter().any(|one| one.contains("evenly since the row before")), "{:?}", found.held);
    let at_once = followed(AT, &log, &[]);
    assert!(ph_off(&at_once) > 0.5, "{}", ph_off(&at_once));
    let told = |of: &Track| of.flags.iter().any(|flag| flag.what.contains("since-the-row-before"));
    assert!(told(&at_once) && !told(&found));
}

/// 1.02 L of 1.32 L of the metal's solution are not in the log of the ninth shift.
#[test]
fn what_a_sum_lacks_is_found_and_put_in_along_the_shift() {
    let mut log = shifts(16);
    cells(&mut log, "metal_l")[9] = Some(0.3);
    let lacks = |of: &Track| {
        let of_metal = |one: &&Finding| one.row == Some(9) && one.of == "nickel replenisher";
        of.findings.iter().find(of_metal).cloned()
    };
    let found = lacks(&followed(SINCE, &log, &[])).expect("a finding");
    assert!(found.code == "unlogged_addition" && found.grade == Grade::Finding, "{found:?}");
    assert!((found.size.expect("a size") / 1.02 - 1.0).abs() < 0.2, "{found:?}");
    let accepted = followed(SINCE, &log, &[9]);
    assert!(accepted.accepted[0].contains("nickel replenisher put in"), "{:?}", accepted.accepted);
    assert!(lacks(&accepted).is_none_or(|one| one.score.abs() < 0.3 * found.score.abs()), "{accepted:?}");
}

/// Producer: arithmetic. A litre of the metal's solution has 100 g; its strength is known to 2 % and what is written of it to
/// 1.5 %, so that 1.32 L in 60 L widen the metal that nobody analyses, and 1 L by so much less.
#[test]
fn what_is_written_of_a_shift_is_as_uncertain_as_a_jug() {
    let mut log = shifts(2);
    cells(&mut log, "nickel_g_l")[1..].fill(None);
    let variance = |log: &Sheet| followed(SINCE, log, &[]).rows[1].metal_sd_g_l.powi(2);
    let more = variance(&log);
    cells(&mut log, "metal_l")[1] = Some(1.0);
    let widened = more - variance(&log);
    let expected =
        (0.02_f64.powi(2) + 0.015_f64.powi(2)) * (1.32_f64.powi(2) - 1.0) * (100.0_f64 / 60.0).powi(2);
    assert!((widened / expected - 1.0).abs() < 0.1, "{widened} {expected}");
}
