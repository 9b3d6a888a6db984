//! What is believed of the bath against what it was. Producer of the truths: `support/shop.rs`.

use bathkin::document::Value;
use bathkin_fit::track::{Age, Track, TrackOptions, track};
use rayon::prelude::*;
use support::shop::{Shop, Truth, first_rows, later_rows, shop};

pub fn followed(of: &Shop, rows: usize, members: usize) -> Track {
    let options = TrackOptions { members, held_numbers: false, ..TrackOptions::default() };
    track(&of.recipe, &first_rows(&of.log, rows), &options, &|_| true).expect("followed").track
}

/// Root mean square of what is believed of the nickel over what there was, less one, from a row on.
fn nickel_off(of: &Shop, found: &Track, from: usize) -> f64 {
    let rows = &found.rows[from..];
    let off = |row: &bathkin_fit::track::result::TrackedRow| row.metal_g_l / of.nickel_g_l[row.row - 1] - 1.0;
    (rows.iter().map(|row| off(row).powi(2)).sum::<f64>() / rows.len() as f64).sqrt()
}

/// One titration is off by 2 % and more; the filter knows the metal better than that.
#[test]
fn the_metal_is_known_better_than_one_titration_knows_it() {
    let mut sum = 0.0;
    for number in 0..6 {
        let of = shop(Truth::default(), 0.02, number);
        sum += nickel_off(&of, &followed(&of, 30, 1), 3).powi(2);
    }
    let off = (sum / 6.0).sqrt();
    assert!(off < 0.015, "{off}");
}

/// The log's own scatter is told from the rows, where nobody states it.
#[test]
fn a_log_tells_its_own_scatter() {
    for (noise, least, most) in [(0.02, 1.0, 3.0), (0.044, 2.8, 6.0)] {
        let told: Vec<f64> = (0..4)
            .map(|number| followed(&shop(Truth::default(), noise, 20 + number), 40, 1).titration_noise_pct)
            .collect();
        let mean = told.iter().sum::<f64>() / told.len() as f64;
        assert!((least..most).contains(&mean), "{noise}: {told:?}");
    }
}

/// What was added at a row is in the bath after it. Producer: litres by what a litre brings (100 g/L of nickel) into 400 L.
#[test]
fn what_was_added_is_in_the_bath_after_the_row() {
    let of = shop(Truth::default(), 0.02, 7);
    let found = followed(&of, 12, 1);
    let added = of.log.column("metal_l").expect("a column");
    for (row, litres) in found.rows.iter().zip(added) {
        let gained = row.metal_after_additions_g_l - row.metal_g_l;
        let expected = litres.expect("litres") * 100.0 / 400.0;
        // Strengths, and what the volume of the solutions thins.
        assert!((gained - expected).abs() < 0.05 * expected + 0.12, "{gained} {expected}");
    }
    assert!(added.iter().take(12).flatten().sum::<f64>() > 10.0);
}

/// Numbers of laws that were never measured are told with what ten per cent of each moves: not the rate constant, since the
/// log tells how fast the bath plates, but what the by-product grows by.
#[test]
fn numbers_that_were_held_are_told_with_what_they_move() {
    let of = shop(Truth::default(), 0.02, 5);
    let options = TrackOptions { members: 1, ..TrackOptions::default() };
    // Work around the clock: the date does not jump over nights.
    let always = of.recipe.with("work.hours_per_day", Value::Number(24.0), "test");
    let always = always.with("work.days_per_week", Value::Number(7.0), "test");
    let found = track(&always, &first_rows(&of.log, 20), &options, &|_| true).expect("followed").track;
    let moved = |end: &str| {
        let one = found.held_numbers.iter().find(|one| one.path.ends_with(end));
        one.unwrap_or_else(|| panic!("no {end}")).moved.expect("a date")
    };
    assert!(moved("deposition.rate_mol_m2_s").abs() < 1e-6);
    // More reductant for each metal brings the by-product to its limit earlier: a tenth of 1.58/2 of some 1.9, 4 %.
    let left_h = found.dump.left_h.p50.expect("a date");
    let part = moved("hydrogen.per_metal_mol") / left_h;
    assert!((-0.07..-0.02).contains(&part), "{part}");
    assert!(moved("adsorbate.orthophosphite.constant_l_mol") > 0.0);
    let sizes: Vec<f64> = found.held_numbers.iter().filter_map(|one| one.moved).map(f64::abs).collect();
    assert!(sizes.is_sorted_by(|a, b| a >= b), "{sizes:?}");
    assert!(found.held.iter().any(|one| one.contains("10 % more")), "{:?}", found.held);
}

/// A used bath that is followed from its twentieth row on stands where the whole log has it.
#[test]
fn a_used_bath_stands_where_its_whole_log_has_it() {
    let of = shop(Truth::default(), 0.02, 3);
    let whole = followed(&of, 30, 60);
    let late = later_rows(&first_rows(&of.log, 30), 20);
    let turnovers = whole.rows[20].turnovers;
    let options = TrackOptions {
        members: 60,
        age: Age::Turnovers(turnovers),
        held_numbers: false,
        ..TrackOptions::default()
    };
    let found = track(&of.recipe, &late, &options, &|_| true).expect("followed").track;
    let (one, other) = (whole.rows[29].by_product_mol_l, found.rows[9].by_product_mol_l);
    assert!((one / other - 1.0).abs() < 0.06, "{one} {other}");
    let (one, other) = (whole.dump.left_h.p50.expect("a date"), found.dump.left_h.p50.expect("a date"));
    assert!((one - other).abs() < 72.0, "{one} {other}");
    let width =
        |track: &Track| track.dump.clock_h.p90.expect("late") - track.dump.clock_h.p10.expect("early");
    assert!(width(&found) > 0.8 * width(&whole));
}

