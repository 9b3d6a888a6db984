//! Every family of baths: its equilibrium is found, cold and from nonsense, and balances.

use bathkin::constants::{REFERENCE_TEMPERATURE_K, ZERO_CELSIUS_K};
use bathkin::model::database::built_in;
use bathkin::solution::ph::{Adjustment, adjust_ph};
use bathkin::solution::{Activity, Equilibrium};
use proptest::prelude::*;
use proptest::test_runner::TestRunner;

use support::recipes::fixed_cases;
use support::solutions::{
    EDTA_OF_A_TEXTBOOK, HELD, chemistry_with, cold, components_of, mol_l, names, place, residuals, substances,
};
use support::{assert_relative, assert_within};

/// A bath of common practice, mol/L, its usual temperature, and more components an old one holds.
struct Family {
    name: &'static str,
    metal: &'static str,
    /// Most of the metal that is free, as a share.
    free: f64,
    reagents: &'static [(&'static str, f64)],
    celsius: f64,
    aged: &'static [&'static str],
}

const FAMILIES: [Family; 10] = [
    Family {
        name: "copper-edta",
        metal: "copper",
        free: 1e-15,
        reagents: &[
            ("copper_sulfate_pentahydrate", 0.04),
            ("disodium_edta_dihydrate", 0.08),
            ("formaldehyde", 0.1),
            ("sodium_hydroxide", 0.27),
        ],
        celsius: 60.0,
        aged: &["formate", "carbonate"],
    },
    Family {
        name: "copper-tartrate",
        metal: "copper",
        free: 1e-14,
        reagents: &[
            ("copper_sulfate_pentahydrate", 0.04),
            ("potassium_sodium_tartrate_tetrahydrate", 0.12),
            ("formaldehyde", 0.1),
            ("sodium_hydroxide", 0.25),
        ],
        celsius: 25.0,
        aged: &["formate", "carbonate"],
    },
    Family {
        name: "nickel-citrate",
        metal: "nickel",
        free: 1e-4,
        reagents: &[
            ("nickel_sulfate_hexahydrate", 0.1),
            ("trisodium_citrate_dihydrate", 0.2),
            ("ammonium_chloride", 0.5),
            ("sodium_hypophosphite_monohydrate", 0.2),
            ("ammonia", 0.4),
        ],
        celsius: 88.0,
        aged: &["orthophosphite"],
    },
    Family {
        name: "nickel-glycinate",
        metal: "nickel",
        free: 0.2,
        reagents: &[
            ("nickel_sulfate_hexahydrate", 0.1),
            ("glycine", 0.25),
            ("sodium_hypophosphite_monohydrate", 0.25),
            ("sodium_hydroxide", 0.13),
        ],
        celsius: 80.0,
        aged: &["orthophosphite"],
    },
    Family {
        name: "cobalt-citrate",
        metal: "cobalt",
        free: 0.05,
        reagents: &[
            ("cobalt_sulfate_heptahydrate", 0.08),
            ("trisodium_citrate_dihydrate", 0.2),
            ("boric_acid", 0.5),
            ("sodium_hypophosphite_monohydrate", 0.2),
            ("sodium_hydroxide", 0.15),
        ],
        celsius: 85.0,
        aged: &["orthophosphite"],
    },
    Family {
        name: "palladium-ammonia",
        metal: "palladium",
        free: 1e-28,
        reagents: &[
            ("palladium_chloride", 0.01),
            ("ammonium_chloride", 0.5),
            ("ammonia", 0.6),
            ("sodium_hypophosphite_monohydrate", 0.1),
        ],
        celsius: 50.0,
        aged: &["orthophosphite"],
    },
    Family {
        name: "silver-ammonia",
        metal: "silver",
        free: 1e-5,
        reagents: &[("silver_nitrate", 0.05), ("ammonia", 0.3), ("sodium_hydroxide", 0.05)],
        celsius: 25.0,
        aged: &["tartrate"],
    },
    Family {
        name: "silver-thiosulfate",
        metal: "silver",
        free: 1e-10,
        reagents: &[
            ("silver_nitrate", 0.02),
            ("sodium_thiosulfate_pentahydrate", 0.3),
            ("sodium_bicarbonate", 0.05),
        ],
        celsius: 40.0,
        aged: &["sulfate"],
    },
    Family {
        name: "gold-cyanide",
        metal: "gold",
        free: 1e-28,
        reagents: &[
            ("potassium_dicyanoaurate", 0.01),
            ("potassium_cyanide", 0.1),
            ("potassium_hydroxide", 0.2),
        ],
        celsius: 75.0,
        aged: &["borate"],
    },
    Family {
        name: "nickel-edta",
        metal: "nickel",
        free: 1e-12,
        reagents: &[
            ("nickel_sulfate_hexahydrate", 0.05),
            ("disodium_edta_dihydrate", 0.1),
            ("sodium_hypophosphite_monohydrate", 0.2),
            ("ammonia", 0.5),
        ],
        celsius: 85.0,
        aged: &["orthophosphite"],
    },
];

