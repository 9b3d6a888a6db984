//! Formation curves and conditional constants against closed forms and textbook tables.
//!
//! n-bar, the mean number of ligands on a metal, is a function of the free ligand alone,
//! n-bar = sum n beta_n L^n / (1 + sum beta_n L^n) (Bjerrum); a conditional constant is the constant
//! times the share of the ligand that has lost all its protons, log K' = log K + log alpha.

use bathkin::constants::{LN_10, REFERENCE_TEMPERATURE_K};
use bathkin::solution::{Activity, Chemistry, Equilibrium, Speciation};

use support::solutions::{DAVIES, chemistry_with, mol_l, names, place};
use support::{Csv, assert_relative, assert_within};

fn held(equilibrium: &Equilibrium, totals: &[f64], ph: f64) -> Speciation {
    let mut speciation = equilibrium.speciation();
    let solved = speciation.solve_at_ph(equilibrium, totals, REFERENCE_TEMPERATURE_K, ph);
    solved.unwrap_or_else(|error| panic!("{error} for {totals:?} at pH {ph}"));
    speciation
}

fn log_k(chemistry: &Chemistry, name: &str) -> f64 {
    let species = chemistry.species.iter().find(|species| species.name == name).expect("a species");
    let ln_k: f64 = species.constant.ln_k(REFERENCE_TEMPERATURE_K);
    ln_k / LN_10
}

/// Overall constants from steps.
fn overall(steps: &[f64]) -> Vec<f64> {
    steps
        .iter()
        .scan(0.0, |sum, step| {
            *sum += step;
            Some(*sum)
        })
        .collect()
}

/// Bjerrum's closed form.
fn n_bar(log_beta: &[f64], ligand: f64) -> f64 {
    let terms = log_beta.iter().zip(1..).map(|(beta, n)| (f64::from(n), 10_f64.powf(*beta) * ligand.powi(n)));
    let (bound, all) = terms.fold((0.0, 1.0), |(bound, all), (n, term)| (bound + n * term, all + term));
    bound / all
}

/// n-bar of a metal from what is dissolved, hydroxides aside, beside the closed form at the free ligand
/// found; over six decades of ligand. Each complex of the series is `metal_series_n`.
fn assert_formation(
    chemistry: &Chemistry,
    metal: &str,
    ligand: &str,
    series: &str,
    log_beta: &[f64],
    ph: f64,
) {
    const METAL_MOL_KG: f64 = 1e-3;
    let equilibrium = Equilibrium::new(chemistry, &names(&[metal, ligand]), Activity::Ideal);
    let mut last = 0.0;
    for decade in -12..=0 {
        let total = 10_f64.powf(f64::from(decade) / 2.0);
        let speciation = held(&equilibrium, &[METAL_MOL_KG, total], ph);
        let free = speciation.free_mol_l(&equilibrium, place(&equilibrium, ligand));
        let (mut bound, mut all) = (0.0, mol_l(&equilibrium, &speciation, metal));
        for number in 1..=log_beta.len() {
            let complex = mol_l(&equilibrium, &speciation, &format!("{metal}_{series}_{number}"));
            bound += number as f64 * complex;
            all += complex;
        }
        let found = bound / all;
        assert_relative(
            format!("n-bar of {metal} at {free:.2e} mol/kg of {ligand}"),
            found,
            n_bar(log_beta, free),
            1e-6,
        );
        assert!(found > last, "n-bar rises with the ligand");
        last = found;
    }
    assert!(last > 0.7 * log_beta.len() as f64, "the curve runs to {last:.2} of {}", log_beta.len());
}

