//! Best numbers of a recipe against dense grids; trade-offs; refusals.

use bathkin::study::ensemble::{Collected, Design, EnsemblePlan};
use bathkin::study::optimise::{Aim, Asked, Band, Optimisation, TradeOff, Varied, optimise, trade_off};
use bathkin::{Error, Recipe, Stop, Value};
use rayon::ThreadPoolBuilder;
use support::assert_relative;

const PH: &str = "operation.ph";
const TEMPERATURE: &str = "operation.temperature_c";
const COST: &str = "dump.cost_per_m2";
const RATE: &str = "make_up.deposition_um_h";
const AREA: &str = "dump.area_m2";

/// Its life ends after one turnover.
fn short() -> Recipe {
    Recipe::built_in("nickel-acid").expect("built in").with("limits.turnovers", Value::Number(1.0), "test")
}

fn varied(path: &str, low: f64, high: f64) -> Varied {
    Varied { path: path.to_owned(), low, high }
}

fn aim(output: &str, most: bool) -> Aim {
    Aim { output: output.to_owned(), most }
}

fn band(name: &str, low: Option<f64>, high: Option<f64>) -> Band {
    Band { name: name.to_owned(), low, high }
}

fn asked(aims: Vec<Aim>, limits: Vec<Band>) -> Asked {
    let vary = vec![varied(PH, 4.4, 5.2), varied(TEMPERATURE, 80.0, 94.0)];
    Asked { vary, aims, limits, outputs: Vec::new(), points: 16, starts: 2, restarts: 1, seed: 3 }
}

fn found(recipe: &Recipe, asked: &Asked) -> Optimisation {
    optimise(recipe, asked, &Stop::default(), &|_| true).expect("an optimum")
}

fn refusal(asked: &Asked) -> String {
    optimise(&short(), asked, &Stop::default(), &|_| true).expect_err("refused").to_string()
}

/// The best of a dense grid, by the ensemble that goes through it: the goal of those within the limits.
fn best_of_grid(recipe: &Recipe, asked: &Asked, steps: usize) -> f64 {
    let line = |one: &Varied| -> Vec<f64> {
        let part = |k: usize| k as f64 / (steps - 1) as f64;
        (0..steps).map(|k| one.low + part(k) * (one.high - one.low)).collect()
    };
    let paths: Vec<String> = asked.vary.iter().map(|one| one.path.clone()).collect();
    let mut outputs = vec![asked.aims[0].output.clone()];
    outputs.extend(asked.limits.iter().map(|band| band.name.clone()));
    let design = Design::Grid(asked.vary.iter().map(line).collect());
    let plan = EnsemblePlan::new(recipe, &paths, design, &outputs, 0).expect("a plan");
    let mut collected = Collected::new(&plan, 0..plan.design.count(), true);
    let parts = collected.missing();
    plan.run(&parts, |chunk| -> Result<(), Error> {
        collected.take(&plan, chunk);
        Ok(())
    })
    .expect("not stopped");
    let columns = collected.columns().expect("kept");
    let met = |row: usize| {
        asked.limits.iter().zip(&columns[1..]).all(|(band, column)| {
            band.low.is_none_or(|low| column[row] >= low) && band.high.is_none_or(|high| column[row] <= high)
        })
    };
    let sign = if asked.aims[0].most { -1.0 } else { 1.0 };
    let best = (0..columns[0].len()).filter(|row| met(*row)).map(|row| sign * columns[0][row]);
    sign * best.fold(f64::INFINITY, f64::min)
}

/// Within one per cent of the best of 21 x 21 lives, or better: least cost under a limit on the rate.
#[test]
fn the_least_cost_is_that_of_a_dense_grid() {
    let asked = asked(vec![aim(COST, false)], vec![band(RATE, Some(16.0), None)]);
    let best = found(&short(), &asked);
    let grid = best_of_grid(&short(), &asked, 21);
    println!("{} against {grid} of the grid, after {} points", best.goal.value, best.attempts.points);
    assert!(best.feasible && best.complete);
    assert!(best.goal.value <= 1.01 * grid, "{} against {grid}", best.goal.value);
    let limit = &best.limits[0];
    assert!(limit.met && limit.margin >= 0.0 && limit.unit == "um/h", "{limit:?}");
    assert_eq!(limit.value - limit.bound, limit.margin);
}

