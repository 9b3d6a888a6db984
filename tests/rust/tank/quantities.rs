//! The dictionary of what can be read off a bath: one entry is enough for every view.

use std::collections::BTreeSet;

use bathkin::Recipe;
use bathkin::document::Value;
use bathkin::document::table::headings::named;
use bathkin::error::Error;
use bathkin::tank::Tank;
use bathkin::tank::quantity::{Quantity, Range, Worse};
use support::assert_within;

use support::recipes::{live, nickel_acid, pumped, say, set};

fn built_in() -> impl Iterator<Item = Recipe> {
    Recipe::built_in_names().map(|name| Recipe::built_in(name).expect("built in"))
}

/// The same without any limit of its own.
fn unlimited(recipe: &Recipe) -> Recipe {
    let limits: Vec<String> = recipe.document().under("limits").map(|entry| entry.path.clone()).collect();
    let off = || Value::Text("off".to_owned());
    limits.iter().fold(recipe.clone(), |recipe, path| recipe.with(path, off(), "the test"))
}

/// A bound that a quantity may have.
fn bound(quantity: Quantity) -> f64 {
    match quantity.entry().range {
        Range::Positive | Range::NotNegative => 1.0,
        Range::Between(low, high, _) => 0.5 * (low.max(-1e3) + high.min(1e3)),
    }
}

/// Producer: the names themselves. Words are there, names stand once, and the sentence says what the name does not.
#[test]
fn every_quantity_has_words() {
    for recipe in built_in() {
        let tank = &recipe.model().expect("a model").tank;
        let mut seen = BTreeSet::new();
        for quantity in Quantity::all(tank) {
            let said = quantity.described(tank);
            assert!(seen.insert(said.name.clone()), "{} stands twice", said.name);
            assert!(Quantity::named(tank, &said.name) == Some(quantity), "{}", said.name);
            for words in [&said.title, &said.symbol, said.definition] {
                assert!(!words.is_empty() && !words.contains(['{', '}']), "{}: '{words}'", said.name);
            }
            assert!(said.definition.ends_with('.'), "{}: {}", said.name, said.definition);
            let counts = quantity.entry().counts;
            assert_eq!(said.usual_error.is_empty(), counts, "{}: {}", said.name, said.usual_error);
        }
    }
}

/// Producer: the reader of headings. What people write is in the form it gives, and means one reading of a table.
#[test]
fn a_spelling_means_one_reading() {
    let mut seen = BTreeSet::new();
    for quantity in Quantity::spelled() {
        for text in quantity.entry().spellings.iter().chain(quantity.entry().coupon_spellings) {
            assert_eq!(named(text), ((*text).to_owned(), String::new()));
            assert!(seen.insert(*text), "{text} stands twice");
        }
    }
    assert!(seen.contains("sg") && seen.contains("weight_gain"), "{seen:?}");
}

/// Producer: the dictionary. A short life shows every column it names, and no other.
#[test]
fn every_column_of_a_life_is_in_the_dictionary() {
    for recipe in built_in() {
        let recipe = set(&unlimited(&recipe), &[("limits.turnovers", 0.02)]);
        let tank = recipe.model().expect("a model").tank.clone();
        let life = live(&recipe);
        let shown: Vec<&str> = life.table.columns().iter().map(|(name, _)| name.as_str()).collect();
        let named: Vec<String> = Quantity::columns(&tank).iter().map(|of| of.name(&tank)).collect();
        assert_eq!(shown, named);
        let last = life.rows.last().expect("a row");
        for (name, values) in life.table.columns() {
            let value = Quantity::named(&tank, name).expect("named").value(&tank, last);
            let shown = *values.last().expect("a value");
            assert!(value == shown || (value.is_nan() && shown.is_nan()), "{name}: {value} {shown}");
        }
    }
}

/// Producer: the rule of the names. Every quantity of every bath can be a limit from either side, from the side it gets
/// worse on by its bare name, and a condition of a warning.
#[test]
fn every_quantity_is_a_limit_and_a_condition() {
    for recipe in built_in() {
        let tank = recipe.model().expect("a model").tank.clone();
        let mut asked = say(&unlimited(&recipe), &[("warning.all.what", "all of it")]);
        let mut wanted = 0;
        for quantity in Quantity::all(&tank) {
            let (name, bound) = (quantity.name(&tank), bound(quantity));
            let bare = (quantity.worse(&tank) != Worse::Neither).then(|| name.clone());
            for key in [format!("{name}_min"), format!("{name}_max")].into_iter().chain(bare) {
                asked = set(&asked, &[(&format!("limits.{key}"), bound)]);
                wanted += 1;
            }
            for side in ["above", "below"] {
                let path = format!("warning.all.{}_{side}", quantity.warned_as(&tank));
                asked = set(&asked, &[(&path, bound)]);
            }
        }
        let model = asked.model().unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(model.limits.len(), wanted);
        for limit in &model.limits {
            let name = limit.quantity.name(&model.tank);
            let floor = match limit.name.strip_prefix(&name).expect("its name") {
                "" => limit.quantity.worse(&model.tank) == Worse::Falling,
                ending => ending == "_min",
            };
            assert_eq!((limit.floor, limit.bound), (floor, bound(limit.quantity)), "{}", limit.name);
            assert_eq!(limit.path, format!("limits.{}", limit.name));
        }
    }
}

