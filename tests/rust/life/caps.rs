//! Caps of work that needs a younger bath: by substrate, by material, on a calendar.

use bathkin::model::built_in_substrates;
use bathkin::{Life, Recipe};

use support::assert_relative;
use support::recipes::{live, nickel_acid, pumped, say, set};
use support::stabilized::{flags, refused};

const CAP: &str = "limits.substrate.aluminium.turnovers";

fn of(recipe: &Recipe, life: &Life, place: &str) -> Vec<String> {
    let flags = recipe.life_flags(life).expect("flags");
    flags.into_iter().filter(|flag| flag.r#where == place).map(|flag| flag.what).collect()
}

/// Producer: the same bath with the cap as a plain limit.
#[test]
fn a_cap_of_a_material_binds_all_of_its_substrates() {
    let capped = set(&nickel_acid(), &[(CAP, 3.0)]);
    let zincated = live(&say(&capped, &[("work.substrate", "aluminium_zincated")]));
    assert_eq!(zincated.verdict.limit, "aluminium.turnovers");
    let plain = live(&set(&nickel_acid(), &[("limits.turnovers", 3.0)]));
    assert_relative("clock", zincated.verdict.clock_h, plain.verdict.clock_h, 1e-9);
    // Where both are given the earlier one ends it.
    let own = set(&capped, &[("limits.substrate.aluminium_zincated.turnovers", 2.0)]);
    let own = live(&say(&own, &[("work.substrate", "aluminium_zincated")]));
    assert_eq!(own.verdict.limit, "aluminium_zincated.turnovers");
    // A cap of one member does not bind another, nor that of a material the rest.
    let brass = set(&nickel_acid(), &[("limits.substrate.leaded_brass.turnovers", 2.0)]);
    for recipe in [&capped, &brass] {
        let model = recipe.model().expect("a model");
        assert_eq!(model.limits_of_other_work.len(), 1);
        assert!(!model.limits.iter().any(|limit| limit.substrate.is_some()));
    }
}

/// Producer: the table of substrates. A material may have no substrate of its own name.
#[test]
fn materials_are_read_from_the_table() {
    let all = built_in_substrates().expect("substrates");
    let material = |name: &str| all.iter().find(|one| one.name == name).expect("known").material.clone();
    assert_eq!(material("aluminium_zincated"), "aluminium");
    assert_eq!(material("magnesium_zincated"), "magnesium");
    assert_eq!(material("leaded_brass"), "brass");
    assert_eq!(material("stainless_steel"), "stainless_steel");
    let magnesium = set(&nickel_acid(), &[("limits.substrate.magnesium.turnovers", 2.0)]);
    let plated = live(&say(&magnesium, &[("work.substrate", "magnesium_zincated")]));
    assert_eq!(plated.verdict.limit, "magnesium.turnovers");
    let own = r#"base = "nickel-acid"
limits.substrate.alloy.turnovers = 1.5
work.substrate = "alloy_zincated"
work.activation = "contact"
[substrates.alloy_zincated]
material = "alloy"
[substrates.alloy_zincated.nickel_hypophosphite]
behaviour = "needs_contact"
practice = "touch it"
reference_deposition_um_h = 15
source = "invented for the test"
kind = "invented"
contact.induction_s = 0
"#;
    let own = Recipe::from_toml("mine.toml", own).expect("a recipe");
    assert_eq!(live(&own).verdict.limit, "alloy.turnovers");
}

/// Producer: the tables. Only a cap that nothing in this chemistry can meet is flagged; a misspelt one is refused.
#[test]
fn a_cap_that_binds_nothing_is_flagged() {
    assert!(flags(&set(&nickel_acid(), &[(CAP, 3.0)]), "limits").is_empty());
    let boron = Recipe::built_in("nickel-boron").expect("built in");
    let capped = set(&boron, &[(CAP, 3.0)]);
    let said = flags(&capped, "limits.substrate.aluminium");
    assert_eq!(said.len(), 1);
    let words = "no substrate of nickel dimethylamine borane baths is aluminium: this cap binds nothing; they are nickel";
    assert!(said[0] == words, "{said:?}");
    assert!(capped.model().expect("a model").limits_of_other_work.is_empty());
    let message = refused(&set(&boron, &[("limits.substrate.aluminum.turnovers", 3.0)]));
    assert!(message.contains("no substrate is called 'aluminum'"), "{message}");
}

/// Producer: counting. Where all racks are of the material the cap ends the life; where some are, those put in
/// past it are named.
#[test]
fn racks_of_a_capped_material_are_bound_too() {
    let rack = |recipe: &Recipe, name: &str, substrate: &str| {
        let path = |key: &str| format!("load.{name}.{key}");
        let numbers =
            [("area_dm2", 300.0), ("in_h", 0.0), ("minutes", 90.0), ("every_h", 2.0), ("count", 1000.0)];
        let numbers: Vec<(String, f64)> = numbers.iter().map(|(key, value)| (path(key), *value)).collect();
        let numbers: Vec<(&str, f64)> = numbers.iter().map(|(key, value)| (key.as_str(), *value)).collect();
        say(&set(recipe, &numbers), &[(&path("substrate"), substrate)])
    };
    let ends = set(&pumped(&nickel_acid()), &[(CAP, 1.0), ("limits.turnovers", 4.0)]);
    let all = rack(&rack(&ends, "a", "aluminium_zincated"), "b", "aluminium_zincated");
    assert_eq!(live(&all).verdict.limit, "aluminium.turnovers");
    let some = rack(&rack(&ends, "a", "aluminium_zincated"), "b", "steel");
    let life = live(&some);
    assert_eq!(life.verdict.limit, "turnovers");
    let said = of(&some, &life, CAP);
    let outlook = some.outlook(&life.verdict, &life.table, &life.margins(), None).expect("an outlook");
    let reached = outlook.iter().find(|one| !one.applies).and_then(|one| one.reached).expect("reached");
    let late = life.loads.iter().filter(|load| load.name == "a" && load.in_h > reached.clock_h).count();
    assert!(late > 5);
    assert!(
        said.len() == 1 && said[0].contains(&format!("{late} racks of aluminium were put in after it")),
        "{said:?}"
    );
}
