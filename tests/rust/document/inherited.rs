//! What a change leaves standing below it: a second salt of a component, one of two reagents, a number that is off.

use bathkin::Recipe;
use bathkin_fit::{RecipeFitOptions, fit_recipe};
use bathkin_numerics::short;

use support::assert_relative;
use support::fits::{RATE, asked, runs};
use support::recipes::{atomic_weight, gain, live, molar_mass, nickel_acid, power_law, say, set};
use support::stabilized::{flags, refused};

const HEPTAHYDRATE: &str = "make_up.nickel_sulfate_heptahydrate_g_l";
const HEXAHYDRATE: &str = "make_up.nickel_sulfate_hexahydrate_g_l";

fn nickel_g_l(recipe: &Recipe) -> f64 {
    let totals = recipe.make_up().expect("a bath").totals().expect("totals");
    totals.iter().find(|(name, _)| name == "nickel").expect("nickel").1 * atomic_weight("Ni")
}

fn on_nickel_acid(text: &str) -> Recipe {
    Recipe::from_toml("mine.toml", &format!("base = \"nickel-acid\"\n{text}\n")).expect("a recipe")
}

/// Producer: hand computation, 26.87 g/L of the hexahydrate and 28.72 g/L of the heptahydrate hold 6 g/L nickel each.
#[test]
fn a_second_salt_of_a_component_is_named_with_the_first() {
    let changed = set(&nickel_acid(), &[(HEPTAHYDRATE, 28.72)]);
    let scenario = on_nickel_acid("[make_up]\nnickel_sulfate_heptahydrate_g_l = 28.72");
    let expected =
        atomic_weight("Ni") * (26.87 / molar_mass("NiSO4.6H2O") + 28.72 / molar_mass("NiSO4.7H2O"));
    for (recipe, by) in [(&changed, "the test"), (&scenario, "mine.toml:3")] {
        assert_relative("nickel", nickel_g_l(recipe), expected, 1e-9);
        let said = flags(recipe, HEPTAHYDRATE);
        assert_eq!(said.len(), 1, "{said:?}");
        let line = 1 + nickel_acid()
            .text()
            .lines()
            .position(|line| line.starts_with("nickel_sulfate_hex"))
            .expect("it");
        for words in [
            format!("{HEPTAHYDRATE} = 28.72 ({by}) is added to {HEXAHYDRATE} = 26.87 (nickel-acid:{line})"),
            format!("together {} g/L", short(expected)),
            "nickel".to_owned(),
        ] {
            assert!(said[0].contains(&words), "{words} in {}", said[0]);
        }
    }
}

/// Producer: the rule. Who names both means both; a counter-ion is nobody's purpose.
#[test]
fn salts_that_are_meant_side_by_side_pass_without_a_word() {
    let restated =
        "[make_up]\nnickel_sulfate_heptahydrate_g_l = 28.72\nnickel_sulfate_hexahydrate_g_l = 26.87";
    let both = set(&nickel_acid(), &[(HEPTAHYDRATE, 28.72), (HEXAHYDRATE, 26.87)]);
    let in_place = set(&nickel_acid(), &[(HEXAHYDRATE, 0.0), (HEPTAHYDRATE, 28.72)]);
    let sulfate = set(&nickel_acid(), &[("make_up.sodium_sulfate_anhydrous_g_l", 20.0)]);
    let moved = set(&both, &[(HEPTAHYDRATE, 10.0)]);
    for recipe in [on_nickel_acid(restated), both, in_place, sulfate.clone(), moved] {
        let all = recipe.make_up().expect("a bath").flags().expect("flags");
        assert!(!all.iter().any(|flag| flag.what.contains("is added to")), "{all:?}");
    }
    // The same salt with other water is the same salt.
    let decahydrate = "make_up.sodium_sulfate_decahydrate_g_l";
    let twice = Recipe::from_toml(
        "mine.toml",
        "base = \"nickel-acid\"\n[make_up]\nsodium_sulfate_anhydrous_g_l = 20\n",
    );
    let twice = set(&twice.expect("a recipe"), &[(decahydrate, 10.0)]);
    assert_eq!(flags(&twice, decahydrate).len(), 1);
}

