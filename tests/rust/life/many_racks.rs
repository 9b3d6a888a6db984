//! A rack costs the same among many as among few.

use std::time::Instant;

use bathkin::Recipe;

use support::recipes::{live, nickel_acid, pumped, say, set, without_limits};

/// So many racks, one after the other, each a row of a calendar.
fn line(racks: u32) -> Recipe {
    let name = format!("bathkin-{}-racks-{racks}.csv", std::process::id());
    let file = std::env::temp_dir().join(name);
    let rows: Vec<String> = (0..racks).map(|rack| format!("{},{},4", f64::from(rack) * 0.1, 3)).collect();
    std::fs::write(&file, format!("in_h,minutes,area_dm2\n{}\n", rows.join("\n"))).expect("written");
    let bath =
        say(&pumped(&without_limits(&nickel_acid())), &[("work.calendar", file.to_str().expect("a path"))]);
    // A law of plate-out asks for the least rack at every reading.
    let bath = set(
        &bath,
        &[
            ("decomposition.rate_mol_l_h", 1e-9),
            ("decomposition.flag_above_pct", 5.0),
            ("limits.clock_h", f64::from(racks) * 0.1),
        ],
    );
    bath.model().expect("a model");
    std::fs::remove_file(&file).ok();
    bath
}

/// Processor time of this thread, s, where the system tells; else the clock's.
fn spent_s(work: impl FnOnce()) -> f64 {
    let of_thread = || -> Option<f64> {
        let text = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
        text.split(' ').next()?.parse::<f64>().ok().map(|nanoseconds| nanoseconds * 1e-9)
    };
    let (clock, before) = (Instant::now(), of_thread());
    work();
    match (before, of_thread()) {
        (Some(before), Some(after)) => after - before,
        _ => clock.elapsed().as_secs_f64(),
    }
}

/// Producer: proportion. Sixteen times the racks take sixteen times as long, within what a busy machine does to
/// times; a search through all racks at each reading made it forty.
#[test]
fn sixteen_times_the_racks_take_sixteen_times_as_long() {
    let per_rack = |racks: u32| {
        let bath = line(racks);
        let once = || {
            spent_s(|| {
                let life = live(&bath);
                assert_eq!(life.loads.len(), racks as usize);
            })
        };
        (0..3).map(|_| once()).fold(f64::INFINITY, f64::min) / f64::from(racks)
    };
    let (few, many) = (per_rack(1_000), per_rack(16_000));
    assert!(many < 1.6 * few, "{:.1} us a rack among 1,000, {:.1} us among 16,000", few * 1e6, many * 1e6);
}
