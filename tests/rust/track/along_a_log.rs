//! One shop.

use bathkin_fit::track::{TrackOptions, track};
use support::shop::{Truth, first_rows, shop};

#[test]
fn what_it_says() {
    for (number, rows) in [(1, 10), (1, 20), (1, 40), (2, 20)] {
        let begun = std::time::Instant::now();
        let of = shop(Truth::default(), 0.02, number);
        println!("simulated {} rows in {:?}, dump {:.1} h", of.log.rows.len(), begun.elapsed(), of.dump_h);
        let begun = std::time::Instant::now();
        let tracked = track(
            &of.recipe,
            &first_rows(&of.log, rows),
            &TrackOptions { members: 100, ..TrackOptions::default() },
            &|_| true,
        )
        .expect("followed");
        let track = tracked.track;
        println!(
            "{rows} rows in {:?}: dump {:?} first {:?}",
            begun.elapsed(),
            track.dump.clock_h,
            track.first_limit
        );
        println!("noise {} {}", track.titration_noise_pct, track.noise_is_estimated);
        for one in &track.unknowns {
            println!("  {} {:.4} +- {:.4} (prior {:.4})", one.name, one.value, one.sd, one.prior_sd);
        }
        for one in &track.findings {
            println!("  {:?} {}", one.grade, one.text);
        }
        for one in &track.smallest_seen {
            println!("  {} {:.2} {:.2}", one.solution, one.look_l, one.finding_l);
        }
        for one in track.next_analysis.iter().take(5) {
            println!("  {} {:.2} {:.2}", one.of, one.sd, one.width_removed_pct);
        }
        if rows == 20 {
            for row in &track.rows {
                let z: Vec<String> =
                    row.readings.iter().map(|r| format!("{}:{:.2}", r.column, r.standardised)).collect();
                println!(
                    "  row {} t {} ni {:.3}+-{:.3} true {:.3} {}",
                    row.row,
                    row.time_h,
                    row.metal_g_l,
                    row.metal_sd_g_l,
                    of.nickel_g_l[row.row - 1],
                    z.join(" ")
                );
            }
            for one in track.standing.iter() {
                println!(
                    "  {} {:.4} [{:.4} {:.4}] {:?}",
                    one.name, one.value, one.p10, one.p90, one.pct_of_set_point
                );
            }
        }
    }
}
