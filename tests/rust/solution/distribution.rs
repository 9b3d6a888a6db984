//! Shares of a component over pH, ligands per metal, and a pH held.

use bathkin::constants::REFERENCE_TEMPERATURE_K;
use bathkin::model::database::built_in;
use bathkin::solution::distribution::complexed_fractions;
use bathkin::solution::formation::{FormationCurve, Titrand};
use bathkin::solution::{Activity, Chemistry, Distribution, Equilibrium};

use support::recipes::nickel_acid;
use support::solutions::{EDTA_OF_A_TEXTBOOK, HELD, chemistry_with, cold, mol_l, names, place, substances};
use support::{assert_relative, assert_within};

const EVERY_PH: [f64; 15] = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0];

/// K of a species at 25 degC.
fn k(chemistry: &Chemistry, name: &str) -> f64 {
    let species = chemistry.species.iter().find(|species| species.name == name).expect("a species");
    let ln_k: f64 = species.constant.ln_k(REFERENCE_TEMPERATURE_K);
    ln_k.exp()
}

fn over_ph(equilibrium: &Equilibrium, totals: &[f64], ph: &[f64]) -> Distribution {
    let mut speciation = equilibrium.speciation();
    Distribution::over_ph(equilibrium, &mut speciation, &[], totals, REFERENCE_TEMPERATURE_K, ph)
        .unwrap_or_else(|error| panic!("{error}"))
}

/// Shares of one component by species.
fn shares(
    chemistry: &Chemistry,
    equilibrium: &Equilibrium,
    totals: &[f64],
    component: &str,
    ph: &[f64],
) -> Vec<(String, Vec<f64>)> {
    over_ph(equilibrium, totals, ph).fractions(chemistry, equilibrium, place(equilibrium, component))
}

/// Producer: Henderson and Hasselbalch, 1/(1 + 10^(pH - pK)); one half at pH = pK; 1e-9.
#[test]
fn acetic_acid_is_half_dissociated_at_its_pk() {
    let (_, chemistry) = built_in().expect("built in");
    let equilibrium = Equilibrium::new(chemistry, &names(&["acetate"]), Activity::Ideal);
    let pk = k(chemistry, "acetic_acid").log10();
    assert_within("pK of acetic acid", pk, 4.756, 1e-12);
    let ph: Vec<f64> = [-3.0, -1.0, 0.0, 1.0, 3.0].iter().map(|off| pk + off).collect();
    let found = shares(chemistry, &equilibrium, &[0.1], "acetate", &ph);
    assert_eq!(found.iter().map(|(name, _)| name.as_str()).collect::<Vec<_>>(), ["acetate", "acetic_acid"]);
    for (point, at) in ph.iter().enumerate() {
        let acid = 1.0 / (1.0 + 10_f64.powf(at - pk));
        assert_relative(format!("acid at pH {at}"), found[1].1[point], acid, 1e-9);
        assert_relative(format!("base at pH {at}"), found[0].1[point], 1.0 - acid, 1e-9);
    }
    assert_within("half at the pK", found[0].1[2], 0.5, 1e-9);
}

const EDTA_ACIDS: [&str; 5] =
    ["hydrogen_edta", "dihydrogen_edta", "trihydrogen_edta", "edta_acid", "pentahydrogen_edta"];

/// The share of EDTA that is Y4-, and the same by hand: 1/(1 + sum_i beta_i 10^(-i pH)).
fn alpha_y(chemistry: &Chemistry, ph: &[f64]) -> Vec<(f64, f64)> {
    let equilibrium = Equilibrium::new(chemistry, &names(&["edta"]), Activity::Ideal);
    let found = shares(chemistry, &equilibrium, &[1e-3], "edta", ph);
    assert_eq!(found[0].0, "edta");
    let by_hand = |at: f64| -> f64 {
        let bound = EDTA_ACIDS
            .iter()
            .zip(1..)
            .map(|(acid, protons)| k(chemistry, acid) * 10_f64.powf(-at * f64::from(protons)));
        1.0 / (1.0 + bound.sum::<f64>())
    };
    found[0].1.iter().zip(ph).map(|(share, at)| (*share, by_hand(*at))).collect()
}

