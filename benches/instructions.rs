//! One piece of work, so many times: what `instructions.py` counts the instructions of, and what a profiler looks at.
//!
//! `instructions NAME [TIMES]` does it once to warm up, then so many times inside [`measured`], and prints how
//! many pieces of work that was.

use std::hint::black_box;
use std::process::ExitCode;

use bathkin::Recipe;
use bathkin::life::simulate::fresh_state;
use bathkin::tank::Balances;
use bathkin_fit::fit_recipe;
use benches::{behind_film, eight_turnovers, power_law, runs_and_logs};

/// What can be measured.
const NAMES: [&str; 9] = [
    "right-hand side",
    "life",
    "life, davies",
    "life, captive line",
    "life, copper-edta",
    "life, film",
    "life, mixed potential",
    "recipe",
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
    work();
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
        "right-hand side" => right_hand_side(),
        "life" => life(eight_turnovers("sit")),
        "life, davies" => life(eight_turnovers("davies")),
        "life, captive line" => {
            let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../shared/scenarios/captive-line.toml");
            life(Recipe::load(path).expect("the scenario"))
        }
        "life, copper-edta" => life(Recipe::built_in("copper-edta").expect("built in")),
        "life, film" => life(behind_film()),
        "life, mixed potential" => life(Recipe::built_in("nickel-mixed-potential").expect("built in")),
        "recipe" => Box::new(|| {
            let recipe = Recipe::built_in("nickel-acid").expect("built in");
            black_box(recipe.model().expect("resolves").tank.plant.volume_l);
            1
        }),
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

fn life(recipe: Recipe) -> Box<dyn FnMut() -> u64> {
    recipe.model().expect("resolves");
    Box::new(move || {
        black_box(recipe.simulate_life().expect("runs"));
        1
    })
}

/// A thousand evaluations, what is dissolved moved by a few thousandths each time.
fn right_hand_side() -> Box<dyn FnMut() -> u64> {
    let recipe = power_law();
    Box::new(move || {
        let model = recipe.model().expect("resolves");
        let balances = Balances::new(&model.tank, &model.fresh_totals_mol_l);
        balances.set_area_m2(2.0);
        let state = fresh_state(&balances, &model.fresh_totals_mol_l);
        let dissolved = balances.layout().liquid().start..model.tank.bath.water();
        let (mut moved, mut derivative) = (state.clone(), vec![0.0; state.len()]);
        evaluate(&balances, &state, &mut moved, &dissolved, &mut derivative)
    })
}

/// The evaluations of [`right_hand_side`].
fn evaluate(
    balances: &Balances,
    state: &[f64],
    moved: &mut [f64],
    dissolved: &std::ops::Range<usize>,
    derivative: &mut [f64],
) -> u64 {
    const EVALUATIONS: u64 = 1000;
    for evaluation in 0..EVALUATIONS {
        let by = if evaluation % 2 == 0 { 2e-3 } else { -2e-3 };
        for slot in dissolved.clone() {
            moved[slot] = state[slot] * (1.0 + by);
        }
        balances.derivative(black_box(moved), derivative).expect("evaluates");
    }
    EVALUATIONS
}
