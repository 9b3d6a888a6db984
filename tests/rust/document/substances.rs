//! One rule for what a name with a unit says, in recipes, analyses, logs, runs and limits.

use bathkin::Recipe;
use bathkin::document::Value;
use bathkin::model::database::built_in;
use bathkin::model::substance::{Unit, bought_for, content, readings, reagents};
use bathkin::study::PlanRequest;
use bathkin_fit::{Data, FitSpecification, Sheet};

use support::recipes::{molar_mass, nickel_acid, set, without_limits};
use support::{assert_relative, assert_within};

const OWN: [&str; 3] = ["nickel", "hypophosphite", "orthophosphite"];

/// mol/L of one in the unit of a name, and of what.
fn said(name: &str) -> (String, f64) {
    let (_, chemistry) = built_in().expect("built in");
    let found = content(chemistry, &OWN, name, 1.0).expect("a substance").expect("clear");
    (chemistry.components[found.component].name.clone(), found.mol_l)
}

fn unclear(name: &str, value: f64) -> String {
    let (_, chemistry) = built_in().expect("built in");
    let found = content(chemistry, &OWN, name, value).expect("a substance").expect_err("unclear");
    format!("{}; {}", found.expected, found.hint)
}

/// Producer: molar masses of the formulas (IUPAC 2021 weights, `molar_masses.csv` checks them).
#[test]
fn every_spelling_of_a_substance_says_the_same() {
    let salt = molar_mass("NaH2PO2.H2O");
    let anhydrous = molar_mass("Na2HPO3");
    for (name, component, mol_l) in [
        ("nickel_g_l", "nickel", 1.0 / molar_mass("Ni")),
        ("metal_g_l", "nickel", 1.0 / molar_mass("Ni")),
        ("nickel_mol_l", "nickel", 1.0),
        ("nickel_mmol_l", "nickel", 1e-3),
        ("nickel_mM", "nickel", 1e-3),
        ("nickel_sulfate_hexahydrate_g_l", "nickel", 1.0 / molar_mass("NiSO4.6H2O")),
        ("nickel_hypophosphite_hexahydrate_mol_l", "nickel", 1.0),
        ("sodium_hypophosphite_monohydrate_g_l", "hypophosphite", 1.0 / salt),
        ("hypophosphite_g_l_as_h2po2", "hypophosphite", 1.0 / molar_mass("H2PO2-")),
        ("reductant_g_l_as_nah2po2_h2o", "hypophosphite", 1.0 / salt),
        ("orthophosphite_g_l_as_na2hpo3", "orthophosphite", 1.0 / anhydrous),
        ("disodium_phosphite_anhydrous_g_l", "orthophosphite", 1.0 / anhydrous),
        ("orthophosphite_mg_l_as_nah2po3", "orthophosphite", 1e-3 / molar_mass("NaH2PO3")),
        ("orthophosphite_g_l_as_h2po3", "orthophosphite", 1.0 / molar_mass("H2PO3-")),
        ("formate_g_l_as_hcooh", "formate", 1.0 / molar_mass("CH2O2")),
        ("thiourea_mg_l", "thiourea", 1e-3 / molar_mass("CH4N2S")),
        ("ammonia_g_l", "ammonia", 1.0 / molar_mass("NH3")),
        ("lactic_acid_g_l", "lactate", 1.0 / molar_mass("C3H6O3")),
        ("disodium_tetraborate_decahydrate_mol_l", "borate", 4.0),
    ] {
        let (of, found) = said(name);
        assert_eq!(of, component, "{name}");
        assert_relative(name, found, mol_l, 1e-12);
    }
}