/// Producer: conservation of every component and of charge, summed here from the species; 1e-9. The
/// free metal is bounded an order of magnitude above what was found.
#[test]
fn every_family_is_solved_from_nothing_and_balances() {
    let (_, chemistry) = built_in().expect("built in");
    for family in &FAMILIES {
        let (names, totals) = components_of(chemistry, family.reagents);
        for activity in [HELD, Activity::Sit] {
            let equilibrium = Equilibrium::new(chemistry, &names, activity).per_litre(chemistry);
            let substances = substances(chemistry, &equilibrium);
            for celsius in [25.0, family.celsius] {
                let speciation = cold(&equilibrium, &totals, celsius + ZERO_CELSIUS_K);
                let (mass, charge) = residuals(&substances, &equilibrium, &speciation, &totals);
                let what = format!("{}, {activity:?}, {celsius} degC", family.name);
                assert!(mass < 1e-9 && charge < 1e-9, "{what}: mass {mass:e}, charge {charge:e}");
                let metal = place(&equilibrium, family.metal);
                let free = speciation.free_mol_l(&equilibrium, metal) / totals[metal];
                assert!(free > 0.0 && free < family.free, "{what}: {free:e} of the metal is free");
            }
        }
    }
}

/// 10,000 sets of totals between 1e-12 and 1 mol/L of every family, half with each activity model,
/// 5-95 degC, with what an old bath holds besides. Producer: conservation, as above; 1e-9.
#[test]
fn any_totals_over_twelve_decades_are_solved_from_nothing() {
    let (_, chemistry) = built_in().expect("built in");
    for family in &FAMILIES {
        let (mut names, _) = components_of(chemistry, family.reagents);
        names.extend(family.aged.iter().map(|name| (*name).to_owned()));
        for activity in [HELD, Activity::Sit] {
            let equilibrium = Equilibrium::new(chemistry, &names, activity).per_litre(chemistry);
            let substances = substances(chemistry, &equilibrium);
            let totals = (prop::collection::vec(-12.0..0.0_f64, names.len()), 5.0..95.0_f64);
            let ran = TestRunner::new(fixed_cases(5000)).run(&totals, |(decades, celsius)| {
                let totals: Vec<f64> = decades.iter().map(|decade| 10_f64.powf(*decade)).collect();
                let mut speciation = equilibrium.speciation();
                let solved = speciation.solve(&equilibrium, &totals, celsius + ZERO_CELSIUS_K);
                prop_assert!(solved.is_ok(), "{solved:?} for {totals:?} of {names:?} at {celsius} degC");
                let (mass, charge) = residuals(&substances, &equilibrium, &speciation, &totals);
                prop_assert!(mass < 1e-9 && charge < 1e-9, "mass {mass:e}, charge {charge:e} for {totals:?}");
                Ok(())
            });
            ran.unwrap_or_else(|failed| panic!("{}, {activity:?}: {failed}", family.name));
        }
    }
}

/// Strong solutions of salts whose ions attract: dihydrogen phosphate and its acid to 5 mol/kg.
/// Producer: conservation; 1e-9.
#[test]
fn strong_phosphate_is_solved_from_nothing() {
    let (_, chemistry) = built_in().expect("built in");
    let equilibrium = Equilibrium::new(chemistry, &names(&["phosphate", "sodium"]), Activity::Sit);
    let substances = substances(chemistry, &equilibrium);
    for phosphate in [0.5, 1.0, 1.83, 2.5, 4.0, 5.0] {
        for sodium_per_phosphate in [0.1, 0.5, 1.0, 1.5, 2.0] {
            for kelvin in [REFERENCE_TEMPERATURE_K, 361.15] {
                let totals = [phosphate, sodium_per_phosphate * phosphate];
                let speciation = cold(&equilibrium, &totals, kelvin);
                let (mass, charge) = residuals(&substances, &equilibrium, &speciation, &totals);
                assert!(mass < 1e-9 && charge < 1e-9, "mass {mass:e}, charge {charge:e} for {totals:?}");
            }
        }
    }
}

