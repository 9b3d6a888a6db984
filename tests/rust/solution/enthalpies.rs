//! What results owe to enthalpies that nobody measured, and to those that are missing.

use bathkin::flag::Flag;
use bathkin::recipe::Recipe;

use support::assert_within;
use support::recipes::{built_in, live, nickel_acid, set};

fn flags(recipe: &Recipe) -> Vec<Flag> {
    recipe.make_up().and_then(|bath| bath.flags()).unwrap_or_else(|error| panic!("{error}"))
}

fn estimated(flags: &[Flag]) -> Option<&Flag> {
    flags.iter().find(|flag| flag.r#where.starts_with("enthalpies"))
}

/// The number that follows words in a sentence.
fn number_after(text: &str, words: &str) -> f64 {
    let rest = text.split_once(words).unwrap_or_else(|| panic!("{words}: {text}")).1.trim_start();
    let digits: String = rest.chars().take_while(|c| c.is_ascii_digit() || *c == '.').collect();
    digits.parse().unwrap_or_else(|_| panic!("{digits}"))
}

/// Rate um/h, pH, log10 of free metal.
fn readings(recipe: &Recipe) -> [f64; 3] {
    let rate = recipe.make_up().and_then(|bath| bath.rate()).unwrap_or_else(|error| panic!("{error}"));
    [rate.deposition_um_h.ln(), rate.ph, rate.free_metal_mol_l.log10()]
}

/// Producer: the recipe made up anew with each estimated enthalpy one width higher, roots of the sums of squares;
/// as many digits as the flag prints. Cooled pH (copper: what is in the bath stays) and hot pH (nickel: the pH stays).
#[test]
fn what_estimated_enthalpies_leave_open_is_what_moving_them_does() {
    for (name, temperature_c) in
        [("copper-tartrate", 35.0), ("copper-textbook", 40.0), ("copper-edta", 60.0), ("nickel-acid", 88.0)]
    {
        let recipe = set(&built_in(name), &[("operation.temperature_c", temperature_c)]);
        let before = readings(&recipe);
        let mut squares = [0.0; 3];
        for one in recipe.constants().expect("constants") {
            let (Some(enthalpy), Some(width)) =
                (one.constant.enthalpy_kj_mol, one.constant.enthalpy_uncertainty_kj_mol)
            else {
                continue;
            };
            if one.constant.enthalpy_kind.and_then(bathkin::source::Kind::name) != Some("estimated") {
                continue;
            }
            let path = format!("species.{}.enthalpy_kj_mol", one.name);
            let after = readings(&set(&recipe, &[(&path, enthalpy + width)]));
            for (square, (a, b)) in squares.iter_mut().zip(after.iter().zip(before)) {
                *square += (a - b).powi(2);
            }
        }
        let flags = flags(&recipe);
        let flag = estimated(&flags).unwrap_or_else(|| panic!("{name}: {flags:?}"));
        // What only the free metal depends on is a remark of the solution.
        let free_alone = name == "nickel-acid";
        assert_eq!(flag.r#where, if free_alone { "enthalpies.free_metal" } else { "enthalpies" }, "{name}");
        let what = &flag.what;
        let [rate, ph, free] = squares.map(f64::sqrt);
        assert_within(format!("{name}, rate"), number_after(what, "the rate open by"), 100.0 * rate, 0.6);
        assert_within(format!("{name}, pH"), number_after(what, "the pH in the bath by"), ph, 6e-3);
        let metal = if name.starts_with("copper") { "free copper by" } else { "free nickel by" };
        assert_within(format!("{name}, free metal"), number_after(what, metal), free, 6e-3);
    }
}

/// At 25 degC an enthalpy does nothing; a measured one is no warning.
#[test]
fn nothing_is_said_where_no_estimate_is_felt() {
    let copper = built_in("copper-tartrate");
    assert!(estimated(&flags(&copper)).is_none(), "25 degC");
    let hot = set(&copper, &[("operation.temperature_c", 45.0)]);
    let what = flags(&hot).iter().find(|flag| flag.r#where == "enthalpies").expect("flagged").what.clone();
    assert!(what.contains("methylene_glycolate (+-15 kJ/mol)"), "{what}");
    let measured = set(
        &hot,
        &[
            ("species.methylene_glycolate.enthalpy_kj_mol", 40.0),
            ("species.copper_dihydroxo_ditartrate.enthalpy_kj_mol", 100.0),
        ],
    );
    assert!(estimated(&flags(&measured)).is_none());
}

#[test]
fn a_life_says_it_of_its_last_row() {
    let life = live(&nickel_acid());
    let flags = nickel_acid().life_flags(&life).expect("flags");
    let what = &estimated(&flags).expect("flagged").what;
    assert!(what.contains("free nickel") && what.contains("nickel_lactate"), "{what}");
}

/// Producer: 20 kJ/mol, the width of what is not known, by van 't Hoff between 25 and 88 degC:
/// 20e3/(8.314 ln 10) (1/298.15 - 1/361.15) = 0.61.
#[test]
fn a_species_without_an_enthalpy_is_flagged() {
    let text = |temperature_c: f64| {
        format!(
            "format = 1\nbase = \"nickel-acid\"\noperation.temperature_c = {temperature_c}\n\
             [species.nickel_lactate_3]\nformula = \"Ni(C3H5O3)3-\"\nforms_from = {{ nickel = 1, lactate = 3 }}\n\
             log_k_25c = 4.0\nsource = \"a titration in the shop\"\nkind = \"fitted\"\n\
             [solids.nickel_lactate]\nformula = \"Ni(C3H5O3)2\"\nforms_from = {{ nickel = 1, lactate = 2 }}\n\
             log_k_25c = 4.0\nsource = \"a titration in the shop\"\nkind = \"fitted\"\n"
        )
    };
    let of = |temperature_c: f64| {
        let recipe = Recipe::from_toml("shop.toml", &text(temperature_c)).expect("a recipe");
        let mut found = flags(&recipe);
        found.retain(|flag| flag.what.contains("it has no enthalpy_kj_mol"));
        found
    };
    let found = of(88.0);
    let places: Vec<&str> = found.iter().map(|flag| flag.r#where.as_str()).collect();
    assert_eq!(places, ["species.nickel_lactate_3", "solids.nickel_lactate"]);
    assert_within("by 20 kJ/mol", number_after(&found[0].what, "either way move it by"), 0.61, 0.005);
    assert!(of(28.0).is_empty());
}