/// Producer: 22 g/L over 64.99, 105.99, 87.98 and 66.00 g/mol.
#[test]
fn grams_of_an_ion_are_refused_with_each_reading() {
    let text = unclear("hypophosphite_g_l", 22.0);
    for reading in [
        "hypophosphite_mol_l",
        "grams of hypophosphite as what? 22 g/L is 0.3385 mol/L as hypophosphite_g_l_as_h2po2",
        "0.2076 mol/L as sodium_hypophosphite_monohydrate_g_l",
        "0.2501 mol/L as sodium_hypophosphite_anhydrous_g_l",
        "0.3334 mol/L as hypophosphorous_acid_g_l",
    ] {
        assert!(text.contains(reading), "{text} lacks {reading}");
    }
    assert!(
        unclear("sodium_hypophosphite_g_l", 22.0)
            .contains("0.2501 mol/L as sodium_hypophosphite_anhydrous_g_l")
    );
    assert!(unclear("orthophosphite_g_l_as_nickel", 22.0).contains("_as_na2hpo3_5h2o"));
    assert!(unclear("ammonium_chloride_g_l", 5.0).contains("ammonia_mol_l, chloride_mol_l"));
    assert!(unclear("sodium_hydroxide_g_l", 5.0).contains("sodium_mol_l"));
    let (_, chemistry) = built_in().expect("built in");
    assert!(
        content(chemistry, &OWN, "zinc_g_l", 1.0).is_none() && content(chemistry, &OWN, "ph", 1.0).is_none()
    );
    // Every component that is not weighed as itself has a reading as itself first.
    let component = chemistry.component("citrate").expect("citrate");
    let read = readings(chemistry, &OWN, component, Unit::Grams, 2.0);
    assert_eq!(read[0].name, "citrate_g_l_as_c6h5o7");
    assert_relative("citrate", read[0].mol_l, 2.0 / molar_mass("C6H5O7-3"), 1e-12);
    assert!(read.len() > 3);
}

/// Producer: the rule itself, at each of its places; at every one the three readings stand in the refusal.
#[test]
fn grams_of_an_ion_are_refused_everywhere() {
    let recipe = nickel_acid();
    let sheet = |columns: &[(&str, f64)]| Sheet {
        file: "table.csv".to_owned(),
        rows: vec![1, 2],
        columns: columns.iter().map(|(name, cell)| ((*name).to_owned(), vec![Some(*cell); 2])).collect(),
        ..Sheet::default()
    };
    let lay = |data: Data| {
        let specification = FitSpecification {
            free: vec!["deposition.rate_mol_m2_s".to_owned()],
            ..FitSpecification::default()
        };
        specification.build(&recipe, &[data]).expect_err("refused").to_string()
    };
    let with = |path: &str| {
        recipe.with(path, Value::Number(22.0), "--set").model().expect_err("refused").to_string()
    };
    let mut log = sheet(&[("time_h", 0.0), ("hypophosphite_g_l", 22.0)]);
    log.columns[0].1[1] = Some(1.0);
    let now = vec![("hypophosphite_g_l".to_owned(), 22.0)];
    for (place, text) in [
        ("make-up", with("make_up.hypophosphite_g_l")),
        ("replenisher", with("replenisher.reductant.hypophosphite_g_l")),
        ("limit", with("limits.hypophosphite_g_l_min")),
        (
            "now",
            recipe.plan(&PlanRequest { now, ..PlanRequest::default() }).expect_err("refused").to_string(),
        ),
        ("log", lay(Data::Log(log))),
        ("runs", lay(Data::Runs(sheet(&[("hypophosphite_g_l", 22.0), ("deposition_um_h", 15.0)])))),
    ] {
        for reading in ["0.3385 mol/L as hypo", "0.2076 mol/L as sodium_", "0.2501 mol/L as sodium_"] {
            assert!(text.contains(reading), "{place}: {text}");
        }
    }
    let moles = with("make_up.hypophosphite_mol_l");
    assert!(
        moles.contains("the salt that is weighed out")
            && moles.contains("sodium_hypophosphite_monohydrate_g_l = 2332"),
        "{moles}"
    );
    // 6 g/L nickel as the hexahydrate: 6 / 58.6934 x 262.85.
    let metal = recipe
        .with("make_up.nickel_g_l", Value::Number(6.0), "--set")
        .model()
        .expect_err("refused")
        .to_string();
    assert!(metal.contains("6 g/L of nickel is nickel_sulfate_hexahydrate_g_l = 26.87"), "{metal}");
}