/// The sodium hydroxide that brings 0.1 mol/L citric acid and some nickel sulfate to a pH, mol/L.
fn base_to_ph(nickel_mol_l: f64, activity: Activity, ph: f64) -> f64 {
    let (_, chemistry) = built_in().expect("built in");
    let names = names(&["nickel", "sulfate", "citrate", "sodium"]);
    let equilibrium = Equilibrium::new(chemistry, &names, activity).per_litre(chemistry);
    let mut totals = [nickel_mol_l, nickel_mol_l, 0.1, 0.0];
    let gives = [0.0, 0.0, 0.0, 1.0];
    let mut speciation = equilibrium.speciation();
    match adjust_ph(&equilibrium, &mut speciation, &mut totals, &gives, REFERENCE_TEMPERATURE_K, ph) {
        Ok(Adjustment::Amount(mol_l)) => mol_l,
        other => panic!("no amount of base for pH {ph}: {other:?}"),
    }
}

/// Producer: by the charges. NiCit- has lost all three protons of citric acid at pH 4.5, where without
/// nickel about one and a half are gone (pK 3.1, 4.8, 6.4): a ratio of two at most, 1.6 to 2.4. With
/// citrate to spare it is less (1.55 for two citrates per nickel).
#[test]
fn nickel_doubles_the_base_that_citric_acid_needs() {
    for activity in [HELD, Activity::Sit] {
        let (with, without) = (base_to_ph(0.1, activity, 4.5), base_to_ph(0.0, activity, 4.5));
        assert_within(format!("ratio with {activity:?}"), with / without, 2.0, 0.4);
    }
}

/// [complex]/([metal] [EDTA without metal]) over K of the complex, at a held pH, without activity
/// coefficients: the textbook's alpha of Y4-; and the same by hand from the acid constants.
fn alpha(text: &str, metal: &str, complex: &str, ph: f64) -> (f64, f64) {
    const ACIDS: [&str; 5] =
        ["hydrogen_edta", "dihydrogen_edta", "trihydrogen_edta", "edta_acid", "pentahydrogen_edta"];
    const EDTA_MOL_KG: f64 = 2e-3;
    let chemistry = chemistry_with(text);
    let k = |name: &str| -> f64 {
        let species = chemistry.species.iter().find(|species| species.name == name).expect("a species");
        let ln_k: f64 = species.constant.ln_k(REFERENCE_TEMPERATURE_K);
        ln_k.exp()
    };
    let equilibrium = Equilibrium::new(&chemistry, &names(&[metal, "edta"]), Activity::Ideal);
    let mut speciation = equilibrium.speciation();
    let held = speciation.solve_at_ph(&equilibrium, &[1e-3, EDTA_MOL_KG], REFERENCE_TEMPERATURE_K, ph);
    held.unwrap_or_else(|error| panic!("{error}"));
    let bound = |name: &str| name.starts_with(metal) && name.contains("edta");
    let taken: f64 =
        speciation.species(&equilibrium).filter(|(name, _)| bound(name)).map(|(_, molality)| molality).sum();
    let free_metal = mol_l(&equilibrium, &speciation, metal);
    let found = mol_l(&equilibrium, &speciation, complex) / (free_metal * (EDTA_MOL_KG - taken) * k(complex));
    let protonated: f64 =
        ACIDS.iter().zip(1..).map(|(acid, protons)| k(acid) * 10_f64.powf(-ph * f64::from(protons))).sum();
    (found, 1.0 / (1.0 + protonated))
}

/// Producer: alpha of Y4- by hand from the acid constants, 1e-9; and in Skoog & West's table (3.6e-9 at
/// pH 4, 0.35 at pH 10; from memory), one unit in its last digit.
#[test]
fn conditional_constants_of_edta_are_those_of_the_textbook() {
    for (metal, complex) in [("nickel", "nickel_edta"), ("copper", "copper_edta")] {
        for (ph, printed) in [(4.0, 3.6e-9), (10.0, 0.35)] {
            let (found, by_hand) = alpha("", metal, complex, ph);
            assert_relative(format!("alpha beside {metal} at pH {ph}"), found, by_hand, 1e-9);
            let (found, by_hand) = alpha(EDTA_OF_A_TEXTBOOK, metal, complex, ph);
            assert_relative(format!("textbook's alpha beside {metal} at pH {ph}"), found, by_hand, 1e-9);
            assert_relative(format!("alpha in the table at pH {ph}"), found, printed, 0.03);
        }
    }
}
