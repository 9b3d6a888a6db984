//! The rest of a life of a bath that has not begun is its life.

use bathkin::Recipe;
use bathkin::life::{Member, RowByRow, Used, rest_of_life};
use bathkin::study::aged;
use bathkin::tank::Quantity;
use std::borrow::Cow;

fn model(name: &str) -> Recipe {
    Recipe::built_in(name).expect("built in")
}

/// Producer: the simulated life of the same recipe.
#[test]
fn from_make_up_it_is_the_life() {
    for name in ["nickel-acid", "copper-tartrate"] {
        let recipe = model(name);
        let model = recipe.model().expect("a model");
        let totals = &model.fresh_totals_mol_l;
        let members = [Member { tank: Cow::Borrowed(&model.tank), area_factor: 1.0 }];
        let state = RowByRow::new(&members, totals, 1e-8).fresh_state(totals);
        let used = Used { state, clock_s: 0.0 };
        let rest = rest_of_life(&model.tank, totals, used, &model.limits, &model.settings, &mut |_| true)
            .expect("it ends");
        let life = recipe.simulate_life().expect("a life").verdict;
        assert_eq!(rest.verdict.limit, life.limit);
        assert!((rest.verdict.clock_h / life.clock_h - 1.0).abs() < 1e-9, "{name}");
        assert!((rest.verdict.turnovers / life.turnovers - 1.0).abs() < 1e-9, "{name}");
    }
}

/// From half way on it ends at the same turnovers: producer, the whole life.
#[test]
fn from_half_way_it_ends_as_the_whole() {
    let recipe = model("nickel-acid");
    let model = recipe.model().expect("a model");
    let state = aged(model, (Quantity::TURNOVERS, 3.0)).expect("an age");
    let used = Used { state, clock_s: 0.0 };
    let rest = rest_of_life(
        &model.tank,
        &model.fresh_totals_mol_l,
        used,
        &model.limits,
        &model.settings,
        &mut |_| true,
    )
    .expect("it ends");
    let life = recipe.simulate_life().expect("a life").verdict;
    assert_eq!(rest.verdict.limit, life.limit);
    assert!(
        (rest.verdict.turnovers / life.turnovers - 1.0).abs() < 2e-3,
        "{} {}",
        rest.verdict.turnovers,
        life.turnovers
    );
    assert!((rest.turnovers_left - (life.turnovers_plated - 3.0)).abs() < 0.1);
}
