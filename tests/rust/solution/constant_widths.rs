//! Widths and backing of the built-in constants, and what databases say of them.

use bathkin::constants::{LN_10, REFERENCE_TEMPERATURE_K};
use bathkin::document::Value;
use bathkin::model::database::built_in;
use bathkin::recipe::{Constant, Recipe};
use bathkin::solution::{Chemistry, EquilibriumConstant, Evidence, Width, WidthClass};
use bathkin::source::Kind;

use support::solutions::chemistry_with;
use support::{Csv, assert_within};

/// Every constant of the species and solids, alternatives included, with its table.
fn every(chemistry: &Chemistry) -> Vec<(String, &EquilibriumConstant, &Evidence)> {
    let species =
        chemistry.species.iter().map(|one| (&one.name, &one.constant, &one.evidence, &one.alternatives));
    let solids =
        chemistry.solids.iter().map(|one| (&one.name, &one.constant, &one.evidence, &one.alternatives));
    let listed = species.chain(solids).flat_map(|(name, constant, evidence, others)| {
        let others = others.iter().map(|(constant, evidence)| (constant, evidence));
        [(constant, evidence)]
            .into_iter()
            .chain(others)
            .map(move |(constant, evidence)| (format!("{name}, {}", evidence.label), constant, evidence))
    });
    listed.collect()
}

/// No built-in constant counts as enthalpy zero because none was found, and an estimate says how it was made and how
/// wide it is.
#[test]
fn every_built_in_constant_has_an_enthalpy_and_widths() {
    let (_, chemistry) = built_in().expect("built in");
    let mut estimated = 0;
    for (name, constant, evidence) in every(chemistry) {
        assert!(evidence.log_k_width.value > 0.0, "{name}: log K without a width");
        let Some(enthalpy) = &evidence.enthalpy else {
            assert_eq!(*constant, EquilibriumConstant::Water, "{name}");
            continue;
        };
        assert!(!enthalpy.missing, "{name}: no enthalpy");
        assert!(enthalpy.width_kj_mol.value > 0.0, "{name}: enthalpy without a width");
        if let Some(source) = &enthalpy.source {
            assert_eq!(source.kind, Kind::Estimated, "{name}");
            assert!(source.text.len() >= 8, "{name}: {}", source.text);
            assert_eq!(enthalpy.width_kj_mol.class, WidthClass::Stated, "{name}");
            estimated += 1;
        }
    }
    assert!(estimated > 80, "{estimated} estimates");
}

/// Producer: the table of `solution/width.rs`.
#[test]
fn a_width_is_stated_or_that_of_its_class() {
    let recipe = Recipe::built_in("nickel-acid").expect("built in");
    let of = |recipe: &Recipe, name: &str| -> Constant {
        let constants = recipe.constants().unwrap_or_else(|error| panic!("{error}"));
        constants.into_iter().find(|one| one.name == name).unwrap_or_else(|| panic!("no {name}")).constant
    };
    let class = |name: &str| {
        let one = of(&recipe, name);
        (one.log_k_uncertainty, one.log_k_class)
    };
    assert_eq!(class("hydroxide"), (0.01, WidthClass::Standard));
    assert_eq!(class("acetic_acid"), (0.05, WidthClass::Measured));
    assert_eq!(class("nickel_acetate_1"), (0.2, WidthClass::Database));
    assert_eq!(class("nickel_lactate_1"), (0.5, WidthClass::Recalled));
    assert_eq!(class("dihydrogen_phosphite"), (0.3, WidthClass::Stated));
    let lactate = of(&recipe, "nickel_lactate_1");
    assert_eq!(lactate.enthalpy_uncertainty_kj_mol, Some(6.0));
    assert_eq!(
        (lactate.enthalpy_class, lactate.enthalpy_kind),
        (Some(WidthClass::Stated), Some(Kind::Estimated))
    );
    assert_eq!(of(&recipe, "nickel_acetate_1").enthalpy_uncertainty_kj_mol, Some(5.0));

    // A width stated by the user leaves the constant what it is.
    let wider = recipe.with("species.nickel_acetate_1.log_k_uncertainty", Value::Number(0.4), "test");
    let known = of(&wider, "nickel_acetate_1");
    assert_eq!((known.log_k_uncertainty, known.kind), (0.4, Kind::Published));

    // The width of a number does not go over to another in its place.
    let path = |what: &str| format!("species.nickel_lactate_1.{what}");
    let own = recipe.with(&path("enthalpy_kj_mol"), Value::Number(-4.0), "test");
    let known = of(&own, "nickel_lactate_1");
    assert_eq!((known.enthalpy_uncertainty_kj_mol, known.enthalpy_kind), (Some(10.0), Some(Kind::User)));
    assert_eq!(known.log_k_uncertainty, 0.5, "the constant is the one it was");
    let own = own.with(&path("enthalpy_uncertainty_kj_mol"), Value::Number(1.0), "test");
    assert_eq!(of(&own, "nickel_lactate_1").enthalpy_uncertainty_kj_mol, Some(1.0));
    let own = own.with(&path("log_k_25c"), Value::Number(2.1), "test");
    assert_eq!(of(&own, "nickel_lactate_1").log_k_class, WidthClass::Recalled);
    let own = own.with(&path("log_k_uncertainty"), Value::Number(0.05), "test");
    assert_eq!(of(&own, "nickel_lactate_1").log_k_uncertainty, 0.05);
}