/// Producer: the stepwise constants of stability_martell_smith.csv in Bjerrum's closed form, 1e-6: the set in use
/// for every metal.
#[test]
fn ammines_follow_the_formation_curve_of_martell_and_smith() {
    let reference = Csv::reference("stability_martell_smith.csv");
    for metal in ["nickel", "copper", "cobalt", "silver"] {
        let row = reference
            .rows()
            .find(|row| row.text("metal") == metal && row.text("ligand") == "ammonia")
            .expect("a row");
        let steps: Vec<f64> = (1..=6).map_while(|n| row.text(&format!("log_k{n}")).parse().ok()).collect();
        assert_formation(&chemistry_with(""), metal, "ammonia", "ammine", &overall(&steps), 11.0);
    }
}

/// Producer: NIST 46 steps of glycinate in Bjerrum's closed form, 1e-6.
#[test]
fn glycinates_follow_the_formation_curve() {
    for (metal, steps) in
        [("nickel", &[6.15, 4.97, 3.51][..]), ("copper", &[8.57, 7.13]), ("cobalt", &[5.07, 4.0, 2.53])]
    {
        assert_formation(&chemistry_with(""), metal, "glycinate", "glycinate", &overall(steps), 10.5);
    }
}

/// The set in use against the mixed one, chosen by one switch. Producer: Bjerrum's closed form on either; between 1e-4 and
/// 0.1 mol/kg of free ammonia their n-bar of nickel differ by 0.56 at most, about the fourth ammonia.
#[test]
fn two_published_sets_of_nickel_ammines_differ_by_half_a_ligand() {
    let of = |chemistry: &Chemistry| -> Vec<f64> {
        (1..=6).map(|n| log_k(chemistry, &format!("nickel_ammine_{n}"))).collect()
    };
    let now = overall(&[2.72, 2.17, 1.66, 1.12, 0.67, -0.03]);
    let mixed = of(&chemistry_with("[constants]\nset = \"mixed\"\n"));
    let largest = (0..=60)
        .map(|step| 10_f64.powf(f64::from(step) / 20.0 - 4.0))
        .map(|free| (n_bar(&mixed, free) - n_bar(&now, free)).abs())
        .fold(0.0, f64::max);
    assert_within("largest difference of n-bar", largest, 0.56, 0.01);
}

/// (pH, alpha of Y4-) in the textbooks: Skoog & West, from K1 to K4 1.02e-2, 2.14e-3, 6.92e-7, 5.50e-11
/// at 25 degC and ionic strength 0.1 (from memory).
const ALPHA: [(f64, f64); 7] =
    [(4.0, 3.6e-9), (5.0, 3.5e-7), (6.0, 2.2e-5), (7.0, 4.8e-4), (8.0, 5.4e-3), (9.0, 5.2e-2), (10.0, 0.35)];

/// log K of NiY and CuY at 20 degC and ionic strength 0.1, Schwarzenbach (from memory).
const TEXTBOOK_LOG_K: [(&str, &str, f64); 2] =
    [("nickel", "nickel_edta", 18.62), ("copper", "copper_edta", 18.80)];

/// log10 of [MY]/([M] [EDTA without metal]), M and Y as concentrations, at a held pH in 0.1 mol/kg of
/// potassium nitrate.
fn conditional(chemistry: &Chemistry, metal: &str, complex: &str, activity: Activity, ph: f64) -> f64 {
    const METAL_MOL_KG: f64 = 1e-4;
    const EDTA_MOL_KG: f64 = 2e-4;
    let of = names(&[metal, "edta", "potassium", "nitrate"]);
    let equilibrium = Equilibrium::new(chemistry, &of, activity);
    let speciation = held(&equilibrium, &[METAL_MOL_KG, EDTA_MOL_KG, 0.1, 0.1], ph);
    let bound = |name: &str| name.starts_with(metal) && name.contains("edta");
    let taken: f64 =
        speciation.species(&equilibrium).filter(|(name, _)| bound(name)).map(|(_, molality)| molality).sum();
    let free = mol_l(&equilibrium, &speciation, metal);
    (mol_l(&equilibrium, &speciation, complex) / (free * (EDTA_MOL_KG - taken))).log10()
}

