//! One right-hand side, a life. Read the numbers against the peers of `peers/`, which
//! do the same work in the same minute; absolute times depend on the machine.

use std::hint::black_box;

use bathkin::recipe::Recipe;
use bathkin::tank::{Balances, Tank};
use benches::{Walk, behind_film, eight_turnovers, power_law};
use criterion::{Criterion, criterion_group, criterion_main};

fn bench(criterion: &mut Criterion) {
    // With Davies, which the peers have too.
    let recipe = eight_turnovers("davies");
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
    let behind_film = behind_film();
    let model = behind_film.model().expect("resolves");
    let what = "right-hand side, warm, copper-tartrate behind a film";
    right_hand_side(criterion, what, &model.tank, &model.fresh_totals_mol_l);
    let sit = eight_turnovers("sit");
    for (what, recipe) in [("life, 8 turnovers", recipe), ("life, 8 turnovers, by specific interaction", sit)]
    {
        criterion.bench_function(what, |b| {
            b.iter(|| recipe.simulate_life().expect("runs").verdict.clock_h);
        });
    }
}

/// One evaluation, where a life asks for it.
fn right_hand_side(criterion: &mut Criterion, what: &str, tank: &Tank, totals: &[f64]) {
    criterion.bench_function(what, |b| {
        let balances = Balances::new(tank, totals);
        let mut walk = Walk::new(&balances, totals);
        b.iter(|| black_box(walk.evaluate()));
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(30);
    targets = bench
}
criterion_main!(benches);
