//! Readings of the dictionary against computations written out by hand.

use bathkin::Recipe;
use bathkin::tank::quantity::Quantity;
use support::recipes::{built_in, live, nickel_acid, set};
use support::{assert_relative, assert_within, shared};

/// A quantity in the first row of a life.
fn fresh(recipe: &Recipe, name: &str) -> f64 {
    let tank = recipe.model().expect("a model").tank.clone();
    let life = live(&set(recipe, &[("limits.turnovers", 0.02)]));
    Quantity::named(&tank, name).unwrap_or_else(|| panic!("no {name}")).value(&tank, &life.rows[0])
}

/// Producer: by hand, with Na 22.990, S 32.06, O 15.999 (IUPAC 2021): Na2SO4 is 142.036 g/mol. The fresh nickel-acid bath
/// (shared/expected/job-shop.csv) holds 0.1022297266 mol/L of sulfate and 0.6776578027 of sodium, enough for 0.3388:
/// 0.1022297266 x 142.036 = 14.52030 g/L. With 0.1 mol/L of sodium it is 0.05 x 142.036 = 7.1018 g/L, and with none nothing.
/// Baths without sulfate have no such column.
#[test]
fn sodium_sulfate_by_the_lesser_of_its_ions() {
    let bath = nickel_acid();
    assert_relative("of sulfate", fresh(&bath, "sodium_sulfate_g_l"), 14.52030, 1e-5);
    let tank = bath.model().expect("a model").tank.clone();
    let quantity = Quantity::named(&tank, "sodium_sulfate_g_l").expect("sulfate");
    let mut row = live(&set(&bath, &[("limits.turnovers", 0.02)])).rows[0].clone();
    let sodium =
        tank.bath.equilibrium.component_names().iter().position(|name| name == "sodium").expect("sodium");
    for (mol_l, g_l) in [(0.1, 7.1018), (0.0, 0.0)] {
        row.totals_mol_l[sodium] = mol_l;
        assert_within("of sodium", quantity.value(&tank, &row), g_l, 1e-4);
    }
    let without =
        Recipe::built_in_names().map(built_in).map(|recipe| recipe.model().expect("a model").tank.clone());
    for tank in without {
        let sulfate = tank.bath.equilibrium.component_names().iter().any(|name| name == "sulfate");
        assert_eq!(Quantity::named(&tank, "sodium_sulfate_g_l").is_some(), sulfate);
    }
}

/// Producer: by hand, with the contents of the fresh nickel-acid bath (shared/expected/job-shop.csv) and IUPAC 2021 weights:
///
/// | | mol/L | g/mol | g/L |
/// |---|---|---|---|
/// | Ni | 0.1022297 | 58.693 | 6.00017 |
/// | H2PO2- | 0.2830388 | 64.988 | 18.39413 |
/// | C3H5O3- | 0.2997402 | 89.070 | 26.69786 |
/// | C2H3O2- | 0.1998268 | 59.044 | 11.79857 |
/// | SO4-2 | 0.1022297 | 96.056 | 9.81978 |
/// | Na+ | 0.6776578 | 22.990 | 15.57935 |
/// | H+ on the acids, by the charge | 0.1049480 | 1.008 | 0.10579 |
///
/// Together 88.39565 g/L; at pH 4.8 hydroxide weighs nothing, and complexes weigh what they are made of.
#[test]
fn total_salt_is_what_is_weighed_without_its_water() {
    assert_relative("g/L", fresh(&nickel_acid(), "total_salt_g_l"), 88.39565, 2e-5);
}

/// Producer: by hand. A litre with half a mole of caustic more has 0.5 x (22.990 + 17.007) = 19.9985 g more of it: sodium and
/// hydroxide, whose oxygen is not water any more.
#[test]
fn caustic_counts_with_its_hydroxide() {
    let bath = built_in("copper-tartrate");
    let tank = bath.model().expect("a model").tank.clone();
    let quantity = Quantity::named(&tank, "total_salt_g_l").expect("every bath has it");
    let row = live(&set(&bath, &[("limits.turnovers", 0.02)])).rows[0].clone();
    let mut more = row.clone();
    let names: Vec<&str> = tank.bath.equilibrium.substance_names().collect();
    for (name, mol_l) in [("sodium", 0.5), ("hydroxide", 0.5)] {
        more.dissolved_mol_l[names.iter().position(|known| *known == name).expect("there")] += mol_l;
    }
    let gained = quantity.value(&tank, &more) - quantity.value(&tank, &row);
    assert_within("g/L", gained, 19.9985, 1e-3);
}

/// Producer: by hand. The fresh nickel-acid bath plates 15.34689838 um/h (shared/expected/job-shop.csv): 12 um take
/// 12/15.34689838 h = 0.7819169 h = 46.91502 min. One that dissolves never gets there. A bath whose racks have times of their own has no such thickness.
#[test]
fn minutes_to_the_thickness_of_the_work() {
    let bath = set(&nickel_acid(), &[("work.thickness_um", 12.0)]);
    assert_relative("min", fresh(&bath, "minutes_to_thickness"), 46.91502, 1e-6);
    let tank = bath.model().expect("a model").tank.clone();
    let mut dissolving = live(&set(&bath, &[("limits.turnovers", 0.02)])).rows[0].clone();
    dissolving.deposition_now_um_h = -1.0;
    let never =
        Quantity::named(&tank, "minutes_to_thickness").expect("a thickness").value(&tank, &dissolving);
    assert!(never == f64::INFINITY, "{never}");
    let racks = shared().join("scenarios").join("job-shop.toml");
    let racks = Recipe::load(racks.to_str().expect("a path")).expect("a recipe");
    assert!(Quantity::named(&racks.model().expect("a model").tank, "minutes_to_thickness").is_none());
}
