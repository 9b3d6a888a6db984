//! Readings of the dictionary against computations written out by hand.

use bathkin::Recipe;
use bathkin::tank::quantity::Quantity;
use support::recipes::{live, nickel_acid, set};
use support::{assert_relative, shared};

/// A quantity in the first row of a life.
fn fresh(recipe: &Recipe, name: &str) -> f64 {
    let tank = recipe.model().expect("a model").tank.clone();
    let life = live(&set(recipe, &[("limits.turnovers", 0.02)]));
    Quantity::named(&tank, name).unwrap_or_else(|| panic!("no {name}")).value(&tank, &life.rows[0])
}

/// Producer: by hand. The fresh nickel-acid bath plates 15.34689838 um/h (shared/expected/job-shop.csv): 12 um take
/// 12/15.34689838 h = 0.7819169 h = 46.91502 min. A bath whose racks have times of their own has no such thickness.
#[test]
fn minutes_to_the_thickness_of_the_work() {
    let bath = set(&nickel_acid(), &[("work.thickness_um", 12.0)]);
    assert_relative("min", fresh(&bath, "minutes_to_thickness"), 46.91502, 1e-6);
    let racks = shared().join("scenarios").join("job-shop.toml");
    let racks = Recipe::load(racks.to_str().expect("a path")).expect("a recipe");
    assert!(Quantity::named(&racks.model().expect("a model").tank, "minutes_to_thickness").is_none());
}
