//! A bath whose measured pH is followed. Producer of the truths: `support/jittering.rs`.

use bathkin_fit::Sheet;
use bathkin_fit::track::{Track, TrackOptions, track};

use support::fits::some;
use support::jittering::{LN_RATE, hours, recipe};

const MEASURED: &str = "as measured";
const COMPARED: &str = "compared";

fn followed(ph: &str, log: &Sheet) -> Track {
    let options = TrackOptions { members: 1, held_numbers: false, ..TrackOptions::default() };
    track(&recipe(ph), log, &options, &|_| true).expect("followed").track
}

/// The rate factor, ln, and its standard deviation.
fn rate(of: &Track) -> (f64, f64) {
    let found = of.unknowns.iter().find(|one| one.name == "rate factor").expect("a rate factor");
    (found.value, found.sd)
}

/// Asked: the rate within its 95 % interval, the base to 5 % of what the truth was given. Compared with what a bath held at 4.80
/// comes to, the same readings make it plate a quarter too fast.
#[test]
fn the_rate_and_the_base_of_a_bath_whose_ph_jitters_are_found() {
    let (log, base) = hours(40);
    let found = followed(MEASURED, &log);
    let (value, sd) = rate(&found);
    assert!((value - LN_RATE).abs() < 1.96 * sd && sd < 0.06, "{value} {sd}");
    let of_truth: f64 = base.iter().sum();
    let corrector = found.ph_corrector.as_ref().expect("what it took");
    assert!((corrector.needed_l / of_truth - 1.0).abs() < 0.05, "{corrector:?} {of_truth}");
    assert!(corrector.name.contains("sodium hydroxide") && corrector.logged_l.is_none(), "{corrector:?}");
    let by_rows: f64 = found.rows.iter().filter_map(|row| row.ph_corrector_l).sum();
    let by_turnovers: f64 = corrector.by_turnover.iter().map(|one| one.needed_l).sum();
    for sum in [by_rows, by_turnovers] {
        assert!((sum / corrector.needed_l - 1.0).abs() < 1e-9, "{sum} {corrector:?}");
    }
    let parts: f64 = corrector.by_turnover.iter().map(|one| one.part).sum();
    assert!((parts / corrector.turnovers - 1.0).abs() < 1e-9, "{corrector:?}");
    let per_turnover = corrector.per_turnover_l.expect("turnovers");
    assert!((per_turnover * corrector.turnovers / by_rows - 1.0).abs() < 1e-9, "{corrector:?}");
    // It is no reading that is compared, and its last value is where the bath stands.
    assert!(found.rows.iter().flat_map(|row| &row.readings).all(|one| one.column != "ph"));
    let ph = found.standing.iter().find(|one| one.name == "ph").expect("a pH");
    let last = log.column("ph").and_then(|cells| cells.last().copied().flatten()).expect("a pH");
    assert!(ph.analysed && (ph.value - last).abs() < 0.05, "{ph:?} {last}");
    assert!(found.held.iter().any(|one| one.contains("log.ph")), "{:?}", found.held);

    let compared = followed(COMPARED, &log);
    let (value, sd) = rate(&compared);
    assert!((value - LN_RATE).abs() > 3.0 * sd && compared.ph_corrector.is_none(), "{value} {sd}");
}

/// What stands in the log of the base is held against what the pH took, and changes nothing else.
#[test]
fn litres_that_the_log_has_of_the_base_stand_beside_those_it_took() {
    let (log, base) = hours(12);
    let mut logged = log.clone();
    logged.columns.push(("ph_l".to_owned(), some(&base)));
    let (without, with) = (followed(MEASURED, &log), followed(MEASURED, &logged));
    let of = |track: &Track| track.ph_corrector.clone().expect("what it took");
    let written: f64 = base.iter().sum();
    let sum = of(&with).logged_l.expect("a column");
    assert!((sum / written - 1.0).abs() < 1e-12, "{sum} {written}");
    assert_eq!(of(&with).needed_l, of(&without).needed_l);
    let parts: f64 = of(&with).by_turnover.iter().filter_map(|one| one.logged_l).sum();
    assert!((parts / written - 1.0).abs() < 1e-9, "{parts} {written}");
    let of_rows: Vec<f64> = with.rows.iter().filter_map(|row| row.ph_corrector_logged_l).collect();
    assert_eq!(of_rows, base[1..]);
    assert!(with.rows[0].ph_corrector_l.is_none() && without.rows[3].ph_corrector_logged_l.is_none());
}

#[test]
fn a_log_without_a_course_of_the_ph_is_refused_by_name() {
    let (log, _) = hours(4);
    let refused = |log: &Sheet| {
        let options = TrackOptions { members: 1, ..TrackOptions::default() };
        track(&recipe(MEASURED), log, &options, &|_| true).expect_err("refused").to_string()
    };
    let mut none = log.clone();
    none.columns.retain(|(name, _)| name != "ph");
    let text = refused(&none);
    assert!(text.contains("no column of a pH") && text.contains("as measured"), "{text}");
    let mut one = log.clone();
    let cells = one.columns.iter_mut().find(|(name, _)| name == "ph").map(|(_, cells)| cells).expect("a pH");
    cells[1..].fill(None);
    let text = refused(&one);
    assert!(text.contains("invented-hours.csv") && text.contains("ph has 1 rows with a value"), "{text}");
    let error = recipe("measured").model().expect_err("no such word").to_string();
    assert!(error.contains("log.ph") && error.contains("compared, as measured"), "{error}");
}
