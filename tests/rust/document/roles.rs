//! Complexants, buffers, stabilizers and accelerators: who is one, and what is said when one leaves its make-up.

use bathkin::document::Value;
use bathkin::flag::Flag;
use bathkin::solution::Role;
use bathkin::study::{Horizon, PlanRequest, Strategy};
use bathkin::{Life, Recipe};

use support::assert_relative;
use support::recipes::{column, live, nickel_acid, say, set, without_limits};
use support::stabilized::{refused, stabilized};

fn said<'a>(flags: &'a [Flag], component: &str) -> Vec<&'a str> {
    let place = format!("role.{component}");
    flags.iter().filter(|flag| flag.r#where == place).map(|flag| flag.what.as_str()).collect()
}

fn flags(recipe: &Recipe, life: &Life) -> Vec<Flag> {
    recipe.life_flags(life).expect("flags")
}

/// Producer: the recipes. Every built-in one says what its make-up holds beside metal, reductant and by-product.
#[test]
fn every_built_in_recipe_marks_its_components() {
    for name in Recipe::built_in_names() {
        let recipe = Recipe::built_in(name).expect("built in");
        let roles = recipe.roles().expect("roles");
        assert!(!roles.is_empty(), "{name}");
        let marked = recipe.document().children("role");
        // A card on the base of another may take a component out, whose line stays.
        let taken_out = recipe.document().get("base").is_some();
        for component in &marked {
            assert!(taken_out || roles.contains_key(component), "{name}: {component}");
        }
        for component in roles.keys() {
            assert!(marked.contains(component), "{name} does not mark {component}");
        }
    }
}

/// Producer: the rule: the recipe, then its laws, then the component; metal, reductant, by-product have none.
#[test]
fn a_role_comes_from_the_recipe_a_law_or_the_component() {
    let roles = |recipe: &Recipe| recipe.roles().expect("roles");
    assert_eq!(roles(&stabilized())["thiourea"], [Role::Stabilizer]);
    let citrate = set(&nickel_acid(), &[("make_up.citric_acid_monohydrate_g_l", 10.0)]);
    assert_eq!(roles(&citrate)["citrate"], [Role::Complexant]);
    let two = say(&citrate, &[("role.citrate", "buffer, complexant"), ("role.acetate", "none")]);
    assert_eq!(roles(&two)["citrate"], [Role::Buffer, Role::Complexant]);
    assert!(!roles(&two).contains_key("acetate"));
    let brightener = "\n[deposition.accelerator.lead]\ngain = 1\nconstant_mol_l = 1e-6\n";
    let text = nickel_acid().text().replace("[make_up]\n", "[make_up]\nlead_nitrate_mg_l = 1\n");
    let law = Recipe::from_toml("mine.toml", &format!("{text}{brightener}")).expect("a recipe");
    assert_eq!(roles(&law)["lead"], [Role::Stabilizer, Role::Accelerator], "its own and the law's");
    assert!(roles(&say(&nickel_acid(), &[("make_up.lactic_acid_g_l", "off")])).contains_key("acetate"));
    let silver = Recipe::built_in("silver-tartrate").expect("built in");
    assert!(!roles(&silver).contains_key("tartrate"), "the reductant");
    let message = refused(&say(&nickel_acid(), &[("role.lactate", "ligand")]));
    assert!(message.contains("role.lactate") && message.contains("complexant, buffer"), "{message}");
}

