//! How honest the dump date of a followed bath is: simulated shops whose truth is not the recipe's model, by number of rows.
//!
//! `cargo run --release -p tests --example track_coverage -- 200 0.02` prints, for each truth and cut, the share of baths
//! whose dump lies between P10 and P90, the mean width and CRPS in days, and the CRPS of the earlier of two straight lines
//! (through the by-product's readings, through the rate's). After them the name of one truth or `every`; `both` weighs the
//! exponential ageing beside that of the recipe, and `planned` has the work to come known to the recipe, as it really is.
//! Not part of the tests: it takes a while.

use bathkin::document::Value;
use bathkin_fit::Sheet;
use bathkin_fit::track::{AgeingForm, TrackOptions, WorkAhead, track};
use bathkin_statistics::scores::{crps, line_reaches};
use rayon::prelude::*;
use support::shop::{Shop, Truth, WORKED_H, first_rows, shop};

fn main() {
    let mut arguments = std::env::args().skip(1);
    let baths: u64 = arguments.next().and_then(|text| text.parse().ok()).unwrap_or(40);
    let noise: f64 = arguments.next().and_then(|text| text.parse().ok()).unwrap_or(0.02);
    let only: Option<String> = arguments.next().filter(|text| text != "every");
    let more: Vec<String> = arguments.collect();
    let asked = |word: &str| more.iter().any(|one| one == word);
    let how = How { both: asked("both"), planned: asked("planned") };
    let plain = Truth::default();
    let truths = [
        ("same", plain),
        ("law", Truth { law: true, ..plain }),
        ("evaporation", Truth { evaporation: true, ..plain }),
        ("unlogged", Truth { unlogged: true, ..plain }),
        ("strength", Truth { strength: true, ..plain }),
        ("drift", Truth { drift: true, ..plain }),
        ("slip", Truth { slip: true, ..plain }),
        ("weeks", Truth { weeks: true, ..plain }),
        ("all", Truth::ALL),
    ];
    println!("{baths} baths a cell, titrations to {:.1} %", 100.0 * noise);
    println!("truth        row  baths  coverage  width d  CRPS d  lines d  early  rows s");
    for (name, truth) in truths.into_iter().filter(|(name, _)| only.as_ref().is_none_or(|only| only == name))
    {
        let shops: Vec<Shop> =
            (0..baths).into_par_iter().map(|number| shop(truth, noise, 1000 + number)).collect();
        for rows in [10, 20, 40] {
            let begun = std::time::Instant::now();
            let found: Vec<Scored> = shops
                .par_iter()
                .filter(|shop| shop.log.rows.len() > rows)
                .map(|shop| score(shop, rows, how))
                .collect();
            let count = found.len() as f64;
            let mean = |of: &dyn Fn(&Scored) -> f64| found.iter().map(of).sum::<f64>() / count;
            println!(
                "{name:12} {rows:3}  {:5}  {:8.3}  {:7.2}  {:6.2}  {:7.2}  {:5.2}  {:6.2}",
                found.len(),
                mean(&|one| f64::from(u8::from(one.inside))),
                mean(&|one| one.width_d),
                mean(&|one| one.crps_d),
                mean(&|one| one.lines_d),
                mean(&|one| f64::from(u8::from(one.early))),
                begun.elapsed().as_secs_f64() / count
            );
        }
    }
}

struct Scored {
    inside: bool,
    /// The truth lies below P10.
    early: bool,
    width_d: f64,
    crps_d: f64,
    lines_d: f64,
}

/// How each bath is followed.
#[derive(Clone, Copy)]
struct How {
    both: bool,
    planned: bool,
}

fn score(shop: &Shop, rows: usize, how: How) -> Scored {
    const HOURS: f64 = 24.0;
    let log = first_rows(&shop.log, rows);
    let ageing = if how.both {
        vec![AgeingForm::OfRecipe, AgeingForm::Exponential]
    } else {
        vec![AgeingForm::OfRecipe]
    };
    let (recipe, work) = if how.planned {
        let plan = shop.recipe.with("work.hours_per_day", Value::Number(WORKED_H), "as it really is");
        (plan, WorkAhead::AsPlanned)
    } else {
        (shop.recipe.clone(), WorkAhead::AsLogged)
    };
    let options = TrackOptions { members: 200, ageing, work, held_numbers: false, ..TrackOptions::default() };
    let track = track(&recipe, &log, &options, &|_| true).expect("followed").track;
    let ends: Vec<f64> = track.ends_h.iter().flatten().copied().collect();
    let (p10, p90) = (track.dump.clock_h.p10.unwrap_or(0.0), track.dump.clock_h.p90.unwrap_or(f64::INFINITY));
    let truth = shop.dump_h;
    if std::env::var_os("TRACK_EACH").is_some() {
        let of = |name: &str| {
            let one = track.unknowns.iter().find(|one| one.name == name);
            one.map_or((f64::NAN, f64::NAN), |one| (one.value, one.sd))
        };
        eprintln!(
            "{} row {rows}: truth {truth:.0} P10 {p10:.0} P50 {:.0} P90 {p90:.0} rate {:.3?} ageing {:.3?} side {:.3?} first {:?}",
            shop.log.file,
            track.dump.clock_h.p50.unwrap_or(f64::NAN),
            of("rate factor"),
            of("ageing constant"),
            of("side reactions"),
            track.first_limit.first()
        );
    }
    Scored {
        inside: (p10..=p90).contains(&truth),
        early: truth < p10,
        width_d: (p90 - p10) / HOURS,
        crps_d: crps(&ends, truth) / HOURS,
        lines_d: (lines(&log) - truth).abs() / HOURS,
    }
}

/// The earlier of two straight lines, h: by-product to its limit, rate to six tenths of what it was.
fn lines(log: &Sheet) -> f64 {
    // 150 g/L as HPO3.
    const BY_PRODUCT_MOL_L: f64 = 1.829;
    let column = |name: &str| {
        let time = log.column("time_h").expect("times");
        let cells = log.column(name).expect("a column");
        time.iter()
            .zip(cells)
            .filter_map(|(time, cell)| Some(((*time)?, (*cell)?)))
            .collect::<Vec<(f64, f64)>>()
    };
    let phosphite = column("orthophosphite_mol_l");
    let rate = column("deposition_um_h");
    let now = log.column("time_h").and_then(|cells| cells.last().copied().flatten()).unwrap_or(0.0);
    let start = rate.first().map_or(0.0, |point| point.1);
    let reached = [
        line_reaches(&phosphite, BY_PRODUCT_MOL_L, now),
        line_reaches(&rate, 0.6 * start, now),
        // The longest that is waited.
        Some(5000.0),
    ];
    reached.into_iter().flatten().fold(f64::INFINITY, f64::min)
}