/// Producer: the rule, in every table that is weighed out.
#[test]
fn replenishers_and_acids_are_looked_at_too() {
    for (path, other) in [
        ("replenisher.metal.nickel_chloride_hexahydrate_g_l", "nickel_sulfate_hexahydrate_g_l"),
        ("replenisher.reductant.sodium_hypophosphite_anhydrous_g_l", "sodium_hypophosphite_monohydrate_g_l"),
        ("make_up.sodium_lactate_g_l", "lactic_acid_g_l"),
    ] {
        let said = flags(&set(&nickel_acid(), &[(path, 5.0)]), path);
        assert!(said.iter().any(|what| what.contains(other)), "{path}: {said:?}");
    }
}

/// Producer: the recipe without the line.
#[test]
fn off_is_a_line_that_is_not_there() {
    let swapped = say(&set(&power_law(), &[(HEPTAHYDRATE, 28.72)]), &[(HEXAHYDRATE, "off")]);
    assert_relative(
        "nickel",
        nickel_g_l(&swapped),
        28.72 * atomic_weight("Ni") / molar_mass("NiSO4.7H2O"),
        1e-9,
    );
    assert!(flags(&swapped, HEPTAHYDRATE).is_empty());
    let um_h = |recipe: &Recipe| recipe.make_up().expect("a bath").rate().expect("a rate").deposition_um_h;
    // Without its inhibition, its order or its energy the law is that at the reference.
    let exact = set(&power_law(), &[("make_up.disodium_phosphite_anhydrous_g_l", 50.0)]);
    for (path, same) in [
        (
            "deposition.inhibition.orthophosphite.constant_mol_l",
            ("deposition.inhibition.orthophosphite.exponent", 0.0),
        ),
        ("deposition.order.nickel", ("deposition.order.nickel", 0.0)),
        ("deposition.activation_energy_kj_mol", ("deposition.activation_energy_kj_mol", 0.0)),
        ("deposition.ph_order", ("deposition.ph_order", 0.0)),
    ] {
        let at = set(&exact, &[("operation.temperature_c", 84.0), ("operation.ph", 5.0)]);
        assert_relative(path, um_h(&say(&at, &[(path, "off")])), um_h(&set(&at, &[same])), 1e-12);
    }
    for path in [
        "operation.ph",
        "tank.evaporation_l_h",
        "tank.drag_out_l_m2",
        "limits.turnovers",
        "ph_control.dead_band_ph",
        "cost.heat_loss_kw",
        "replenisher.metal.density_g_ml",
    ] {
        assert!(say(&power_law(), &[(path, "off")]).make_up().is_ok(), "{path}");
    }
    // A default that is not nothing is said.
    assert_eq!(
        flags(&say(&power_law(), &[("ph_control.dead_band_ph", "off")]), "ph_control.dead_band_ph"),
        ["off means the default here, 0.1"]
    );
    for path in ["operation.temperature_c", "tank.volume_l", "deposition.rate_mol_m2_s"] {
        let message = refused(&say(&power_law(), &[(path, "off")]));
        assert!(message.contains(path) && message.contains("cannot do without"), "{message}");
    }
}