/// The greatest rate of the fresh bath within a band of phosphorus, against 41 x 41 points.
#[test]
fn the_greatest_rate_is_that_of_a_dense_grid() {
    let phosphorus = "make_up.phosphorus_wt_pct";
    let own = found(&short(), &asked(vec![aim(RATE, true)], vec![band(phosphorus, Some(0.0), None)]));
    let low = own.limits[0].at_recipe.expect("its own point lies in the box");
    let asked = asked(vec![aim(RATE, true)], vec![band(phosphorus, Some(low), Some(low + 2.0))]);
    let best = found(&short(), &asked);
    let grid = best_of_grid(&short(), &asked, 41);
    assert!(best.feasible);
    assert!(best.goal.value >= 0.99 * grid, "{} against {grid}", best.goal.value);
    // More phosphorus comes with less rate, so the least phosphorus that is allowed binds, and heat is free.
    assert!(best.limits[0].binds && !best.limits[1].binds, "{:?}", best.limits);
    assert_eq!(best.numbers[1].touches.as_deref(), Some("high"));
    assert_eq!(best.numbers[0].touches, None);
    assert_eq!(best.first_limit, None);
}

/// After 40 h nickel stands somewhere on the sawtooth of its doses, whose crest is the set-point of 6 g/L: a search finds a
/// crest, and is not believed.
#[test]
fn doses_scatter_an_optimum_and_it_is_said() {
    let recipe = Recipe::built_in("nickel-acid").expect("built in");
    let recipe = recipe.with("limits.clock_h", Value::Number(40.0), "test");
    let mut asked = asked(vec![aim("end.metal_g_l", true)], Vec::new());
    asked.vary = vec![varied("replenishment.metal_trigger_pct", 80.0, 98.0), varied(PH, 4.6, 5.0)];
    asked.seed = 0;
    let best = found(&recipe, &asked);
    assert!((5.9..=6.0).contains(&best.goal.value), "{:?}", best.goal);
    let (scatter, smooth) = (best.goal.scatter.expect("neighbours"), best.goal.smooth.expect("neighbours"));
    // Doses of 2 to 20 % of 6 g/L: a uniform place on a tooth of height h scatters by h/√12, 0.03 to 0.35 g/L.
    assert!((0.03..0.35).contains(&scatter), "{scatter}");
    assert!(best.goal.value - smooth > 2.0 * scatter, "{:?}", best.goal);
    let told = best.flags.iter().find(|flag| flag.r#where == "optimise.scatter").expect("said");
    assert!(told.what.contains("times its scatter"), "{}", told.what);
    assert!(best.numbers[0].as_good_high - best.numbers[0].as_good_low > 1.0, "{:?}", best.numbers);
}

/// A point of the answer is the recipe with its numbers.
#[test]
fn the_answer_is_that_of_the_recipe_with_its_numbers() {
    let asked = asked(vec![aim(COST, false)], vec![band("deposition_um_h", Some(10.0), Some(30.0))]);
    let best = found(&short(), &asked);
    let changed = best
        .numbers
        .iter()
        .fold(short(), |recipe, one| recipe.with(&one.path, Value::Number(one.value), "test"));
    let life = changed.simulate_life().expect("a life");
    let cost = changed.life_cost(&life.verdict, &life.table).expect("prices").expect("prices");
    let per_m2 = cost.cost / life.verdict.area_m2;
    assert_relative("cost", best.goal.value, per_m2, 1e-12);
    let rates = life.table.column("deposition_um_h").expect("a column");
    let least = rates.iter().copied().fold(f64::INFINITY, f64::min);
    let names: Vec<&str> = best.limits.iter().map(|limit| limit.output.as_str()).collect();
    assert_eq!(names, ["least.deposition_um_h", "greatest.deposition_um_h"]);
    assert_eq!(best.limits[0].value, least);
    assert_eq!(best.first_limit.as_deref(), Some(life.verdict.limit.as_str()));
}

#[test]
fn threads_change_no_bit() {
    let asked = asked(vec![aim(COST, false)], vec![band(RATE, Some(16.0), None)]);
    let by = |threads: usize| {
        let pool = ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| found(&short(), &asked))
    };
    let one = by(1);
    assert_eq!(one, by(2));
    assert_eq!(one, by(4));
}

