//! How well odd rows of a log are found: simulated shops, each log with one addition that nobody wrote down, one slip of the
//! pen, or nothing odd.
//!
//! `cargo run --release -p tests --example track_findings -- 50 0.02` prints, for titrations of nickel that scatter by 2 %,
//! how often each is found and called what it is, and how often something is found where nothing is odd (with `additions`,
//! `slips` or `nothing` after that, one of the three alone). Not part of the tests: it takes a while. Litres are those of a bath of 500 L; the shops have 400 L and get as much less.

use bathkin_fit::Sheet;
use bathkin_fit::track::{Finding, Grade, TrackOptions, track};
use rayon::prelude::*;
use support::shop::{Shop, Truth, first_rows, shop};
use support::slips::{Slip, slipped};

/// Rows that tell of an addition.
const WINDOW: usize = 8;
/// Rows of a log in which nothing is odd.
const ROWS: usize = 40;

fn main() {
    let mut arguments = std::env::args().skip(1);
    let baths: u64 = arguments.next().and_then(|text| text.parse().ok()).unwrap_or(10);
    let noise: f64 = arguments.next().and_then(|text| text.parse().ok()).unwrap_or(0.02);
    println!("{baths} baths a cell, titrations to {:.1} %", 100.0 * noise);
    let only: Option<String> = arguments.next();
    let wanted = |name: &str| only.as_ref().is_none_or(|only| only == name);
    if wanted("additions") {
        additions(baths, noise);
    }
    if wanted("slips") {
        slips(baths, noise);
    }
    if wanted("nothing") {
        nothing_odd(baths, noise);
    }
}

/// Row (counted from 0) at which something odd happens.
fn row_of(number: u64) -> usize {
    8 + (7 * number % 22) as usize
}

fn findings(of: &Shop, log: &Sheet, rows: usize) -> Vec<Finding> {
    let options = TrackOptions { members: 1, held_numbers: false, ..TrackOptions::default() };
    track(&of.recipe, &first_rows(log, rows), &options, &|_| true).expect("followed").track.findings
}

fn is_addition(one: &Finding) -> bool {
    matches!(one.code, "unlogged_addition" | "forgotten_dose")
}

/// Whether it is after a row (counted from 0), or one beside it.
fn is_after(one: &Finding, row: usize) -> bool {
    one.row.is_some_and(|of| of.abs_diff(row + 1) <= 1)
}

/// Whether it is a titration of a row (counted from 0).
fn is_titration(one: &Finding, row: usize) -> bool {
    one.code == "outlying_reading" && one.of == "nickel_g_l" && one.row == Some(row + 1)
}

fn share(of: &[bool]) -> f64 {
    of.iter().filter(|one| **one).count() as f64 / of.len().max(1) as f64
}

fn additions(baths: u64, noise: f64) {
    println!("not written   look  finding  told L (sd)     after one more row: addition   slip");
    for litres in [1.5, 2.0, 3.0, 4.5] {
        let one = |number: u64| {
            let row = row_of(number);
            let truth = Truth { dose: Some((row, 0.8 * litres)), ..Truth::default() };
            let of = shop(truth, noise, 2000 + number);
            let all = findings(&of, &of.log, row + 1 + WINDOW);
            let found = all.iter().find(|one| is_addition(one) && is_after(one, row)).cloned();
            let soon = findings(&of, &of.log, row + 3);
            let added = soon.iter().any(|one| is_addition(one) && is_after(one, row));
            let slip = soon.iter().any(|one| is_titration(one, row + 1));
            (found, added, slip)
        };
        let all: Vec<(Option<Finding>, bool, bool)> = (0..baths).into_par_iter().map(one).collect();
        let found: Vec<&Finding> = all.iter().filter_map(|one| one.0.as_ref()).collect();
        let graded = found.iter().filter(|one| one.grade == Grade::Finding).count();
        let sizes: Vec<f64> =
            found.iter().filter(|one| one.code == "unlogged_addition").filter_map(|one| one.size).collect();
        let count = sizes.len() as f64;
        let mean = sizes.iter().sum::<f64>() / count;
        let sd = (sizes.iter().map(|size| (size - mean).powi(2)).sum::<f64>() / (count - 1.0)).sqrt();
        println!(
            "{litres:8.1} L    {:5.2}  {:7.2}  {:6.2} ({:4.2})  {:35.2}  {:5.2}",
            found.len() as f64 / baths as f64,
            graded as f64 / baths as f64,
            mean / 0.8,
            sd / 0.8,
            share(&all.iter().map(|one| one.1).collect::<Vec<bool>>()),
            share(&all.iter().map(|one| one.2).collect::<Vec<bool>>()),
        );
    }
}

