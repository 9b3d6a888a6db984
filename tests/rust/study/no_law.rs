//! What no law of a recipe contains, and numbers that change nothing.

use bathkin::Recipe;
use bathkin::study::sweep;

use support::assert_within;
use support::recipes::{live, nickel_acid, power_law, say, set, um_h};
use support::stabilized::{flags, stabilized};

fn no_law(recipe: &Recipe, component: &str) -> Vec<String> {
    flags(recipe, &format!("laws.{component}"))
}

/// Producer: the rate itself: what the sentence says can act only so far does not act further.
#[test]
fn a_trace_that_no_law_contains_is_named() {
    for (path, component, by) in [
        ("make_up.thiourea_mg_l", "thiourea", "rate and composition do not depend on it"),
        ("make_up.lead_nitrate_mg_l", "lead", "it can act only through ionic strength"),
        ("make_up.cadmium_sulfate_anhydrous_mg_l", "cadmium", "it can act only through ionic strength"),
        (
            "make_up.sodium_fluoride_g_l",
            "fluoride",
            "it can act only through pH, complexes and ionic strength",
        ),
        (
            "make_up.succinic_acid_g_l",
            "succinate",
            "it can act only through pH, complexes and ionic strength",
        ),
        ("make_up.lactic_acid_g_l", "lactate", "it can act only through pH, complexes and ionic strength"),
        ("replenisher.metal.thiourea_mg_l", "thiourea", "do not depend on it"),
    ] {
        let recipe = set(&power_law(), &[(path, 2.0)]);
        let said = no_law(&recipe, component);
        let start = format!("no law of this recipe contains {component}: ");
        assert!(said.len() == 1 && said[0].starts_with(&start) && said[0].ends_with(by), "{path}: {said:?}");
        let life = live(&set(&recipe, &[("limits.turnovers", 0.3)]));
        let of_life = recipe.life_flags(&life).expect("flags");
        assert!(of_life.iter().any(|flag| flag.what == said[0]), "{path}");
    }
    let ammonia =
        say(&power_law(), &[("operation.ph_reagent", "ammonia"), ("ph_control.reagent", "ammonia")]);
    assert!(no_law(&ammonia, "ammonia")[0].ends_with("through pH, complexes and ionic strength"));
    let pure = um_h(&power_law());
    let with = um_h(&set(&power_law(), &[("make_up.thiourea_mg_l", 5.0)]));
    assert_within("thiourea does nothing", with / pure, 1.0, 1e-9);
}

/// Producer: the laws. What is in one, and what nobody set, is passed over.
#[test]
fn what_a_law_contains_is_not_named() {
    assert!(flags(&power_law(), "laws").is_empty());
    assert!(flags(&stabilized(), "laws").is_empty());
    for name in Recipe::built_in_names() {
        assert!(flags(&Recipe::built_in(name).expect("built in"), "laws").is_empty(), "{name}");
    }
    let contained = [
        "make_up.nickel_sulfate_hexahydrate_g_l",
        "make_up.sodium_hypophosphite_monohydrate_g_l",
        "make_up.disodium_phosphite_anhydrous_g_l",
    ];
    for path in contained {
        assert!(flags(&set(&power_law(), &[(path, 25.0)]), "laws").is_empty(), "{path}");
    }
    let edta = Recipe::built_in("copper-edta").expect("built in");
    assert!(flags(&set(&edta, &[("make_up.stabilizer_dn_mol_l", 1e-4)]), "laws").is_empty());
    // A law of free metal follows its complexants through the equilibrium.
    let free = say(&power_law(), &[("deposition.basis.nickel", "free")]);
    assert!(flags(&free, "laws").is_empty());
    assert!(no_law(&set(&free, &[("make_up.lactic_acid_g_l", 20.0)]), "lactate").is_empty());
    assert_eq!(no_law(&set(&power_law(), &[("make_up.lactic_acid_g_l", 20.0)]), "lactate").len(), 1);
    // Salt acts on a law with a factor for it; a role that acts on the rate wants a law that contains it.
    let salty = set(&nickel_acid(), &[("make_up.sodium_sulfate_anhydrous_g_l", 70.0)]);
    assert!(flags(&salty, "laws").is_empty());
    assert_eq!(no_law(&set(&nickel_acid(), &[("make_up.lead_nitrate_mg_l", 2.0)]), "lead").len(), 1);
    // A trace of a recipe of one's own is named also where it was there from the start.
    let text =
        power_law().text().replace("[make_up]\n", "[make_up]\nthiourea_mg_l = 1\nsuccinic_acid_g_l = 5\n");
    let own = Recipe::from_toml("mine.toml", &text).expect("a recipe");
    assert_eq!(flags(&own, "laws").len(), 2);
    assert_eq!((no_law(&own, "thiourea").len(), no_law(&own, "succinate").len()), (1, 1));
    // Above a base what is added was added.
    let scenario = "base = \"nickel-acid\"\n[make_up]\nsuccinic_acid_g_l = 5\n";
    assert_eq!(no_law(&Recipe::from_toml("mine.toml", scenario).expect("a recipe"), "succinate").len(), 1);
}

/// Producer: the points themselves.
#[test]
fn a_varied_number_that_changes_nothing_is_named() {
    let over = |varied: &[(&str, &[f64])]| {
        let varied: Vec<(String, Vec<f64>)> =
            varied.iter().map(|(path, values)| ((*path).to_owned(), values.to_vec())).collect();
        let points = sweep(&power_law(), &varied).expect("a sweep");
        let of = |point: &bathkin::study::SweepPoint| -> Vec<String> {
            let flags = point.flags.iter().filter(|flag| flag.r#where.starts_with("sweep."));
            flags.map(|flag| flag.what.clone()).collect()
        };
        assert!(points.iter().all(|point| of(point) == of(&points[0])));
        of(&points[0])
    };
    let thiourea = ("make_up.thiourea_mg_l", [0.0, 2.0, 5.0].as_slice());
    assert_eq!(
        over(&[thiourea]),
        [
            "make_up.thiourea_mg_l from 0 to 5 changes nothing here: rate, composition, pH, free metal and ionic strength stay"
        ]
    );
    let volume = ("tank.volume_l", [100.0, 400.0].as_slice());
    assert_eq!(over(&[volume]).len(), 1);
    let ph = ("operation.ph", [4.6, 5.0].as_slice());
    // Beside a number that acts, in either order.
    assert_eq!(over(&[thiourea, ph]).len(), 1);
    assert_eq!(over(&[ph, thiourea]).len(), 1);
    let lactic = ("make_up.lactic_acid_g_l", [20.0, 27.0].as_slice());
    assert_eq!(
        over(&[lactic]),
        ["make_up.lactic_acid_g_l from 20 to 27 changes neither the rate nor the composition"]
    );
    assert!(over(&[ph]).is_empty());
    assert!(over(&[("make_up.nickel_sulfate_hexahydrate_g_l", &[20.0, 26.0])]).is_empty());
}
