//! A column that is ten times too small all along. Producer of the truths: `support/shop.rs`.

use bathkin::Recipe;
use bathkin_fit::Sheet;
use bathkin_fit::track::{Grade, Track, TrackOptions, track};

use support::jittering;
use support::shop::{Truth, first_rows, recipe, shop};

fn followed(recipe: &Recipe, log: &Sheet) -> Track {
    let options = TrackOptions { members: 4, held_numbers: false, ..TrackOptions::default() };
    track(recipe, log, &options, &|_| true).expect("followed").track
}

fn tenth(log: &Sheet) -> Sheet {
    let mut log = log.clone();
    let cells = log.columns.iter_mut().find(|(name, _)| name == "ph").map(|(_, cells)| cells).expect("a pH");
    cells.iter_mut().flatten().for_each(|ph| *ph /= 10.0);
    log
}

/// An electrode that was believed to be off by four made members hold a pH of 8.6, where each takes much longer. Asked: the work
/// (right-hand sides) of the same log without a pH to a quarter, the same dump date to a twentieth, one finding for the column.
#[test]
fn a_ph_that_is_a_tenth_all_along_is_left_out_and_said_once() {
    let log = first_rows(&shop(Truth::default(), 0.02, 5).log, 24);
    let mut without = log.clone();
    without.columns.retain(|(name, _)| name != "ph");
    let (misread, plain) = (followed(&recipe(), &tenth(&log)), followed(&recipe(), &without));
    let electrode = misread.unknowns.iter().find(|one| one.name == "electrode offset").expect("an electrode");
    assert!(electrode.value.abs() < 0.2, "{electrode:?}");
    let work = misread.effort.right_hand_sides as f64 / plain.effort.right_hand_sides as f64;
    assert!((work - 1.0).abs() < 0.25, "{:?} {:?}", misread.effort, plain.effort);
    let p50 = |of: &Track| of.dump.clock_h.p50.expect("a date");
    assert!((p50(&misread) / p50(&plain) - 1.0).abs() < 0.05, "{} {}", p50(&misread), p50(&plain));
    let of_ph: Vec<_> = misread.findings.iter().filter(|one| one.of == "ph").collect();
    let [one] = &of_ph[..] else { panic!("{of_ph:?}") };
    assert!(one.code == "column_misread" && one.grade == Grade::Finding, "{one:?}");
    assert!(one.text.contains("24 of 24 readings of ph are a tenth of"), "{}", one.text);
    assert!(misread.alarms.iter().any(|alarm| alarm.code == "reading" && alarm.of == "ph"));
}

/// Where the measured pH is followed, a reading far off what the bath is run at is no part of its course; where no two are left, the
/// log is refused with the first.
#[test]
fn a_ph_that_is_followed_leaves_out_what_no_bath_stands_at() {
    let (log, _) = jittering::hours(6);
    let of = jittering::recipe("as measured");
    let mut slip = log.clone();
    let cells = slip.columns.iter_mut().find(|(name, _)| name == "ph").map(|(_, cells)| cells).expect("a pH");
    let meant = cells[3].replace(0.46).expect("a pH");
    let took = |log: &Sheet| followed(&of, log).ph_corrector.expect("what it took").needed_l;
    // The bath goes straight from the row before to the next, 0.1 pH at most from where it stood.
    assert!((4.5..4.9).contains(&meant) && (took(&slip) - took(&log)).abs() < 0.05, "{meant}");
    let told = followed(&of, &slip).flags;
    assert!(told.iter().any(|flag| flag.what.contains("row 4, ph = 0.46")), "{told:?}");
    let options = TrackOptions { members: 1, ..TrackOptions::default() };
    let refused = track(&of, &tenth(&log), &options, &|_| true).expect_err("refused").to_string();
    assert!(refused.contains("ph has 0 rows") && refused.contains("row 1, ph = 0.48"), "{refused}");
}