/// A used bath of which nothing is told, not even its by-product: its band is at least half as wide again as that of the
/// whole log (mean of a few shops). Producer: the same bath with its whole log.
#[test]
fn a_used_bath_of_which_nothing_is_told_has_a_wide_band() {
    // Two shifts, in which the by-product is not analysed.
    const ROWS: usize = 26;
    const FROM: usize = 21;
    let widths = |number: u64| {
        let of = shop(Truth::default(), 0.02, 120 + number);
        let whole = followed(&of, ROWS, 100);
        let options =
            TrackOptions { members: 100, age: Age::Used, held_numbers: false, ..TrackOptions::default() };
        let late = later_rows(&first_rows(&of.log, ROWS), FROM);
        let found = track(&of.recipe, &late, &options, &|_| true).expect("followed").track;
        let width =
            |of: &Track| of.dump.clock_h.p90.unwrap_or(5000.0) - of.dump.clock_h.p10.unwrap_or(5000.0);
        (width(&found), width(&whole))
    };
    let each: Vec<(f64, f64)> = (0..4_u64).into_par_iter().map(widths).collect();
    let sum = |of: fn(&(f64, f64)) -> f64| each.iter().map(of).sum::<f64>();
    assert!(sum(|of| of.0) > 1.5 * sum(|of| of.1), "{each:?}");
}

/// The median of 500 members is that of others to 0.3 day. Producer: the same bath with another seed.
#[test]
fn seeds_hardly_matter() {
    let of = shop(Truth::default(), 0.02, 5);
    let medians: Vec<f64> = (1..3_u64)
        .into_par_iter()
        .map(|seed| {
            let options = TrackOptions { members: 500, seed, held_numbers: false, ..TrackOptions::default() };
            let found =
                track(&of.recipe, &first_rows(&of.log, 30), &options, &|_| true).expect("followed").track;
            found.dump.clock_h.p50.expect("a date")
        })
        .collect();
    assert!((medians[0] - medians[1]).abs() < 0.3 * 24.0, "{medians:?}");
}

/// Where a log shows what is worked, that is what the work to come is drawn from, and the answer says so: of eight days the
/// first and the last may not be whole.
#[test]
fn the_work_to_come_is_drawn_from_the_log() {
    let found = followed(&shop(Truth::default(), 0.02, 5), 30, 12);
    let of_work: Vec<&String> = found.drawn.iter().filter(|one| one.starts_with("work")).collect();
    assert!(
        of_work.len() == 1 && of_work[0].starts_with("work: 6 past shifts redrawn singly"),
        "{of_work:?}"
    );
    assert!(!found.held.iter().any(|one| one.contains("calendar")), "{:?}", found.held);
}

/// Producer: the same work in pools of one and of two threads.
#[test]
fn threads_do_not_matter() {
    let of = shop(Truth::default(), 0.02, 5);
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
        pool.install(|| followed(&of, 15, 12))
    };
    assert_eq!(with(1).ends_h, with(2).ends_h);
}

/// A reading below detection is an upper bound: it says nothing where less is expected, and is as good as a reading of the
/// limit where more is. Producer: the same log with readings of the limit, or with none.
#[test]
fn a_reading_below_detection_is_an_upper_bound() {
    let of = shop(Truth::default(), 0.02, 5);
    let log = first_rows(&of.log, 12);
    let with = |row: usize, value: Option<f64>, below: Option<f64>| {
        let mut log = log.clone();
        let named =
            log.columns.iter().position(|(name, _)| name == "orthophosphite_mol_l").expect("a column");
        log.columns[named].1[row] = value;
        let mut bounds = vec![None; log.rows.len()];
        bounds[row] = below;
        log.columns.push(("below_orthophosphite_mol_l".to_owned(), bounds));
        let options = TrackOptions { members: 1, held_numbers: false, ..TrackOptions::default() };
        track(&of.recipe, &log, &options, &|_| true).expect("followed").track
    };
    let believed = |track: &Track| track.rows[11].by_product_mol_l;
    let counted = |track: &Track| {
        track.below_detection.iter().map(|one| (one.readings, one.less_than_expected)).collect::<Vec<_>>()
    };
    // Far above and below what is there at row 10.
    let read = log.column("orthophosphite_mol_l").and_then(|cells| cells[10]).expect("a reading");
    let (agrees, none) = (with(10, None, Some(3.0 * read)), with(10, None, None));
    assert!((believed(&agrees) / believed(&none) - 1.0).abs() < 1e-12);
    assert_eq!((counted(&agrees), counted(&none)), (vec![(1, 0)], vec![]));
    let (bound, value) = (with(10, None, Some(0.9 * read)), with(10, Some(0.9 * read), None));
    assert_eq!(counted(&bound), [(1, 1)]);
    assert!(believed(&bound) < believed(&none) * 0.999, "{} {}", believed(&bound), believed(&none));
    assert!(
        (believed(&bound) / believed(&value) - 1.0).abs() < 1e-3,
        "{} {}",
        believed(&bound),
        believed(&value)
    );
}
