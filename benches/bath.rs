//! One right-hand side, a life. Read the numbers against the peers of `peers/`, which
//! do the same work in the same minute; absolute times depend on the machine.

use std::hint::black_box;

use bathkin::document::Value;
use bathkin::recipe::Recipe;
use bathkin::tank::{Balances, Tank};
use benches::power_law;
use criterion::{Criterion, criterion_group, criterion_main};

/// The bath of the bench: power-law around the clock, 8 turnovers, some 330 stops.
fn recipe() -> Recipe {
    let number =
        |recipe: Recipe, path: &str, value: f64| recipe.with(path, Value::Number(value), "the bench");
    // With Davies, which the peers have too.
    let davies = Value::Text("davies".to_owned());
    let recipe = power_law().with("solution.activity", davies, "the bench");
    [
        ("work.hours_per_day", 24.0),
        ("work.days_per_week", 7.0),
        ("ph_control.dead_band_ph", 0.05),
        ("replenishment.metal_trigger_pct", 97.5),
        ("limits.turnovers", 8.0),
        ("limits.orthophosphite_g_l_as_hpo3", 1000.0),
        ("limits.deposition_pct_of_fresh", 1.0),
        ("limits.phosphorus_wt_pct_max", 50.0),
    ]
    .into_iter()
    .fold(recipe, |recipe, (path, value)| number(recipe, path, value))
}

fn bench(criterion: &mut Criterion) {
    let recipe = recipe();
    let model = recipe.model().expect("resolves");
    let (tank, totals) = (&model.tank, &model.fresh_totals_mol_l);

    criterion.bench_function("recipe resolved and made up", |b| {
        b.iter(|| power_law().make_up().expect("makes up").ph());
    });
    right_hand_side(criterion, "right-hand side, warm", tank, totals);
    // With specific interaction, as the built-in baths have it: what a law costs is the ratio to this one.
    let plain = power_law();
    let of_plain = plain.model().expect("resolves");
    let what = "right-hand side, warm, power-law by specific interaction";
    right_hand_side(criterion, what, &of_plain.tank, &of_plain.fresh_totals_mol_l);
    for name in ["nickel-acid", "copper-edta", "copper-tartrate", "nickel-mixed-potential"] {
        let recipe = Recipe::built_in(name).expect("built in");
        let model = recipe.model().expect("resolves");
        let what = format!("right-hand side, warm, {name}");
        right_hand_side(criterion, &what, &model.tank, &model.fresh_totals_mol_l);
    }
    let behind_film = Recipe::built_in("copper-tartrate").expect("built in").with(
        "film.stirring",
        Value::Text("moved-work".to_owned()),
        "the bench",
    );
    let model = behind_film.model().expect("resolves");
    let what = "right-hand side, warm, copper-tartrate behind a film";
    right_hand_side(criterion, what, &model.tank, &model.fresh_totals_mol_l);
    criterion.bench_function("life, 8 turnovers", |b| {
        b.iter(|| recipe.simulate_life().expect("runs").verdict.clock_h);
    });
}

/// One evaluation, what is dissolved moved by a few thousandths each time. The volume and the water stay:
/// moved with the rest they would leave every concentration as it was, and nothing to solve.
fn right_hand_side(criterion: &mut Criterion, what: &str, tank: &Tank, totals: &[f64]) {
    criterion.bench_function(what, |b| {
        let balances = Balances::new(tank, totals);
        balances.set_area_m2(2.0);
        let state = bathkin::life::simulate::fresh_state(&balances, totals);
        let dissolved = balances.layout().liquid().start..tank.bath.water();
        let mut moved = state.clone();
        let mut derivative = vec![0.0; state.len()];
        let mut sign = 1.0;
        b.iter(|| {
            sign = -sign;
            for slot in dissolved.clone() {
                moved[slot] = state[slot] * (1.0 + sign * 2e-3);
            }
            balances.derivative(black_box(&moved), &mut derivative).expect("evaluates");
            derivative[0]
        });
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(30);
    targets = bench
}
criterion_main!(benches);