/// Producer: the same bath written otherwise.
#[test]
fn a_make_up_takes_every_spelling_of_a_reagent() {
    let totals = |recipe: &Recipe| recipe.model().expect("a bath").fresh_totals_mol_l.clone();
    let plain =
        set(&nickel_acid(), &[("make_up.disodium_phosphite_anhydrous_g_l", 3.0), ("operation.ph", 5.0)]);
    let as_form =
        set(&nickel_acid(), &[("make_up.orthophosphite_g_l_as_na2hpo3", 3.0), ("operation.ph", 5.0)]);
    let millimoles = 3e3 / molar_mass("Na2HPO3");
    let in_mm = set(
        &nickel_acid(),
        &[("make_up.disodium_phosphite_anhydrous_mM", millimoles), ("operation.ph", 5.0)],
    );
    for other in [&as_form, &in_mm] {
        for (a, b) in totals(&plain).into_iter().zip(totals(other)) {
            assert_within("mol/L", a, b, 1e-12);
        }
    }
}

/// Producer: bounds by hand from molar masses.
#[test]
fn limits_take_every_spelling() {
    let limit = |path: &str, value: f64| {
        let recipe = set(&without_limits(&nickel_acid()), &[(path, value)]);
        let found = recipe.model().unwrap_or_else(|error| panic!("{error}")).limits.clone();
        let limit = found.into_iter().find(|limit| limit.path == path).expect("the limit");
        (limit.name, limit.bound)
    };
    let salt = "limits.sodium_hypophosphite_monohydrate_g_l_min";
    let (name, bound) = limit(salt, 20.0);
    assert_eq!(name, "hypophosphite_mol_l_min");
    assert_relative("bound", bound, 20.0 / molar_mass("NaH2PO2.H2O"), 1e-12);
    let (name, bound) = limit("limits.disodium_phosphite_pentahydrate_g_l", 300.0);
    assert_eq!(name, "orthophosphite_mol_l");
    assert_relative("bound", bound, 300.0 / molar_mass("Na2HPO3.5H2O"), 1e-12);
    let (name, bound) = limit("limits.sulfate_mM_max", 500.0);
    assert_eq!((name.as_str(), bound), ("sulfate_mol_l_max", 0.5));
    let (name, bound) = limit("limits.nickel_g_l", 4.0);
    assert_eq!(name, "metal_g_l");
    assert_relative("bound", bound, 4.0, 1e-12);
    let refused = |path: &str| set(&nickel_acid(), &[(path, 1.0)]).model().expect_err("refused").to_string();
    assert!(refused("limits.lactate_mol_l").contains("lactate_mol_l_min or lactate_mol_l_max"));
    assert!(refused("limits.orthophosphite_g_l").contains("grams of orthophosphite as what?"));
    assert!(refused("limits.thiourea_mg_l_max").contains("a component of this bath"));
}

/// Producer: the chemistry itself: every reagent is listed, and what is listed can be said.
#[test]
fn what_is_listed_can_be_said() {
    let (_, chemistry) = built_in().expect("built in");
    let listed = reagents(chemistry, &OWN);
    assert_eq!(listed.reagents.len(), chemistry.reagents.len());
    let mut said = 0;
    for reagent in &listed.reagents {
        let known = chemistry.reagent(&reagent.name).expect("a reagent");
        assert_eq!(bought_for(chemistry, &OWN, known).is_some(), reagent.bought_for.is_some());
        for spelling in reagent.spellings.iter().filter(|_| reagent.bought_for.is_some()) {
            let found = content(chemistry, &OWN, spelling, 1.0).expect("a substance").expect("clear");
            assert_eq!(
                Some(&chemistry.components[found.component].name),
                reagent.bought_for.as_ref(),
                "{spelling}"
            );
            said += 1;
        }
    }
    for component in &listed.components {
        for spelling in &component.spellings {
            let found = content(chemistry, &OWN, spelling, 1.0).expect("a substance").expect("clear");
            assert_eq!(chemistry.components[found.component].name, component.name, "{spelling}");
            said += 1;
        }
    }
    assert!(said > 300, "{said}");
}