#[test]
fn what_cannot_be_kept_is_said_with_the_point_that_breaks_it_least() {
    let asked = asked(vec![aim(RATE, false)], vec![band(RATE, Some(500.0), None)]);
    let best = found(&short(), &asked);
    assert!(!best.feasible);
    assert_eq!(best.attempts.feasible, 0);
    let fastest = best.numbers.iter().map(|one| one.touches.as_deref()).collect::<Vec<_>>();
    assert_eq!(fastest, [Some("high"), Some("high")], "the hottest bath of the highest pH is fastest");
    assert!(best.limits[0].margin < -400.0 && !best.limits[0].met);
    let told = best.flags.iter().find(|flag| flag.r#where == "optimise.infeasible").expect("said");
    assert!(told.what.contains("where at least 500 is asked"), "{}", told.what);
}

#[test]
fn points_that_fail_are_counted_with_their_reason() {
    // Beyond 95 degC the bath boils or is out of bounds: the recipe refuses those members.
    let mut asked = asked(vec![aim("turnover_2.ph", true)], Vec::new());
    let refused = optimise(&short(), &asked, &Stop::default(), &|_| true).expect_err("no point has it");
    let told = refused.to_string();
    assert!(told.contains("at least one that can be computed"), "{told}");
    assert!(told.contains("turnover_2.ph has no value there"), "{told}");
    asked.vary = vec![varied("limits.turnovers", 0.5, 1.5)];
    asked.aims = vec![aim("turnover_1.metal_g_l", true)];
    let best = found(&short(), &asked);
    assert!(best.attempts.failed > 0, "lives of less than a turnover have none");
    assert_eq!(best.attempts.failed_by_code["no-value"], best.attempts.failed);
    assert!(best.attempts.failures[0].values[0].1 < 1.0);
    assert!(best.numbers[0].value >= 1.0);
}

#[test]
fn a_trade_off_goes_from_one_best_to_the_other() {
    let asked = asked(vec![aim(RATE, true), aim("make_up.phosphorus_wt_pct", true)], Vec::new());
    let TradeOff { feasible, complete, ends, points, .. } =
        trade_off(&short(), &asked, 5, &Stop::default(), &|_| true).expect("a curve");
    assert!(feasible && complete);
    assert!((3..=5).contains(&points.len()), "{}", points.len());
    let of = |place: usize| -> Vec<f64> { points.iter().map(|point| point.outputs[place].1).collect() };
    let (rate, phosphorus) = (of(0), of(1));
    assert_eq!(rate[0], ends[0].goal.value);
    assert_eq!(*phosphorus.last().expect("a point"), ends[1].goal.value);
    assert!(rate.windows(2).all(|pair| pair[1] < pair[0]), "{rate:?}");
    assert!(phosphorus.windows(2).all(|pair| pair[1] > pair[0]), "{phosphorus:?}");
}

#[test]
fn what_is_stopped_has_the_best_so_far() {
    let asked = asked(vec![aim(AREA, true)], Vec::new());
    let best = optimise(&short(), &asked, &Stop::default(), &|done| done < 10).expect("the best so far");
    assert!(!best.complete && best.attempts.points >= 10);
    assert!(best.flags.iter().any(|flag| flag.what.contains("the best until then")));
    let none = optimise(&short(), &asked, &Stop::default(), &|_| false).expect_err("nothing");
    assert_eq!(none, Error::Stopped);
}

#[test]
fn refusals_say_what_was_expected() {
    let cost = || vec![aim(COST, false)];
    let with = |change: &dyn Fn(&mut Asked)| {
        let mut asked = asked(cost(), Vec::new());
        change(&mut asked);
        refusal(&asked)
    };
    for (told, expected) in [
        (with(&|one| one.vary.clear()), "optimise: vary = (none): expected at least one"),
        (with(&|one| one.vary[1] = varied(PH, 4.5, 5.0)), "vary = operation.ph: expected each name once"),
        (with(&|one| one.vary[0].path = "operation.phh".to_owned()), "no number is called 'operation.phh'"),
        (with(&|one| one.vary[0].high = 4.4), "operation.ph = 4.4 to 4.4: expected a low and a high bound"),
        (with(&|one| one.vary[0].low = f64::NAN), "operation.ph = NaN to 5.2: expected a low"),
        (with(&|one| one.vary[0].high = 15.0), "optimise: operation.ph = 15: expected a pH"),
        (
            with(&|one| one.vary[0] = varied("solver.max_steps", 1e4, 1e5)),
            "expected a number that is continuous: this one says how a life is computed",
        ),
        (
            with(&|one| one.vary[0] = varied("cost.currency", 1.0, 2.0)),
            "expected a number that is continuous: this is a word",
        ),
        (with(&|one| one.aims[0].output = "dump.costs".to_owned()), "no output is called 'dump.costs'"),
        (with(&|one| one.aims[0].output = "dump.limit".to_owned()), "output = dump.limit: expected a number"),
        (with(&|one| one.limits = vec![band("speed", Some(1.0), None)]), "no output is called 'least.speed'"),
        (
            with(&|one| one.limits = vec![band(RATE, None, None)]),
            "none to none: expected a finite least value",
        ),
        (with(&|one| one.limits = vec![band(RATE, Some(3.0), Some(2.0))]), "3 to 2: expected a finite"),
        (with(&|one| one.points = 10), "points = 10: expected a power of two"),
        (with(&|one| one.starts = 0), "starts = 0: expected at least one"),
    ] {
        assert!(told.contains(expected), "{told}\n  has no: {expected}");
    }
}