/// Producer: the closed form of the acid constants in use; 1e-9. They hold at no ionic strength: at pH 4
/// they give 5.3e-10 and at pH 10 0.101, where the usual tables (constants at 0.1 mol/L) have 3.6e-9 to
/// 3.8e-9 and 0.35 to 0.36; with the constants of such a table the next test meets it.
#[test]
fn alpha_of_edta_follows_its_acid_constants() {
    let (_, chemistry) = built_in().expect("built in");
    for ((found, by_hand), ph) in alpha_y(chemistry, &EVERY_PH).into_iter().zip(EVERY_PH) {
        assert_relative(format!("alpha at pH {ph}"), found, by_hand, 1e-9);
    }
}

/// Producer: alpha of Y4- in Skoog, West, Holler & Crouch, *Fundamentals of Analytical Chemistry* (from
/// memory); one unit in the last digit printed.
#[test]
fn alpha_of_edta_over_ph_is_that_of_the_textbook() {
    const TABLE: [(f64, f64, f64); 11] = [
        (2.0, 3.7e-14, 1e-15),
        (3.0, 2.5e-11, 1e-12),
        (4.0, 3.6e-9, 1e-10),
        (5.0, 3.5e-7, 1e-8),
        (6.0, 2.2e-5, 1e-6),
        (7.0, 4.8e-4, 1e-5),
        (8.0, 5.4e-3, 1e-4),
        (9.0, 5.2e-2, 1e-3),
        (10.0, 0.35, 0.01),
        (11.0, 0.85, 0.01),
        (12.0, 0.98, 0.01),
    ];
    let ph = TABLE.map(|(ph, _, _)| ph);
    let found = alpha_y(&chemistry_with(EDTA_OF_A_TEXTBOOK), &ph);
    for ((ph, printed, last_digit), (found, _)) in TABLE.into_iter().zip(found) {
        assert_within(format!("alpha at pH {ph}"), found, printed, last_digit);
    }
}

/// An acid nickel bath with citrate; mol/L.
const BATH: [(&str, f64); 7] = [
    ("nickel", 0.1),
    ("sulfate", 0.2),
    ("citrate", 0.2),
    ("lactate", 0.1),
    ("ammonia", 0.1),
    ("hypophosphite", 0.25),
    ("sodium", 0.6),
];

fn bath(chemistry: &Chemistry, activity: Activity) -> (Equilibrium, Vec<f64>) {
    let of = BATH.map(|(name, _)| name);
    (Equilibrium::new(chemistry, &names(&of), activity).per_litre(chemistry), BATH.map(|(_, c)| c).to_vec())
}

/// Producer: conservation; shares add up to one, charges with the base to nothing; 1e-9.
#[test]
fn mass_and_charge_balance_along_the_curve() {
    let (_, chemistry) = built_in().expect("built in");
    for activity in [Activity::Ideal, HELD, Activity::Sit] {
        let (equilibrium, totals) = bath(chemistry, activity);
        let over = over_ph(&equilibrium, &totals, &EVERY_PH);
        let of = substances(chemistry, &equilibrium);
        for (point, ph) in EVERY_PH.iter().enumerate() {
            for (position, (name, _)) in BATH.iter().enumerate() {
                let whole: f64 = over
                    .fractions(chemistry, &equilibrium, position)
                    .iter()
                    .map(|(_, shares)| shares[point])
                    .sum();
                assert_within(format!("{name} at pH {ph}, {activity:?}"), whole, 1.0, 1e-9);
            }
            let (mut net, mut all) = (over.base_mol_l[point], 0.0);
            for ((charge, _), (_, mol_l)) in of.iter().zip(&over.profile.species_mol_l) {
                net += charge * mol_l[point];
                all += charge.abs() * mol_l[point];
            }
            assert_within(format!("charge at pH {ph}, {activity:?}"), net / all, 0.0, 1e-9);
            assert_within("pH", over.profile.ph[point], *ph, 1e-9);
        }
    }
}

/// Producer: one pH has one solution, whichever came before; 1e-8 relative.
#[test]
fn the_order_of_the_points_does_not_matter() {
    let (_, chemistry) = built_in().expect("built in");
    let (equilibrium, totals) = bath(chemistry, HELD);
    let up = over_ph(&equilibrium, &totals, &EVERY_PH);
    let mut backwards = EVERY_PH;
    backwards.reverse();
    let down = over_ph(&equilibrium, &totals, &backwards);
    for ((name, up), (_, down)) in up.profile.species_mol_l.iter().zip(&down.profile.species_mol_l) {
        for (point, (a, b)) in up.iter().zip(down.iter().rev()).enumerate() {
            assert_relative(format!("{name} at pH {}", EVERY_PH[point]), *a, *b, 1e-8);
        }
    }
}

