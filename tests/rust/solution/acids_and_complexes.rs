//! What the constants cover: every ligand has its acids, every metal its complexes.

use bathkin::constants::{LN_10, REFERENCE_TEMPERATURE_K};
use bathkin::model::database::built_in;
use bathkin::solution::{Chemistry, Species};

/// The species each ligand forms with protons and water alone.
const ACIDS: [(&str, &[&str]); 22] = [
    ("water", &["hydroxide"]),
    ("lactate", &["lactic_acid"]),
    ("acetate", &["acetic_acid"]),
    ("propionate", &["propionic_acid"]),
    ("succinate", &["hydrogen_succinate", "succinic_acid"]),
    ("malate", &["hydrogen_malate", "malic_acid"]),
    ("citrate", &["hydrogen_citrate", "dihydrogen_citrate", "citric_acid"]),
    ("glycolate", &["glycolic_acid"]),
    ("glycinate", &["glycine", "glycinium"]),
    ("tartrate", &["hydrogen_tartrate", "tartaric_acid"]),
    ("edta", &["hydrogen_edta", "dihydrogen_edta", "trihydrogen_edta", "edta_acid", "pentahydrogen_edta"]),
    ("ammonia", &["ammonium"]),
    ("borate", &["boric_acid"]),
    ("carbonate", &["bicarbonate", "carbon_dioxide"]),
    ("sulfate", &["bisulfate"]),
    ("fluoride", &["hydrogen_fluoride", "bifluoride"]),
    ("hypophosphite", &["hypophosphorous_acid"]),
    ("orthophosphite", &["dihydrogen_phosphite", "phosphorous_acid"]),
    ("formate", &["formic_acid"]),
    ("methylene_glycol", &["methylene_glycolate"]),
    ("cyanide", &["hydrogen_cyanide"]),
    ("thiosulfate", &["hydrogen_thiosulfate"]),
];

/// How many species a metal forms with each ligand at least: hydroxide under water.
const COMPLEXES: [(&str, &[(&str, usize)]); 6] = [
    (
        "nickel",
        &[
            ("water", 3),
            ("lactate", 2),
            ("acetate", 2),
            ("propionate", 2),
            ("succinate", 1),
            ("malate", 2),
            ("citrate", 5),
            ("glycolate", 2),
            ("glycinate", 3),
            ("tartrate", 2),
            ("edta", 3),
            ("ammonia", 6),
            ("carbonate", 3),
            ("sulfate", 1),
            ("chloride", 1),
            ("fluoride", 1),
            ("orthophosphite", 2),
            ("formate", 1),
            ("cyanide", 1),
            ("thiosulfate", 1),
        ],
    ),
    (
        "copper",
        &[
            ("water", 5),
            ("lactate", 2),
            ("acetate", 3),
            ("propionate", 2),
            ("succinate", 1),
            ("malate", 1),
            ("citrate", 5),
            ("glycolate", 2),
            ("glycinate", 2),
            ("tartrate", 8),
            ("edta", 4),
            ("ammonia", 4),
            ("carbonate", 3),
            ("sulfate", 1),
            ("chloride", 2),
            ("fluoride", 1),
            ("formate", 2),
        ],
    ),
    (
        "cobalt",
        &[
            ("water", 4),
            ("lactate", 2),
            ("acetate", 1),
            ("propionate", 2),
            ("succinate", 1),
            ("malate", 1),
            ("citrate", 3),
            ("glycolate", 2),
            ("glycinate", 3),
            ("tartrate", 3),
            ("edta", 3),
            ("ammonia", 6),
            ("carbonate", 2),
            ("sulfate", 1),
            ("chloride", 1),
            ("fluoride", 1),
            ("orthophosphite", 2),
            ("formate", 1),
            ("thiosulfate", 1),
        ],
    ),
    ("palladium", &[("water", 3), ("ammonia", 4), ("chloride", 4), ("sulfate", 2), ("carbonate", 2)]),
    (
        "silver",
        &[
            ("water", 2),
            ("acetate", 1),
            ("glycinate", 2),
            ("edta", 2),
            ("ammonia", 2),
            ("carbonate", 2),
            ("sulfate", 1),
            ("chloride", 3),
            ("fluoride", 1),
            ("cyanide", 2),
            ("thiosulfate", 2),
        ],
    ),
    ("gold", &[("cyanide", 1), ("thiosulfate", 1)]),
];

/// Names of the components of a species besides the proton and water.
fn basis<'a>(chemistry: &'a Chemistry, parts: &[(usize, f64)]) -> Vec<&'a str> {
    let names = parts.iter().map(|(index, _)| chemistry.components[*index].name.as_str());
    names.filter(|name| !["proton", "water"].contains(name)).collect()
}

#[test]
fn every_ligand_has_its_acids() {
    let (_, chemistry) = built_in().expect("built in");
    for (ligand, expected) in ACIDS {
        let only = if ligand == "water" { vec![] } else { vec![ligand] };
        let formed = chemistry.species.iter().filter(|species| basis(chemistry, &species.forms_from) == only);
        let formed: Vec<&str> = formed.map(|species| species.name.as_str()).collect();
        for name in expected {
            assert!(formed.contains(name), "{ligand} forms {formed:?}, not {name}");
        }
    }
}

#[test]
fn every_metal_has_its_complexes() {
    let (_, chemistry) = built_in().expect("built in");
    for (metal, ligands) in COMPLEXES {
        for (ligand, least) in ligands {
            let wanted = |species: &&Species| {
                let basis = basis(chemistry, &species.forms_from);
                let others: Vec<&str> = basis.iter().copied().filter(|name| *name != metal).collect();
                let bound = if *ligand == "water" { vec![] } else { vec![*ligand] };
                basis.contains(&metal) && others == bound
            };
            let formed: Vec<&str> =
                chemistry.species.iter().filter(wanted).map(|species| species.name.as_str()).collect();
            assert!(formed.len() >= *least, "{metal} with {ligand}: {formed:?}, at least {least} expected");
        }
    }
}

/// No step of a series is stronger than the one before it by more than 0.7. Producer: the stepwise
/// constants of stability_martell_smith.csv, where the second ammonia of silver is by 0.60.
#[test]
fn steps_of_a_series_grow_weaker() {
    const SERIES: [&str; 7] =
        ["ammine", "acetate", "glycinate", "lactate", "glycolate", "ethylenediamine", "chloride"];
    let (_, chemistry) = built_in().expect("built in");
    let log_k = |name: &str| {
        let species = chemistry.species.iter().find(|species| species.name == name)?;
        let ln_k: f64 = species.constant.ln_k(REFERENCE_TEMPERATURE_K);
        Some(ln_k / LN_10)
    };
    let mut seen = 0;
    for (metal, _) in COMPLEXES {
        for series in SERIES {
            let overall: Vec<f64> =
                (1..=6).map_while(|number| log_k(&format!("{metal}_{series}_{number}"))).collect();
            let steps: Vec<f64> =
                overall.iter().scan(0.0, |last, now| Some(now - std::mem::replace(last, *now))).collect();
            for (earlier, later) in steps.iter().zip(steps.iter().skip(1)) {
                assert!(later - earlier < 0.7, "{metal} {series}: {steps:.2?}");
                seen += 1;
            }
        }
    }
    assert!(seen > 30, "{seen} steps");
}