#[test]
fn a_recipe_may_name_a_class() {
    let text = |class: &str| {
        format!(
            "[species.nickel_acetate_1.alternatives.shop]\nlog_k_25c = 1.5\nenthalpy_kj_mol = 5\nsource = \"a titration\"\n\
             kind = \"computed\"\nwidth_class = \"{class}\"\nnote = \"ours\"\n"
        )
    };
    let chemistry = chemistry_with(&text("measured"));
    let shop = every(&chemistry).into_iter().find(|(name, ..)| name == "nickel_acetate_1, shop");
    let evidence = shop.expect("the shop's").2;
    assert_eq!(evidence.log_k_width, Width { value: 0.05, class: WidthClass::Measured });
    assert_eq!(evidence.enthalpy.as_ref().map(|of| of.width_kj_mol.value), Some(2.0));
    let document = bathkin::document::Document::parse("the test", &text("guessed")).expect("TOML");
    let error = bathkin::model::database::chemistry_for(&document).expect_err("no such class");
    assert!(error.to_string().contains("analogy"), "{error}");
}

/// Producer: the databases themselves, through database_constants.csv; what is taken from them has their digits: 0.02 in log K, 0.05
/// kJ/mol where the enthalpy is theirs too.
#[test]
fn constants_are_those_of_the_databases_they_name() {
    let (_, chemistry) = built_in().expect("built in");
    let known = every(chemistry);
    let file = Csv::reference("database_constants.csv");
    let (mut seen, mut enthalpies) = (0, 0);
    for row in file.rows() {
        let name = format!("{}, {}", row.text("species"), row.text("label"));
        let (_, constant, _) =
            known.iter().find(|(known, ..)| *known == name).unwrap_or_else(|| panic!("no {name}"));
        let ln_k: f64 = constant.ln_k(REFERENCE_TEMPERATURE_K);
        assert_within(&name, ln_k / LN_10, row.number("log_k_25c"), 0.02);
        seen += 1;
        if !row.text("enthalpy_kj_mol").is_empty() {
            let EquilibriumConstant::VantHoff { enthalpy_kj_mol, .. } = constant else {
                panic!("{name}: a law");
            };
            assert_within(&name, *enthalpy_kj_mol, row.number("enthalpy_kj_mol"), 0.05);
            enthalpies += 1;
        }
    }
    assert!(seen >= 190 && enthalpies >= 100, "{seen} constants, {enthalpies} enthalpies");
}

/// What is called published says who, or in what: a year, the tag of a bibliography (two digits and authors), or one of the
/// two compilations that are cited by name. What cannot is `read-untraceable`.
#[test]
fn what_is_published_can_be_traced() {
    const COMPILATIONS: [&str; 2] = [
        "Martell, Smith & Motekaitis, NIST Critically Selected Stability Constants",
        "Pettit & Powell, IUPAC Stability Constants Database",
    ];
    let traced = |text: &str| {
        let digits =
            |word: &str, of: usize| word.len() >= of && word.as_bytes()[..of].iter().all(u8::is_ascii_digit);
        let mut words = text.split(|c: char| !(c.is_alphanumeric() || c == '/'));
        COMPILATIONS.iter().any(|name| text.contains(name))
            || words.any(|word| {
                let year = digits(word, 4) && (word.starts_with("19") || word.starts_with("20"));
                let tag = digits(word, 2) && word.as_bytes().get(2).is_some_and(u8::is_ascii_uppercase);
                year || tag
            })
    };
    let (_, chemistry) = built_in().expect("built in");
    let constants = every(chemistry).into_iter().map(|(name, _, evidence)| (name, evidence.source.clone()));
    let others = chemistry.couples.iter().map(|one| (one.name.clone(), one.source.clone()));
    let gases = chemistry.gases.iter().map(|one| (one.name.clone(), one.source.clone()));
    let mut untraceable = 0;
    for (name, source) in constants.chain(others).chain(gases) {
        match source.kind {
            Kind::Published => assert!(traced(&source.text), "{name}: {}", source.text),
            Kind::ReadUntraceable => untraceable += 1,
            _ => {}
        }
    }
    assert!((5..25).contains(&untraceable), "{untraceable}");
}

/// Producer: sit.dat of PHREEQC, records that begin with a minus sign: -1.86 (11.908), -3.49 (13.576), -15.48 (52.289) kJ/mol,
/// PdCl3(OH)-2 2.42. The tetraammine gives off heat.
#[test]
fn palladium_has_its_own_enthalpies() {
    let (_, chemistry) = built_in().expect("built in");
    let known = every(chemistry);
    let of = |name: &str| {
        let name = format!("{name}, default");
        match known.iter().find(|(known, ..)| *known == name).expect("a constant").1 {
            EquilibriumConstant::VantHoff { log_k_25c, enthalpy_kj_mol, .. } => {
                (*log_k_25c, *enthalpy_kj_mol)
            }
            EquilibriumConstant::Water => panic!("{name}"),
        }
    };
    assert_eq!(of("palladium_hydroxide_1"), (-1.86, 11.908));
    assert_eq!(of("palladium_hydroxide_2"), (-3.49, 13.576));
    assert_eq!(of("palladium_hydroxide_3"), (-15.48, 52.289));
    assert_eq!(of("palladium_hydroxo_trichloride").0, 2.42);
    assert!(of("palladium_ammine_4").1 < -100.0);
    assert!(known.iter().all(|(name, ..)| name != "palladium_ammine_4, sit"));
}
