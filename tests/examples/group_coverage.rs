//! How honest intervals are where coupons come in batches: simulated sheets of a bath whose batches differ, fitted with and
//! without `group`.
//!
//! `cargo run --release -p tests --example group_coverage -- 400` prints, by number of batches, coupons in each and the ratio of
//! the standard deviations between and within, the share of 95 % intervals that hold the truth: of the rate and the activation
//! energy, which are told by batches alone (each plates at one temperature), of the order in pH, which is told within them, and
//! of the standard deviation between. Not part of the tests: it takes a while.

use bathkin_fit::{Data, FitSpecification, RecipeFit, RecipeFitOptions, Sheet, fit_recipe};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rayon::prelude::*;

use support::fits::{ENERGY, PH_ORDER, RATE, asked, calculated, sheet, some};
use support::random::normal;
use support::recipes::{power_law, set};

const TRUTH: [(&str, f64); 3] = [(RATE, 4.6e-4), (ENERGY, 58.0), (PH_ORDER, 0.3)];
/// Relative standard deviation within a batch.
const WITHIN: f64 = 0.03;

fn main() {
    let sheets: u64 = std::env::args().nth(1).and_then(|text| text.parse().ok()).unwrap_or(400);
    println!("{sheets} sheets a line; batches differ by ratio times {:.0} %", 100.0 * WITHIN);
    println!(
        "batches coupons ratio | alone: rate energy order | group: rate energy order between | estimate/truth 5 95 %"
    );
    for (batches, coupons, ratio) in [
        (4, 6, 2.0),
        (4, 6, 0.7),
        (4, 3, 2.0),
        (6, 6, 2.0),
        (6, 6, 0.7),
        (6, 3, 2.0),
        (10, 6, 2.0),
        (10, 3, 0.7),
    ] {
        let found: Vec<Counted> =
            (0..sheets).into_par_iter().map(|seed| counted(batches, coupons, ratio, seed)).collect();
        let share = |of: &dyn Fn(&Counted) -> bool| {
            found.iter().filter(|one| of(one)).count() as f64 / found.len() as f64
        };
        let alone = [0, 1, 2].map(|place| format!("{:6.3}", share(&|one| one.alone[place]))).join(" ");
        let group = [0, 1, 2].map(|place| format!("{:6.3}", share(&|one| one.group[place]))).join(" ");
        let mut sizes: Vec<f64> = found.iter().map(|one| one.size).collect();
        sizes.sort_by(f64::total_cmp);
        let at = |part: f64| sizes[(part * (sizes.len() - 1) as f64) as usize];
        println!(
            "{batches:7} {coupons:7} {ratio:5.1} | {alone:>26} | {group} {:7.3} | {:.2} {:.2}",
            share(&|one| one.between),
            at(0.05),
            at(0.95)
        );
    }
}

/// Which intervals hold the truth.
struct Counted {
    alone: [bool; 3],
    group: [bool; 3],
    between: bool,
    /// Standard deviation between, as part of the truth.
    size: f64,
}

fn counted(batches: usize, coupons: usize, ratio: f64, seed: u64) -> Counted {
    let data = [Data::Runs(drawn(batches, coupons, ratio, seed))];
    let free = TRUTH.map(|(path, _)| path);
    let fitted = |group: &[&str]| {
        let group = group.iter().map(|label| (*label).to_owned()).collect();
        let specification = FitSpecification { group, ..asked(&free) };
        let options = RecipeFitOptions { specification, ..RecipeFitOptions::default() };
        fit_recipe(&power_law(), &data, &options).unwrap_or_else(|error| panic!("sheet {seed}: {error}"))
    };
    let holds = |found: &RecipeFit| {
        [0, 1, 2].map(|place| {
            let [low, high] = found.estimates[place].interval95.expect("an interval");
            (low..high).contains(&TRUTH[place].1)
        })
    };
    let of_batches = fitted(&["batch"]);
    let between = of_batches.random_effects().expect("effects").components[0].clone();
    let truth = ratio * WITHIN;
    let [low, high] = between.interval95.expect("an interval");
    Counted {
        alone: holds(&fitted(&[])),
        group: holds(&of_batches),
        between: (low..high).contains(&truth),
        size: between.standard_deviation / truth,
    }
}

/// A sheet: each batch plates at one temperature, its coupons at pH of their own.
fn drawn(batches: usize, coupons: usize, ratio: f64, seed: u64) -> Sheet {
    let mut random = ChaCha8Rng::seed_from_u64(7000 + seed);
    let (mut temperature_c, mut ph, mut batch, mut off) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for number in 0..batches {
        let of_batch = ratio * WITHIN * normal(&mut random);
        for _ in 0..coupons {
            temperature_c.push(78.0 + 14.0 * number as f64 / (batches - 1) as f64);
            ph.push(4.8 + 0.4 * normal(&mut random).clamp(-1.5, 1.5));
            batch.push(number.to_string());
            off.push(of_batch + WITHIN * normal(&mut random));
        }
    }
    let table = |rates: &[f64]| {
        let columns = vec![
            ("temperature_c", some(&temperature_c)),
            ("ph", some(&ph)),
            ("deposition_um_h", some(rates)),
        ];
        Sheet { labels: vec![("batch".to_owned(), batch.clone())], ..sheet("drawn.csv", columns) }
    };
    let blank = vec![1.0; off.len()];
    let (_, exact) = calculated(
        &set(&power_law(), &TRUTH),
        &[Data::Runs(table(&blank))],
        &asked(&TRUTH.map(|(path, _)| path)),
    );
    let rates: Vec<f64> = exact.iter().zip(&off).map(|(exact, off)| exact * off.exp()).collect();
    table(&rates)
}