/// Producer: differences of the base that holds the pH, 1e-4 pH apart; 1e-6 without activity coefficients.
#[test]
fn buffer_capacity_is_the_slope_of_the_base() {
    const STEP: f64 = 1e-4;
    let (_, chemistry) = built_in().expect("built in");
    let (equilibrium, totals) = bath(chemistry, Activity::Ideal);
    for ph in [3.0, 4.8, 6.0, 9.0] {
        let over = over_ph(&equilibrium, &totals, &[ph - STEP, ph, ph + STEP]);
        let slope = (over.base_mol_l[2] - over.base_mol_l[0]) / (2.0 * STEP);
        let capacity = over.profile.buffer_capacity_mol_l[1];
        assert_relative(format!("buffer capacity at pH {ph}"), capacity, slope, 1e-6);
    }
}

/// Traces are shared as any amount would be; what is free of everything is all free.
#[test]
fn a_component_there_is_none_of_has_shares_too() {
    let (_, chemistry) = built_in().expect("built in");
    let equilibrium = Equilibrium::new(chemistry, &names(&["acetate", "lactate", "sodium"]), Activity::Ideal);
    let totals = [0.1, 0.0, 0.1];
    let lactic = shares(chemistry, &equilibrium, &totals, "lactate", &[k(chemistry, "lactic_acid").log10()]);
    assert_within("lactate", lactic[0].1[0], 0.5, 1e-9);
    let sodium = shares(chemistry, &equilibrium, &totals, "sodium", &[4.0]);
    assert_eq!(sodium, [("sodium".to_owned(), vec![1.0])]);
}

/// A formation curve at 25 degC without activity coefficients, and the mean ligand number by hand from
/// the constants, hydroxides included.
fn ligands(metal: &str, of_ligand: &[&str], of_hydroxide: &[&str], ph: f64, pl: &[f64]) -> Vec<(f64, f64)> {
    let (_, chemistry) = built_in().expect("built in");
    let equilibrium = Equilibrium::new(chemistry, &names(&[metal, "ammonia"]), Activity::Ideal);
    let titrand = Titrand {
        chemistry,
        equilibrium: &equilibrium,
        // So little that no species with two metals counts.
        totals: &[1e-11, 0.0],
        temperature_k: REFERENCE_TEMPERATURE_K,
        ph,
        metal: 0,
        ligand: 1,
    };
    let curve = FormationCurve::over_pl(titrand, pl).unwrap_or_else(|error| panic!("{error}"));
    let hydroxides: f64 = of_hydroxide
        .iter()
        .zip(1..)
        .map(|(name, count)| k(chemistry, name) * 10_f64.powf(ph * f64::from(count)))
        .sum();
    let by_hand = |at: f64| {
        let (mut metals, mut bound) = (1.0 + hydroxides, 0.0);
        for (name, count) in of_ligand.iter().zip(1..) {
            let per_free_metal = k(chemistry, name) * 10_f64.powf(-at * f64::from(count));
            metals += per_free_metal;
            bound += f64::from(count) * per_free_metal;
        }
        bound / metals
    };
    curve.mean_ligand_number.iter().zip(pl).map(|(n, at)| (*n, by_hand(*at))).collect()
}

const COPPER_AMMINES: [&str; 4] =
    ["copper_ammine_1", "copper_ammine_2", "copper_ammine_3", "copper_ammine_4"];
const COPPER_HYDROXIDES: [&str; 4] =
    ["copper_hydroxide_1", "copper_hydroxide_2", "copper_hydroxide_3", "copper_hydroxide_4"];

const SILVER_HYDROXIDES: [&str; 2] = ["silver_hydroxide_1", "silver_hydroxide_2"];

/// Producer: sum n beta_n L^n / (1 + sum beta_n L^n + hydroxides); 1e-7.
#[test]
fn formation_curves_of_the_ammines_follow_their_constants() {
    let pl: Vec<f64> = (4..=24).map(|quarter| 0.25 * f64::from(quarter)).collect();
    for ((found, by_hand), pl) in
        ligands("copper", &COPPER_AMMINES, &COPPER_HYDROXIDES, 7.0, &pl).into_iter().zip(&pl)
    {
        assert_relative(format!("ammonia per copper at pL {pl}"), found, by_hand, 1e-7);
    }
    let silver = ligands("silver", &["silver_ammine_1", "silver_ammine_2"], &SILVER_HYDROXIDES, 9.0, &pl);
    for ((found, by_hand), pl) in silver.into_iter().zip(&pl) {
        assert_relative(format!("ammonia per silver at pL {pl}"), found, by_hand, 1e-7);
    }
}

