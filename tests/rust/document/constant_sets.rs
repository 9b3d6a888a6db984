//! Constants that are switched together.

use bathkin::document::Value;
use bathkin::flag::Flag;
use bathkin::recipe::Recipe;
use bathkin::{Error, solution::chemistry::DEFAULT_CONSTANT};

use support::assert_within;
use support::recipes::{live, nickel_acid, say, set, without_limits};

/// (name, label in use) of what belongs to a group.
fn labels(recipe: &Recipe, group: &str) -> Vec<(String, String)> {
    let species = recipe.constants().unwrap_or_else(|error| panic!("{error}"));
    let solids = recipe.solid_constants().unwrap_or_else(|error| panic!("{error}"));
    let of_group = species.into_iter().chain(solids).filter(|one| one.group.as_deref() == Some(group));
    of_group.map(|one| (one.name, one.constant.label)).collect()
}

fn flags(recipe: &Recipe) -> Vec<Flag> {
    let flags = recipe.make_up().and_then(|bath| bath.flags()).unwrap_or_else(|error| panic!("{error}"));
    flags.into_iter().filter(|flag| flag.r#where.starts_with("constants")).collect()
}

const PHOSPHITE: [&str; 4] =
    ["dihydrogen_phosphite", "phosphorous_acid", "nickel_dihydrogen_phosphite", "nickel_phosphite"];

#[test]
fn one_label_switches_what_belongs_together() {
    let whole = say(&nickel_acid(), &[("constants.set", "hkf")]);
    let expected: Vec<(String, String)> =
        PHOSPHITE.iter().map(|name| ((*name).to_owned(), "hkf".to_owned())).collect();
    assert_eq!(labels(&whole, "phosphite"), expected);
    assert!(flags(&whole).is_empty());
    assert!(flags(&nickel_acid()).is_empty());

    let alone = say(&nickel_acid(), &[("species.dihydrogen_phosphite.constant", "hkf")]);
    let [flag] = &flags(&alone)[..] else { panic!("one flag: {:?}", flags(&alone)) };
    assert_eq!(flag.r#where, "constants.phosphite");
    for word in
        ["`hkf` for dihydrogen_phosphite", "solids.nickel_phosphite", "constants.set = \"hkf\" switches all"]
    {
        assert!(flag.what.contains(word), "{word}: {}", flag.what);
    }
    // One by one they come to the same.
    let each = PHOSPHITE[..3]
        .iter()
        .fold(alone, |recipe, name| say(&recipe, &[(&format!("species.{name}.constant"), "hkf")]));
    assert_eq!(flags(&each).len(), 1);
    let each = say(&each, &[("solids.nickel_phosphite.constant", "hkf")]);
    assert!(flags(&each).is_empty());
    assert_eq!(labels(&each, "phosphite"), expected);
}

/// A life of 12 turnovers with the compilations' 6.12 for phosphite, and the lactate complexes as weak as one database has
/// them: alone it precipitates, with its partners and its solid never. Producer: the definition of the solid's constant,
/// fitted with either set to the same practice, SI 0 at 30 g/L of Na2HPO3 and pH 4.8 without complexant; 0.05.
#[test]
fn a_whole_set_does_not_precipitate_where_a_broken_one_does() {
    let precipitates = |recipe: &Recipe| {
        let far = set(&without_limits(recipe), &[("limits.turnovers", 12.0)]);
        let life = live(&far);
        let solid = life.solids.iter().find(|solid| solid.name == "nickel_phosphite").expect("watched");
        solid.oversaturated_from_h.is_some()
    };
    let weak = say(&nickel_acid(), &[("constants.set", "llnl")]);
    assert!(!precipitates(&weak));
    assert!(precipitates(&say(&weak, &[("species.dihydrogen_phosphite.constant", "hkf")])));
    assert!(!precipitates(&say(&weak, &[("constants.set", "hkf, llnl")])));

    let bare = set(
        &nickel_acid(),
        &[
            ("make_up.lactic_acid_g_l", 0.0),
            ("make_up.acetic_acid_g_l", 0.0),
            ("make_up.phosphorous_acid_mol_l", 30.0 / 125.96),
        ],
    );
    for label in [DEFAULT_CONSTANT, "hkf"] {
        let bath = say(&bare, &[("constants.set", label)]).make_up().expect("a bath");
        let indices = bath.saturation_index().expect("indices");
        let index = indices.iter().find(|(name, _)| name == "nickel_phosphite").expect("watched").1;
        assert_within(label, index, 0.0, 0.05);
    }
}

#[test]
fn a_set_that_is_none_is_refused_or_flagged() {
    match say(&nickel_acid(), &[("constants.set", "hkff")]).constants() {
        Err(Error::UnknownName { name, nearest, valid, place, .. }) => {
            assert_eq!((name.as_str(), place.to_string().as_str()), ("hkff", "the test"));
            assert_eq!(nearest, ["hkf"]);
            assert!(valid.iter().any(|label| label == "sit"), "{valid:?}");
        }
        other => panic!("{other:?}"),
    }
    let elsewhere = say(&nickel_acid(), &[("constants.set", "pitzer")]);
    let [flag] = &flags(&elsewhere)[..] else { panic!("one flag") };
    assert!(flag.what.contains("no constant of this bath has the label pitzer"), "{}", flag.what);
}

#[test]
fn what_was_set_by_hand_stands_above_a_set() {
    let list = Value::List(vec!["hkf".to_owned(), "llnl".to_owned()]);
    let listed = nickel_acid().with("constants.set", list, "test");
    let both = say(&nickel_acid(), &[("constants.set", "hkf, llnl")]);
    assert_eq!(both.constants().expect("constants"), listed.constants().expect("constants"));
    assert_eq!(labels(&both, "nickel lactate").iter().filter(|(_, label)| label == "llnl").count(), 2);
    assert!(flags(&both).is_empty());
    let kept = say(&both, &[("species.nickel_lactate_1.constant", DEFAULT_CONSTANT)]);
    assert_eq!(labels(&kept, "nickel lactate")[0].1, DEFAULT_CONSTANT);
    assert_eq!(flags(&kept).len(), 1);
    // A measured constant is nobody's partner.
    let own = set(&both, &[("species.nickel_lactate_1.log_k_25c", 2.0)]);
    assert_eq!(labels(&own, "nickel lactate")[0].1, DEFAULT_CONSTANT);
    assert!(flags(&own).is_empty());
}