/// Producer: log K + log alpha of the textbook table above; 0.012, one unit in its last digit. The
/// equilibrium is given the textbook's own constants and no activity coefficients.
#[test]
fn conditional_constants_of_edta_follow_the_textbook_from_ph_4_to_10() {
    let steps = [10.2596, 6.1599, 2.6696, 1.9914];
    let acids = ["hydrogen_edta", "dihydrogen_edta", "trihydrogen_edta", "edta_acid"];
    for (metal, complex, textbook) in TEXTBOOK_LOG_K {
        let constants = acids.iter().copied().zip(overall(&steps));
        let all = constants.chain([("pentahydrogen_edta", -99.0), (complex, textbook)]);
        let text = all.map(|(name, log_k)| format!("[species.{name}]\nlog_k_25c = {log_k:?}\n"));
        let chemistry = chemistry_with(&text.collect::<String>());
        for (ph, alpha) in ALPHA {
            let found = conditional(&chemistry, metal, complex, Activity::Ideal, ph);
            assert_within(format!("log K' of {complex} at pH {ph}"), found, textbook + alpha.log10(), 0.012);
        }
    }
}

/// The built-in constants, which hold at no ionic strength, brought to 0.1 by the Davies equation.
/// Producer: the same table; 0.5, as reached at pH 4: the equation carries a charge of -4 and its acids
/// less well than the complex, and the textbook's constants are those of 20 degC.
#[test]
fn built_in_constants_of_edta_come_near_the_textbook_at_its_ionic_strength() {
    for (metal, complex, textbook) in TEXTBOOK_LOG_K {
        for (ph, alpha) in ALPHA {
            let found = conditional(&chemistry_with(""), metal, complex, DAVIES, ph);
            assert_within(format!("log K' of {complex} at pH {ph}"), found, textbook + alpha.log10(), 0.5);
        }
    }
}

/// Producer: closed form from the acid constants of citrate (6.396, 4.761, 3.128, Goldberg et al. 2002)
/// and those of the nickel complexes, by hand, 1e-6:
/// [all 1:1 complexes]/([Ni] [citrate without nickel]) = (K + K_H h + K_HH h^2)/(1 + sum beta_i h^i).
#[test]
fn conditional_constants_of_citrate_follow_the_closed_form() {
    const COMPLEXES: [(&str, [&str; 3]); 2] = [
        ("nickel", ["nickel_citrate_1", "nickel_hydrogen_citrate", "nickel_dihydrogen_citrate"]),
        ("copper", ["copper_citrate_1", "copper_hydrogen_citrate", "copper_dihydrogen_citrate"]),
    ];
    let chemistry = chemistry_with("");
    let acids = overall(&[6.396, 4.761, 3.128]);
    for (metal, complexes) in COMPLEXES {
        let equilibrium = Equilibrium::new(&chemistry, &names(&[metal, "citrate"]), Activity::Ideal);
        for ph in [3.0, 4.0, 5.0, 6.0, 7.0, 8.0] {
            let speciation = held(&equilibrium, &[1e-6, 1e-4], ph);
            let of = |name: &str| mol_l(&equilibrium, &speciation, name);
            let free: f64 =
                ["citrate", "hydrogen_citrate", "dihydrogen_citrate", "citric_acid"].map(of).iter().sum();
            let bound: f64 = complexes.map(of).iter().sum();
            let h = 10_f64.powf(-ph);
            let above: f64 = complexes
                .iter()
                .zip(0..)
                .map(|(name, n)| 10_f64.powf(log_k(&chemistry, name)) * h.powi(n))
                .sum();
            let below: f64 = acids.iter().zip(1..).map(|(beta, n)| 10_f64.powf(*beta) * h.powi(n)).sum();
            let found = (bound / (of(metal) * free)).log10();
            assert_within(format!("{metal} at pH {ph}"), found, (above / (1.0 + below)).log10(), 1e-6);
        }
    }
}