/// Producer: the rule, and the molar masses of what is added.
#[test]
fn one_of_two_equal_reagents_changed_alone_is_named_with_the_other() {
    let first = say(&nickel_acid(), &[("operation.ph_reagent", "ammonia")]);
    let said = flags(&first, "operation.ph_reagent");
    let caustic_mol_l = format!("200 g/L or {} mol/L", short(200.0 / molar_mass("NaOH")));
    let set_with = first.make_up().expect("a bath").ph_adjustment().expect("a model").expect("ammonia").mol_l;
    for words in [
        "made up with ammonia",
        "held with sodium hydroxide",
        &caustic_mol_l,
        &format!("{} mol/L", short(set_with)),
    ] {
        assert!(said.len() == 1 && said[0].contains(words), "{words} in {said:?}");
    }
    let second = say(&nickel_acid(), &[("ph_control.reagent", "ammonia")]);
    assert_eq!(flags(&second, "ph_control.reagent").len(), 1);
    assert_eq!(flags(&on_nickel_acid("operation.ph_reagent = \"ammonia\""), "operation.ph_reagent").len(), 1);
    // Both named, a life without pH control, or cards that were made with two: nothing to say.
    let both = [("operation.ph_reagent", "ammonia"), ("ph_control.reagent", "ammonia")];
    let meant = [("operation.ph_reagent", "ammonia"), ("ph_control.reagent", "sodium_hydroxide")];
    let off = [("operation.ph_reagent", "ammonia"), ("ph_control.policy", "off")];
    let textbook = Recipe::built_in("nickel-textbook").expect("built in");
    let sulfuric = say(&textbook, &[("operation.ph_reagent", "sulfuric_acid")]);
    for recipe in [
        say(&nickel_acid(), &both),
        say(&nickel_acid(), &meant),
        say(&nickel_acid(), &off),
        textbook,
        sulfuric,
    ] {
        let all = recipe.make_up().expect("a bath").flags().expect("flags");
        assert!(!all.iter().any(|flag| flag.what.contains("was changed alone")), "{all:?}");
    }
}

/// Producer: the ledger. Without a reagent of its own the life follows the make-up's.
#[test]
fn a_missing_second_reagent_follows_the_first() {
    let text = nickel_acid().text().replace("reagent = \"sodium_hydroxide\"\ncorrector_g_l", "corrector_g_l");
    let card = Recipe::from_toml("mine.toml", &text).expect("a recipe");
    assert!(card.document().get("ph_control.reagent").is_none());
    let followed =
        live(&set(&say(&card, &[("operation.ph_reagent", "ammonia")]), &[("limits.turnovers", 1.0)]));
    assert!(followed.ledger.volume_l("ammonia 200 g/L") > 0.0);
    // Some 0.18 mol/L of acid are made per turnover.
    assert!(gain(&followed, "ammonia_mol_l") > 0.1);
    assert!(flags(&card, "operation.ph_reagent").is_empty());
}

/// Producer: the rule. A column of runs is no exception: the fit would take both salts for weighed out.
#[test]
fn runs_with_another_salt_say_what_becomes_of_the_recipes() {
    let rates = ("deposition_um_h", [15.0, 16.0, 17.0].as_slice());
    let salt = (HEPTAHYDRATE, [20.0, 25.0, 30.0].as_slice());
    let options = RecipeFitOptions { specification: asked(&[RATE]), ..RecipeFitOptions::default() };
    let fit = |recipe: &Recipe, columns: &[(&str, &[f64])]| fit_recipe(recipe, &[runs(columns)], &options);
    let message = fit(&nickel_acid(), &[salt, rates]).expect_err("refused").to_string();
    assert!(message.contains(&format!("{HEPTAHYDRATE} is weighed out beside {HEXAHYDRATE}")), "{message}");
    assert!(fit(&nickel_acid(), &[salt, (HEXAHYDRATE, &[1.0, 1.0, 1.0]), rates]).is_ok());
    let swapped = say(&set(&nickel_acid(), &[(HEPTAHYDRATE, 28.72)]), &[(HEXAHYDRATE, "off")]);
    assert!(fit(&swapped, &[salt, rates]).is_ok());
}

/// Producer: the built-in recipe itself: a recipe with nothing of its own on one that stands on another is that one.
#[test]
fn a_base_may_stand_on_another() {
    let lactate = Recipe::built_in("nickel-lactate").expect("built in");
    let mine = Recipe::from_toml("mine.toml", "base = \"nickel-lactate\"\n").expect("a recipe");
    assert_eq!(mine.model().expect("resolves").heading, lactate.model().expect("resolves").heading);
    let entries = lactate.document().entries().iter().filter(|entry| entry.path != "base");
    for entry in entries {
        assert_eq!(
            mine.document().get(&entry.path).map(|own| &own.value),
            Some(&entry.value),
            "{}",
            entry.path
        );
    }
    assert!(mine.document().entries().iter().any(|entry| entry.place.file == "nickel-acid"));
}
