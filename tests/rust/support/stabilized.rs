//! Acid nickel with traces: the power-law recipe with a stabilizer, a brightener or a plate-out law
//! written into it. Every number of these is invented for the tests.

use bathkin::Recipe;
use bathkin::surface::{Concentration, Conditions, Stabilizer};

use crate::recipes::power_law;

/// Thiourea consumed with the metal: S, C, N and H enter the deposit, no electron is needed. At 1 mg/L
/// (1.31e-5 mol/L) 2.0 mg/L per turnover, which is 2.6e-4 mol per mol Ni, in proportion elsewhere.
pub const CONSUMED: &str = r#"
[half_reaction.stabilizer]
liquid = { thiourea = -1 }
deposit = { S = 1, C = 1, N = 2, H = 4 }
electrons = 0
selectivity = "uptake"

[uptake]
per_metal_mol = 2.6e-4
[uptake.order]
thiourea = 1
[uptake.reference_mol_l]
thiourea = 1.3138e-5
"#;

/// The hump of thiourea on the rate, its set-point 1 mg/L.
pub const HUMP: &str = "
[deposition.stabilizer.thiourea]
gain = 0.2
trace_mg_l = 0.3
critical_mg_l = 4.5
steepness = 3.5
set_point_mg_l = 1
";

/// Plate-out: 0.5 % of the wanted rate at the set-point, e times as much per 0.25 mg/L less.
pub const PLATE_OUT: &str = "
[decomposition]
rate_mol_l_h = 5e-5
flag_above_pct = 5
activation_energy_kj_mol = 120
reference_temperature_c = 88
ph_order = 0.8
reference_ph = 4.8
[decomposition.suppression.thiourea]
constant_mg_l = 0.25
reference_mg_l = 1
";

/// The power-law recipe with lines put below the heads of sections, and tables at its end.
pub fn extended(below: &[(&str, &str)], tables: &[&str]) -> Recipe {
    let mut text = power_law().text().to_owned();
    for (head, lines) in below {
        let head = format!("[{head}]\n");
        assert_eq!(text.matches(&head).count(), 1, "{head} stands once in the recipe");
        text = text.replace(&head, &format!("{head}{lines}\n"));
    }
    Recipe::from_toml("the test", &format!("{text}\n{}", tables.join("\n"))).expect("a document")
}

/// 1 mg/L thiourea at make-up and with the metal, consumed with it, its hump, and plate-out.
pub fn stabilized() -> Recipe {
    let sections = [
        ("make_up", "thiourea_mg_l = 1"),
        // 2.0 mg/L per turnover in a concentrate of 100 g/L nickel for a bath of 6.
        ("replenisher.metal", "thiourea_mg_l = 33.3"),
        ("deposit", "alloy_element = \"P\""),
    ];
    extended(&sections, &[CONSUMED, HUMP, PLATE_OUT])
}

/// The message of a recipe that is refused.
#[track_caller]
pub fn refused(recipe: &Recipe) -> String {
    recipe.make_up().expect_err("the recipe is refused").to_string()
}

/// Warnings of the fresh bath whose place begins so.
pub fn flags(recipe: &Recipe, place: &str) -> Vec<String> {
    let flags = recipe.make_up().and_then(|bath| bath.flags()).unwrap_or_else(|error| panic!("{error}"));
    flags.into_iter().filter(|flag| flag.r#where.starts_with(place)).map(|flag| flag.what).collect()
}

/// Thiourea, mg/L in the place of mol/L: only ratios count.
pub fn hump(c: f64, stop_mol_l: f64) -> f64 {
    let law = Stabilizer {
        of: Concentration::Total(0),
        gain: 0.2,
        trace_mol_l: 0.3,
        critical_mol_l: 4.5,
        steepness: 3.5,
        stop_mol_l,
        set_point_mol_l: 0.0,
    };
    let at = Conditions {
        temperature_k: 361.15,
        ph: 4.8,
        ionic_strength_mol_l: 1.0,
        totals_mol_l: &[c],
        dissolved_mol_l: &[],
    };
    law.ln_factor(&at).map_or(0.0, f64::exp)
}
