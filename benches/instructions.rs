//! One piece of work, so many times: what `instructions.py` counts the instructions of, and what a profiler looks at.
//!
//! `instructions NAME [TIMES]` does it once to warm up (not the first recipe), then so many times inside [`measured`], and
//! prints how many pieces of work that was.

use std::hint::black_box;
use std::process::ExitCode;

use bathkin::Recipe;
use bathkin::tank::Balances;
use bathkin_fit::fit_recipe;
use benches::{Walk, behind_film, eight_turnovers, power_law, runs_and_logs};

/// The first recipe of a process.
const FIRST: &str = "recipe, first";

/// What can be measured.
const NAMES: [&str; 10] = [
    "right-hand side, along a life",
    "life",
    "life, davies",
    "life, captive line",
    "life, copper-edta",
    "life, film",
    "life, mixed potential",
    "recipe",
    FIRST,
    "fit",
];

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let name = arguments.next().unwrap_or_default();
    let times = arguments.next().map_or(Some(1), |times| times.parse().ok());
    let (Some(mut work), Some(times)) = (work(&name), times) else {
        eprintln!("instructions NAME [TIMES]; NAME is one of: {}", NAMES.join("; "));
        return ExitCode::FAILURE;
    };
    if name != FIRST {
        work();
    }
    println!("{}", measured(&mut *work, times));
    ExitCode::SUCCESS
}

/// The only part that is counted.
#[inline(never)]
fn measured(work: &mut dyn FnMut() -> u64, times: u32) -> u64 {
    (0..times).map(|_| work()).sum()
}

/// A piece of work by name; it gives how many of what is counted it did.
fn work(name: &str) -> Option<Box<dyn FnMut() -> u64>> {
    Some(match name {
        "right-hand side, along a life" => right_hand_side(),
        "life" => life(eight_turnovers("sit")),
        "life, davies" => life(eight_turnovers("davies")),
        "life, captive line" => {
            let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../shared/scenarios/captive-line.toml");
            life(Recipe::load(path).expect("the scenario"))
        }
        "life, copper-edta" => life(Recipe::built_in("copper-edta").expect("built in")),
        "life, film" => life(behind_film()),
        "life, mixed potential" => life(Recipe::built_in("nickel-mixed-potential").expect("built in")),
        "recipe" => load(),
        // The constants are read too: never warmed up.
        FIRST => load(),
        "fit" => {
            let (recipe, (data, options)) = (power_law(), runs_and_logs());
            Box::new(move || {
                black_box(fit_recipe(&recipe, &data, &options).expect("a fit"));
                1
            })
        }
        _ => return None,
    })
}

fn load() -> Box<dyn FnMut() -> u64> {
    Box::new(|| {
        let recipe = Recipe::built_in("nickel-acid").expect("built in");
        black_box(recipe.model().expect("resolves").tank.plant.volume_l);
        1
    })
}

fn life(recipe: Recipe) -> Box<dyn FnMut() -> u64> {
    recipe.model().expect("resolves");
    Box::new(move || {
        black_box(recipe.simulate_life().expect("runs"));
        1
    })
}

/// A thousand evaluations, where a life asks for them.
fn right_hand_side() -> Box<dyn FnMut() -> u64> {
    const EVALUATIONS: u64 = 1000;
    let recipe = power_law();
    Box::new(move || {
        let model = recipe.model().expect("resolves");
        let balances = Balances::new(&model.tank, &model.fresh_totals_mol_l);
        let mut walk = Walk::new(&balances, &model.fresh_totals_mol_l);
        (0..EVALUATIONS).for_each(|_| {
            black_box(walk.evaluate());
        });
        EVALUATIONS
    })
}
