//! Whether the band of the date is honest when the model is wrong. `examples/track_coverage.rs` has the full figures.

use bathkin_fit::track::{TrackOptions, track};
use rayon::prelude::*;
use support::shop::{Truth, first_rows, shop};

/// 40 baths of four wrong truths at their twentieth row: P10 to P90 should hold eight of ten.
#[test]
fn the_band_holds_about_eight_of_ten() {
    let plain = Truth::default();
    let truths = [
        Truth { law: true, ..plain },
        Truth { unlogged: true, ..plain },
        Truth { strength: true, ..plain },
        Truth { drift: true, ..plain },
    ];
    let inside = |number: u64| {
        let of = shop(truths[number as usize % truths.len()], 0.02, 300 + number);
        let options = TrackOptions { members: 60, held_numbers: false, ..TrackOptions::default() };
        let found = track(&of.recipe, &first_rows(&of.log, 20), &options, &|_| true).expect("followed");
        let dump = found.track.dump.clock_h;
        dump.p10.is_some_and(|early| early <= of.dump_h) && dump.p90.is_none_or(|late| of.dump_h <= late)
    };
    let held = (0..40_u64).into_par_iter().filter(|number| inside(*number)).count();
    assert!((26..=38).contains(&held), "{held} of 40");
}
