//! Warnings of a recipe over a life: judged by what the bath is in each row, not by what it works at.

use bathkin::Recipe;

use support::assert_within;
use support::recipes::{live, nickel_acid, pumped, say, set, without_limits};

/// The flags of a life that a warning raised.
fn raised(recipe: &Recipe, name: &str) -> Vec<String> {
    let life = live(recipe);
    let flags = recipe.life_flags(&life).expect("flags");
    flags.into_iter().filter(|flag| flag.r#where == name).map(|flag| flag.what).collect()
}

/// Steps of the set-point: hours and degC.
fn stepped(recipe: &Recipe, steps: &[(f64, f64)]) -> Recipe {
    steps.iter().enumerate().fold(recipe.clone(), |recipe, (number, (at_h, celsius))| {
        let path = |key: &str| format!("temperature.step{number}.{key}");
        let (at, over, to) = (path("at_h"), path("over_h"), path("temperature_c"));
        set(&recipe, &[(&at, *at_h), (&over, 0.5), (&to, *celsius)])
    })
}

/// Producer: the declared temperatures. A bath heated to 94 degC for good, or for two hours between two rows of its
/// table, is flagged at 94; one that stays below the bound is not, and one that is hot at work but cold at night
/// is judged hot.
#[test]
fn a_hot_bath_is_flagged_wherever_it_is_hot() {
    let bath = say(&pumped(&without_limits(&nickel_acid())), &[("warning.heat.what", "the stabilizer goes")]);
    let bath = set(&bath, &[("warning.heat.temperature_c_above", 90.0), ("limits.turnovers", 1.0)]);
    assert!(raised(&bath, "heat").is_empty());
    for steps in [vec![(2.0, 94.0)], vec![(2.0, 94.0), (4.0, 88.0)]] {
        let what = raised(&stepped(&bath, &steps), "heat");
        assert_eq!(what.len(), 1, "{steps:?}");
        assert!(what[0].starts_with("temperature 94.00 is above 90 degC"), "{what:?}");
    }
    assert!(raised(&stepped(&bath, &[(2.0, 89.0)]), "heat").is_empty());
    // Judged at the working temperature a bath turned down would be flagged in every row.
    let cool = set(&bath, &[("warning.heat.temperature_c_above", 87.0)]);
    let hot_first = raised(&cool, "heat");
    assert!(hot_first[0].starts_with("temperature 88.00"), "{hot_first:?}");
}

/// The oxide margin of a fresh bath at a temperature, V, as its own warning says it.
fn margin_v(recipe: &Recipe, celsius: f64) -> f64 {
    let bath =
        set(recipe, &[("operation.temperature_c", celsius), ("warning.margin.oxide_margin_v_above", -2.0)]);
    let flags = bath.make_up().expect("a bath").flags().expect("flags");
    let flag = flags.iter().find(|flag| flag.r#where == "margin").expect("raised");
    let said = flag.what.split(" is above").next().expect("words");
    said.rsplit(' ').next().expect("a number").parse().expect("a number")
}

/// Producer: the fresh bath made up at the temperature of the step: the margin moves with the temperature, and a
/// bound between the two is crossed in a life that is heated, or cooled, from one to the other.
#[test]
fn the_oxide_margin_is_that_of_the_row() {
    let bath = Recipe::built_in("copper-tartrate").expect("built in");
    let bath = say(&bath, &[("warning.margin.what", "oxide")]);
    let works_at = 45.0;
    let bath = set(&bath, &[("operation.temperature_c", works_at), ("limits.clock_h", 3.0)]);
    for to in [10.0, 70.0] {
        let (from, there) = (margin_v(&bath, works_at), margin_v(&bath, to));
        assert!((from - there).abs() > 2e-3, "{from} {there}");
        let bound = 0.5 * (from + there);
        let watched = set(&bath, &[("warning.margin.oxide_margin_v_above", bound)]);
        let stays = raised(&watched, "margin");
        let moves = raised(&stepped(&watched, &[(0.5, to)]), "margin");
        assert_eq!(stays.is_empty(), from < bound, "{stays:?}");
        if there > from {
            assert_eq!(moves.len(), 1, "{to} degC: {from} to {there}");
        } else {
            // Raised where it was first: at make-up, warm.
            let said: f64 = moves[0]
                .split(" is above")
                .next()
                .and_then(|w| w.rsplit(' ').next())
                .expect("said")
                .parse()
                .expect("V");
            assert_within("at make-up", said, from, 2e-3);
        }
    }
}