/// Producer: the keys as they were before there was a dictionary.
#[test]
fn a_key_that_nothing_has_is_refused_with_those_that_are_near() {
    let recipe = nickel_acid();
    let error = set(&recipe, &[("limits.specific_gravty", 1.2)]).model().expect_err("refused").clone();
    let Error::UnknownName { nearest, .. } = &error else { panic!("{error}") };
    assert_eq!(nearest[0], "limits.specific_gravity", "{error}");
    let warning = say(&recipe, &[("warning.odd.what", "odd")]);
    let error =
        set(&warning, &[("warning.odd.specific_gravty_above", 1.2)]).model().expect_err("refused").clone();
    let Error::UnknownName { nearest, .. } = &error else { panic!("{error}") };
    assert_eq!(nearest[0], "specific_gravity", "{error}");
}

/// A life that ends by one limit.
fn ended_by(key: &str, bound: f64) -> (bathkin::Life, Tank) {
    let recipe = set(&pumped(&unlimited(&nickel_acid())), &[(&format!("limits.{key}"), bound)]);
    let life = live(&recipe);
    assert_eq!(life.verdict.limit, key);
    (life, recipe.model().expect("a model").tank.clone())
}

/// Producer: the bounds. Limits that no key of their own was ever written for end a life where they are reached: hours of
/// plating, metal deposited, hydrogen evolved, the pH of a cooled sample.
#[test]
fn limits_on_any_quantity_end_a_life_at_their_bound() {
    for (key, bound) in
        [("plating_h", 3.0), ("deposit_g_max", 500.0), ("hydrogen_l_max", 50.0), ("ph_25c_max", 4.7)]
    {
        let (life, tank) = ended_by(key, bound);
        let name = key.trim_end_matches("_max").trim_end_matches("_min");
        let value =
            Quantity::named(&tank, name).expect("named").value(&tank, life.rows.last().expect("a row"));
        assert_within(key, value, bound, 1e-6 * bound.abs());
    }
}

/// Producer: the make-up. A warning on a quantity that only tables had before is raised with its words.
#[test]
fn a_warning_watches_any_quantity() {
    let recipe = say(&nickel_acid(), &[("warning.heavy.what", "the bath is heavy")]);
    let recipe = set(&recipe, &[("warning.heavy.specific_gravity_above", 1.01)]);
    let flags = recipe.make_up().expect("a bath").flags().expect("flags");
    let flag = flags.iter().find(|flag| flag.r#where == "heavy").expect("raised");
    assert!(
        flag.what.starts_with("specific gravity 1.057 is above 1.01: the bath is heavy"),
        "{}",
        flag.what
    );
}

/// Producer: what people say. Limits by their names in words, with the substrate they hold for.
#[test]
fn limits_have_words() {
    let tank = &nickel_acid().model().expect("a model").tank.clone();
    for (name, words, unit) in [
        ("turnovers", "metal turnovers", "turnovers"),
        ("orthophosphite_mol_l", "orthophosphite", "mol/L"),
        ("sulfate_mol_l_max", "sulfate (highest)", "mol/L"),
        ("ph_min", "pH (lowest)", ""),
        ("metal_g_l", "nickel", "g/L"),
        ("phosphorus_wt_pct_min", "phosphorus (lowest)", "wt%"),
        ("saturation_index_nickel_phosphite", "precipitation of nickel phosphite", "SI"),
        ("aluminium_alloy.deposition_um_h", "deposition rate on aluminium alloy", "um/h"),
        ("nickel used up", "nickel used up", ""),
    ] {
        assert_eq!(Quantity::words(tank, name), (words.to_owned(), unit.to_owned()), "{name}");
    }
    let text = Value::Text("off".to_owned());
    assert!(nickel_acid().with("limits.turnovers", text, "a test").model().is_ok());
}