fn slips(baths: u64, noise: f64) {
    println!("slip           told  what was meant  called an addition   (after one more row)");
    let kinds = [
        ("ten times", Slip::TenTimes),
        ("a tenth", Slip::ATenth),
        ("swapped", Slip::Swapped),
        ("+ 15 %", Slip::By(0.15)),
    ];
    for (name, kind) in kinds {
        let one = |number: u64| {
            let row = row_of(number);
            let of = shop(Truth::default(), noise, 3000 + number);
            let (log, meant) = slipped(&of.log, "nickel_g_l", row, kind);
            let all = findings(&of, &log, row + 2);
            let told = all.iter().find(|one| is_titration(one, row));
            let right = |one: &Finding| one.meant.is_some_and(|value| (value - meant).abs() < 1e-9);
            let addition = all.iter().any(|one| {
                (is_addition(one) || one.code == "less_added")
                    && one.row.is_some_and(|of| of.abs_diff(row) <= 1)
            });
            (told.is_some(), told.is_some_and(right), addition)
        };
        let all: Vec<(bool, bool, bool)> = (0..baths).into_par_iter().map(one).collect();
        let of =
            |which: fn(&(bool, bool, bool)) -> bool| share(&all.iter().map(which).collect::<Vec<bool>>());
        println!("{name:13} {:5.2}  {:14.2}  {:18.2}", of(|one| one.0), of(|one| one.1), of(|one| one.2));
    }
}

fn nothing_odd(baths: u64, noise: f64) {
    println!("nothing odd     per row: findings of all kinds, then findings and looks of each kind");
    let plain = Truth::default();
    let truths = [
        ("same", plain),
        ("law", Truth { law: true, ..plain }),
        ("evaporation", Truth { evaporation: true, ..plain }),
        ("strength", Truth { strength: true, ..plain }),
        ("drift", Truth { drift: true, ..plain }),
    ];
    for (name, truth) in truths {
        let one = |number: u64| {
            let of = shop(truth, noise, 4000 + number);
            (of.log.rows.len().min(ROWS), findings(&of, &of.log, ROWS))
        };
        let all: Vec<(usize, Vec<Finding>)> = (0..baths).into_par_iter().map(one).collect();
        let rows = all.iter().map(|one| one.0).sum::<usize>() as f64;
        let found: Vec<&Finding> =
            all.iter().flat_map(|one| &one.1).filter(|one| one.row.is_some()).collect();
        let graded = found.iter().filter(|one| one.grade == Grade::Finding).count();
        let mut kinds: Vec<(&str, &str)> = found.iter().map(|one| (one.code, one.of.as_str())).collect();
        kinds.sort();
        let mut counts: Vec<((&str, &str), usize)> = Vec::new();
        for kind in kinds {
            match counts.last_mut() {
                Some((last, count)) if *last == kind => *count += 1,
                _ => counts.push((kind, 1)),
            }
        }
        println!("{name:13} {:9.4}", graded as f64 / rows);
        for ((code, of), count) in counts {
            println!("{:24}{code} of {of}: {:.4}", "", count as f64 / rows);
        }
    }
}
