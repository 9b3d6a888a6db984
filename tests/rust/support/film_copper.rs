//! The copper bath of the reference values behind a film, as a recipe.

use bathkin::recipe::Recipe;

use crate::recipes::{molar_mass, set};

/// A bath and its law; see `shared/reference/film_copper_targets.csv`.
#[derive(Debug, Clone, Copy)]
pub struct Case {
    pub copper_mol_l: f64,
    pub tartrate_mol_l: f64,
    pub formaldehyde_mol_l: f64,
    /// Exponent of the blocking by hydroxide, and its constant, L/mol.
    pub blocking: f64,
    pub adsorption_l_mol: f64,
    /// mol/(m² s) per mol/L of methylene glycolate.
    pub rate: f64,
    /// None: no film at all.
    pub thickness_um: Option<f64>,
}

pub const S1: Case = Case {
    copper_mol_l: 0.04,
    tartrate_mol_l: 0.16,
    formaldehyde_mol_l: 0.15,
    blocking: 2.0,
    adsorption_l_mol: 8.0,
    rate: 1.04e-2,
    thickness_um: Some(100.0),
};

pub const S2: Case = Case {
    copper_mol_l: 0.10,
    tartrate_mol_l: 0.30,
    formaldehyde_mol_l: 0.30,
    blocking: 2.0,
    adsorption_l_mol: 100.0,
    rate: 0.135,
    thickness_um: Some(300.0),
};

/// Blocked so strongly that the film problem has three steady states.
pub const STRONG: Case = Case {
    copper_mol_l: 0.15,
    tartrate_mol_l: 0.5,
    formaldehyde_mol_l: 0.4,
    blocking: 4.0,
    adsorption_l_mol: 200.0,
    rate: 0.46,
    thickness_um: Some(300.0),
};

/// The recipe of a case at a pH. Conditional constants, so ideal activities and no volumes.
pub fn copper(case: &Case, ph: f64) -> Recipe {
    let pentahydrate = case.copper_mol_l * molar_mass("CuSO4.5H2O");
    let rochelle = case.tartrate_mol_l * molar_mass("KNaC4H4O6.4H2O");
    let formaldehyde = case.formaldehyde_mol_l * molar_mass("CH2O");
    let volumes: String =
        ["copper", "sulfate", "potassium", "sodium", "tartrate", "methylene_glycol", "formate", "hydroxide"]
            .iter()
            .map(|name| format!("[volumes.{name}]\na_cm3_mol = 0\nb_cm3_kg05_mol15 = 0\n"))
            .collect();
    // log K over protons = log beta over hydroxide - n pKw.
    let species: String = [
        ("methylene_glycolate", -13.3),
        ("hydrogen_tartrate", 13.995 - 9.75),
        ("copper_tartrate_1", 3.0),
        ("copper_tartrate_2", 5.1),
        ("copper_hydroxo_tartrate", 10.0 - 13.995),
        ("copper_hydroxo_ditartrate", 13.0 - 13.995),
        ("copper_dihydroxo_tartrate", 17.5 - 2.0 * 13.995),
        ("dicopper_dihydroxo_ditartrate", 26.8 - 2.0 * 13.995),
        ("copper_dihydroxo_ditartrate", 20.0 - 2.0 * 13.995),
        ("copper_hydroxide_3", 15.0 - 3.0 * 13.995),
        ("copper_hydroxide_4", 15.8 - 4.0 * 13.995),
    ]
    .iter()
    .map(|(name, log_k)| format!("[species.{name}]\nlog_k_25c = {log_k}\n"))
    .collect();
    let film = case.thickness_um.map_or_else(String::new, |thickness| {
        format!(
            "[film]\nthickness_um = {thickness}\n[film.diffusion_m2_s]\ncopper = 0.5e-9\nhydroxide = 5.0e-9\n\
             methylene_glycol = 1.4e-9\nmethylene_glycolate = 1.1e-9\ntartrate = 0.8e-9\n"
        )
    });
    let Case { blocking, rate, .. } = *case;
    let inhibitor = 1.0 / case.adsorption_l_mol;
    let text = format!(
        r#"
format = 1
name = "film-test"
title = "alkaline copper behind a film"
metal = "copper"
reductant = "methylene_glycol"
by_product = "formate"
backing = "a test"
[operation]
temperature_c = 25
ph = {ph}
ph_reagent = "sodium_hydroxide"
[solution]
activity = "ideal"
[make_up]
copper_sulfate_pentahydrate_g_l = {pentahydrate}
potassium_sodium_tartrate_tetrahydrate_g_l = {rochelle}
formaldehyde_g_l = {formaldehyde}
[half_reaction.metal]
liquid = {{ copper = -1 }}
deposit = {{ Cu = 1 }}
electrons = -2
law = "deposition"
[half_reaction.oxidation]
# CH2(OH)2 -> HCOO- + 2 H+ + 1/2 H2 + e-, the acid form of CH2(OH)O- + OH- -> HCOO- + 1/2 H2 + H2O + e-
liquid = {{ methylene_glycol = -1, formate = 1, proton = 2 }}
gas = {{ H = 1 }}
electrons = 1
closes = true
[deposition]
rate_mol_m2_s = {rate}
basis.copper = "total"
order.methylene_glycolate = 1
reference_mol_l.methylene_glycolate = 1
saturation.copper.constant_mol_l = 0.002
[deposition.inhibition.hydroxide]
form = "hyperbolic"
constant_mol_l = {inhibitor}
exponent = {blocking}
[deposit]
density_g_cm3 = 8.96
[tank]
volume_l = 100
[work]
loading_dm2_l = 0.5
thickness_um = 25
hours_per_day = 8
days_per_week = 5
[replenisher.metal]
copper_sulfate_pentahydrate_g_l = 200
[replenisher.reductant]
formaldehyde_g_l = 300
[replenishment]
policy = "threshold"
metal_trigger_pct = 95
reductant = "restore"
[ph_control]
policy = "dead-band"
dead_band_ph = 0.1
with_additions = true
reagent = "sodium_hydroxide"
[limits]
turnovers = 1
{film}{species}{volumes}"#
    );
    Recipe::from_toml("film-test", &text).expect("a document")
}

/// The law made first order in copper and nothing else: r = rate c/(1e6 + c).
pub fn copper_only(case: &Case, ph: f64, constant_mol_l: f64, rate: f64) -> Recipe {
    set(
        &copper(case, ph),
        &[
            ("deposition.order.methylene_glycolate", 0.0),
            ("deposition.inhibition.hydroxide.exponent", 0.0),
            ("deposition.saturation.copper.constant_mol_l", constant_mol_l),
            ("deposition.rate_mol_m2_s", rate),
        ],
    )
}
