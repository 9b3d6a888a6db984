//! Every family of baths: its equilibrium is found, cold and from nonsense, and balances.

use acceptance::{assert_relative, assert_within};
use bathkin::constants::{LN_10, REFERENCE_TEMPERATURE_K, ZERO_CELSIUS_K};
use bathkin::recipe::constants::built_in;
use bathkin::solution::ph::{Adjustment, adjust_ph};
use bathkin::solution::{Activity, Equilibrium};
use proptest::prelude::*;
use proptest::test_runner::TestRunner;

use crate::recipes::fixed_cases;
use crate::solutions::{chemistry_with, cold, components_of, mol_l, names, place, residuals, substances};

const HELD: Activity = Activity::Davies { held_above_mol_l: 0.5 };

/// A bath of common practice, mol/L, its usual temperature, and more components an old one holds.
struct Family {
    name: &'static str,
    metal: &'static str,
    reagents: &'static [(&'static str, f64)],
    celsius: f64,
    aged: &'static [&'static str],
}

const FAMILIES: [Family; 10] = [
    Family {
        name: "copper-edta",
        metal: "copper",
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
        reagents: &[("silver_nitrate", 0.05), ("ammonia", 0.3), ("sodium_hydroxide", 0.05)],
        celsius: 25.0,
        aged: &["tartrate"],
    },
    Family {
        name: "silver-thiosulfate",
        metal: "silver",
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

#[test]
fn every_family_is_solved_from_nothing_and_balances() {
    let (_, chemistry) = built_in().expect("built in");
    for family in &FAMILIES {
        let (names, totals) = components_of(chemistry, family.reagents);
        for activity in [HELD, Activity::Sit] {
            let equilibrium = Equilibrium::new(chemistry, &names, activity).per_litre(chemistry);
            let substances = substances(chemistry, &equilibrium);
            for celsius in [25.0, family.celsius] {
                let mut speciation = equilibrium.speciation();
                if let Err(e) = speciation.solve(&equilibrium, &totals, celsius + ZERO_CELSIUS_K) {
                    println!("FAIL {} {activity:?} {celsius}: {e}", family.name);
                    continue;
                }
                let (mass, charge) = residuals(&substances, &equilibrium, &speciation, &totals);
                let metal = place(&equilibrium, family.metal);
                let free = speciation.free_mol_l(&equilibrium, metal) / totals[metal];
                println!(
                    "{} {activity:?} {celsius} pH {:.3} I {:.3} free {free:.2e} mass {mass:.1e} charge {charge:.1e}",
                    family.name,
                    speciation.ph(),
                    speciation.ionic_strength_mol_l()
                );
                assert!(mass < 1e-9 && charge < 1e-9, "{}", family.name);
            }
        }
    }
}

#[test]
fn any_totals_over_twelve_decades_are_solved_from_nothing() {
    let (_, chemistry) = built_in().expect("built in");
    for family in &FAMILIES {
        let (mut names, _) = components_of(chemistry, family.reagents);
        names.extend(family.aged.iter().map(|name| (*name).to_owned()));
        for activity in [HELD, Activity::Sit] {
            let equilibrium = Equilibrium::new(chemistry, &names, activity).per_litre(chemistry);
            let substances = substances(chemistry, &equilibrium);
            let strategy = (prop::collection::vec(-12.0..0.0_f64, names.len()), 5.0..95.0_f64);
            let fails = std::cell::RefCell::new(Vec::new());
            let worst = std::cell::Cell::new((0.0_f64, 0.0_f64));
            let ran = TestRunner::new(fixed_cases(1000)).run(&strategy, |(decades, celsius)| {
                let totals: Vec<f64> = decades.iter().map(|decade| 10_f64.powf(*decade)).collect();
                let mut speciation = equilibrium.speciation();
                match speciation.solve(&equilibrium, &totals, celsius + ZERO_CELSIUS_K) {
                    Err(e) => fails.borrow_mut().push(format!("{e} {names:?} {totals:?} {celsius}")),
                    Ok(()) => {
                        let (mass, charge) = residuals(&substances, &equilibrium, &speciation, &totals);
                        let w = worst.get();
                        worst.set((w.0.max(mass), w.1.max(charge)));
                    }
                }
                Ok(())
            });
            assert!(ran.is_ok(), "{}, {activity:?}: {}", family.name, ran.unwrap_err());
            println!(
                "random {} {activity:?} fails {} worst {:?} first {:?}",
                family.name,
                fails.borrow().len(),
                worst.get(),
                fails.borrow().first()
            );
        }
    }
}

/// The sodium hydroxide that brings 0.2 mol/L citric acid, with or without 0.1 mol/L nickel sulfate, to a pH.
fn base_to_ph(nickel_mol_l: f64, activity: Activity, ph: f64) -> f64 {
    let (_, chemistry) = built_in().expect("built in");
    let names = names(&["nickel", "sulfate", "citrate", "sodium"]);
    let equilibrium = Equilibrium::new(chemistry, &names, activity).per_litre(chemistry);
    let mut totals = [nickel_mol_l, nickel_mol_l, 0.2, 0.0];
    let gives = [0.0, 0.0, 0.0, 1.0];
    let mut speciation = equilibrium.speciation();
    let found = adjust_ph(&equilibrium, &mut speciation, &mut totals, &gives, REFERENCE_TEMPERATURE_K, ph);
    match found {
        Ok(Adjustment::Amount(mol_l)) => mol_l,
        other => panic!("no amount of base for pH {ph}: {other:?}"),
    }
}

#[test]
fn nickel_doubles_the_base_that_citric_acid_needs() {
    for activity in [HELD, Activity::Sit] {
        let (with, without) = (base_to_ph(0.1, activity, 4.5), base_to_ph(0.0, activity, 4.5));
        println!("citrate {activity:?} {with} {without} {}", with / without);
        assert_within("ratio", with / without, 2.0, 0.4);
    }
}

/// Acid constants of EDTA as teaching tables have them, for the textbook's alpha.
const TEXTBOOK: &str = "
[species.hydrogen_edta]
log_k_25c = 10.2596
[species.dihydrogen_edta]
log_k_25c = 16.4195
[species.trihydrogen_edta]
log_k_25c = 19.0891
[species.edta_acid]
log_k_25c = 21.0805
[species.pentahydrogen_edta]
log_k_25c = -99.0
";

#[test]
fn conditional_constants_of_edta_are_those_of_the_textbook() {
    for (metal, complex, log_k, text) in [
        ("nickel", "nickel_edta", 20.1, ""),
        ("copper", "copper_edta", f64::NAN, ""),
        ("nickel", "nickel_edta", 20.1, TEXTBOOK),
    ] {
        let chemistry = chemistry_with(text);
        let constant = |name: &str| -> f64 {
            let species = chemistry.species.iter().find(|species| species.name == name).expect("a species");
            let ln_k: f64 = species.constant.ln_k(REFERENCE_TEMPERATURE_K);
            ln_k / LN_10
        };
        println!("{} {}", constant(complex), log_k);
        let equilibrium = Equilibrium::new(&chemistry, &names(&[metal, "edta"]), Activity::Ideal);
        for ph in [4.0, 10.0] {
            let mut speciation = equilibrium.speciation();
            speciation.solve_at_ph(&equilibrium, &[1e-3, 2e-3], REFERENCE_TEMPERATURE_K, ph).expect("solved");
            let bound: f64 = speciation
                .species(&equilibrium)
                .filter(|(name, _)| name.contains("edta") && name.starts_with(metal))
                .map(|(_, m)| m)
                .sum();
            let free_metal = mol_l(&equilibrium, &speciation, metal);
            let found = mol_l(&equilibrium, &speciation, complex) / (free_metal * (2e-3 - bound));
            let protonated: f64 =
                ["hydrogen_edta", "dihydrogen_edta", "trihydrogen_edta", "edta_acid", "pentahydrogen_edta"]
                    .iter()
                    .zip(1..)
                    .map(|(name, n)| 10_f64.powf(constant(name) - f64::from(n) * ph))
                    .sum();
            let alpha = 1.0 / (1.0 + protonated);
            println!(
                "{metal} pH {ph}: K' {found:e} by hand {:e} alpha {alpha:e}",
                10_f64.powf(constant(complex)) * alpha
            );
            assert_relative(format!("K' at pH {ph}"), found, 10_f64.powf(constant(complex)) * alpha, 1e-6);
        }
        let _ = cold;
    }
}