/// Producer: wash-out of a held level, c/c0 = exp(-b n) with b the bleed per turnover of metal plated.
#[test]
fn a_complexant_that_is_bled_away_is_named_from_eighty_per_cent_on() {
    let bled = set(&nickel_acid(), &[("tank.bleed_per_turnover", 0.1), ("limits.turnovers", 4.0)]);
    let life = live(&bled);
    let held = column(&life, "lactate_mol_l");
    let plated = column(&life, "turnovers_plated");
    let end = held.len() - 1;
    assert_relative("wash-out", held[end] / held[0], (-0.1 * plated[end]).exp(), 0.02);
    assert!(held[end] > 0.5 * held[0], "half is left, so that nothing was said before");
    let first = held.iter().position(|held_now| *held_now < 0.8 * held[0]).expect("left");
    let flags = flags(&bled, &life);
    for component in ["lactate", "acetate"] {
        let said = said(&flags, component);
        assert_eq!(said.len(), 1, "{flags:?}");
        let turnovers = column(&life, "turnovers")[first];
        assert!(said[0].contains(&format!("after {turnovers:.1} turnovers")), "{}", said[0]);
        assert!(said[0].contains("no solution brings it back"), "{}", said[0]);
        assert!(
            said[0].contains(&format!("{:.1} % of its make-up", 100.0 * held[end] / held[0])),
            "{}",
            said[0]
        );
    }
    // Fed back, or nothing lost: no word.
    let kept = live(&set(&nickel_acid(), &[("limits.turnovers", 4.0)]));
    assert!(!self::flags(&nickel_acid(), &kept).iter().any(|flag| flag.r#where.starts_with("role")));
}

/// Producer: counting what the replenisher brings.
#[test]
fn an_overfed_stabilizer_is_named() {
    let ten = set(
        &without_limits(&stabilized()),
        &[("replenisher.metal.thiourea_mg_l", 333.0), ("limits.turnovers", 1.0)],
    );
    let life = live(&ten);
    let held = column(&life, "thiourea_mol_l");
    let end = held[held.len() - 1];
    assert!(end > 1.2 * held[0]);
    let flags = flags(&ten, &life);
    let said = said(&flags, "thiourea");
    assert_eq!(said.len(), 1);
    for words in ["thiourea (stabilizer) leaves 80 to 120 %", "it comes with nickel replenisher"] {
        assert!(said[0].contains(words), "{}", said[0]);
    }
    // In the replenisher alone it was never made up.
    let late = set(&nickel_acid(), &[("replenisher.metal.thiourea_mg_l", 10.0), ("limits.turnovers", 1.0)]);
    let flags = self::flags(&late, &live(&late));
    let said = self::said(&flags, "thiourea");
    assert!(said.len() == 1 && said[0].contains("with none in the make-up"), "{said:?}");
}

/// Producer: the rule, in a plan and a comparison.
#[test]
fn plans_and_comparisons_say_it_too() {
    let plan = |lactate: f64| {
        let now = vec![("lactate_mol_l".to_owned(), lactate)];
        nickel_acid().plan(&PlanRequest { now, ..PlanRequest::default() }).expect("a plan").flags
    };
    let fresh = nickel_acid().make_up().expect("a bath").totals().expect("totals");
    let fresh = fresh.iter().find(|(name, _)| name == "lactate").expect("lactate").1;
    assert!(said(&plan(0.9 * fresh), "lactate").is_empty());
    let flags = plan(0.7 * fresh);
    let of_plan = said(&flags, "lactate");
    assert!(
        of_plan.len() == 1 && of_plan[0].contains("at the start of the shift it is at 70 %"),
        "{of_plan:?}"
    );
    let bleed = Strategy {
        name: "bleed".to_owned(),
        settings: vec![
            ("tank.bleed_per_turnover".to_owned(), Value::Number(0.1)),
            ("make_up.nickel_sulfate_heptahydrate_g_l".to_owned(), Value::Number(1.0)),
        ],
    };
    let compared = nickel_acid().compare(&[bleed], Some(Horizon::Hours(1000.0))).expect("compared");
    assert_eq!(said(&compared[0].flags, "lactate").len(), 1);
    // A warning about what the strategy itself sets is its own, and kept.
    assert!(
        compared[0].flags.iter().any(|flag| flag.what.contains("is added to")),
        "{:?}",
        compared[0].flags
    );
}