/// Producer: Bjerrum's half-integers. At n = 1/2, 3/2, 5/2, 7/2 pL is log K of the step, 4.04, 3.43, 2.80
/// and 1.48 for copper and ammonia; steps 0.6 apart overlap, which moves n by 0.16 at most.
#[test]
fn copper_takes_half_an_ammonia_at_the_constant_of_each_step() {
    let steps = [4.04, 3.43, 2.80, 1.48];
    let found = ligands("copper", &COPPER_AMMINES, &COPPER_HYDROXIDES, 7.0, &steps);
    for ((found, _), (step, half)) in found.into_iter().zip(steps.iter().zip([0.5, 1.5, 2.5, 3.5])) {
        assert_within(format!("ammonia per copper at pL {step}"), found, half, 0.16);
    }
}

/// A pL that no solution has is refused with a way out.
#[test]
fn a_ligand_number_out_of_reach_is_refused() {
    let (_, chemistry) = built_in().expect("built in");
    let equilibrium = Equilibrium::new(chemistry, &names(&["copper", "ammonia"]), Activity::Ideal);
    let titrand = Titrand {
        chemistry,
        equilibrium: &equilibrium,
        totals: &[1e-3, 0.0],
        temperature_k: REFERENCE_TEMPERATURE_K,
        ph: 3.0,
        metal: 0,
        ligand: 1,
    };
    let refused = FormationCurve::over_pl(titrand, &[1.0]).expect_err("no solution").to_string();
    assert!(refused.contains("mol/L of ammonia") && refused.contains("raise the pH"), "{refused}");
}

/// Producer: the species summed here; 1e-12.
#[test]
fn the_complexed_share_counts_what_the_metal_holds() {
    let (_, chemistry) = built_in().expect("built in");
    let equilibrium = Equilibrium::new(chemistry, &names(&["nickel", "edta", "sodium"]), Activity::Ideal);
    let totals = [0.05, 0.1, 0.3];
    let speciation = cold(&equilibrium, &totals, REFERENCE_TEMPERATURE_K);
    let found = complexed_fractions(chemistry, &equilibrium, &speciation, &totals, 0);
    assert_eq!(found.iter().map(|(name, _)| name.as_str()).collect::<Vec<_>>(), ["nickel", "edta"]);
    let free = mol_l(&equilibrium, &speciation, "nickel");
    assert_within("nickel", found[0].1, 1.0 - free / 0.05, 1e-12);
    // Twice as much EDTA as nickel, one on each.
    assert_within("edta", found[1].1, 0.5, 1e-6);
}

/// Producer: nothing changed, so nothing may change: bit for bit, also between calls for other pHs.
#[test]
fn a_bath_held_at_its_ph_two_hundred_times_does_not_move() {
    let bath = nickel_acid().make_up().expect("a bath");
    let (before, species) = (bath.ph(), bath.species().expect("species"));
    let first = bath.held_at_ph(4.8, None).expect("held");
    assert_within("pH", first.ph, 4.8, 1e-9);
    assert_within("base", first.base_mol_l, 0.0, 1e-9);
    assert_eq!(first.ph_scale, "molal activity, hot (88 degC)");
    for _ in 0..200 {
        bath.held_at_ph(5.1, None).expect("held elsewhere");
        assert_eq!(bath.held_at_ph(4.8, None).expect("held"), first);
        assert_eq!(bath.ph(), before);
    }
    assert_eq!(bath.species().expect("species"), species);
    let sample = bath.held_at_ph(4.8, Some(25.0)).expect("held");
    assert_eq!(sample.ph_scale, "molal activity, of a sample (25 degC)");
    assert!(sample.base_mol_l > 0.0, "a cold sample of this bath reads below 4.8");
}

/// Producer: the bath itself: at its own pH the curve shows its species; 1e-9.
#[test]
fn the_distribution_of_a_bath_passes_through_the_bath() {
    let bath = nickel_acid().make_up().expect("a bath");
    let over = bath.distribution("nickel", &[3.0, bath.ph(), 7.0], None).expect("a distribution");
    let total = over.total_mol_l;
    for (name, mol_l) in bath.species().expect("species") {
        if let Some((_, shares)) = over.fractions.iter().find(|(known, _)| *known == name) {
            assert_relative(name, shares[1] * total, mol_l, 1e-8);
        }
    }
    assert_within("its pH", over.bath_ph, bath.ph(), 1e-12);
    assert!(over.base_mol_l[0] < 0.0 && over.base_mol_l[2] > 0.0);
}
