//! The specific-interaction model: single salts against a program and against measurement.

use bathkin::constants::{REFERENCE_TEMPERATURE_K, WATER_MOLAR_MASS_G_MOL, ZERO_CELSIUS_K};
use bathkin::model::database::built_in;
use bathkin::solution::{Activity, Chemistry, Equilibrium};

use support::solutions::{chemistry_with, cold, ln_activity_of, names, place};
use support::{Csv, Row, assert_relative, assert_within};

/// A salt: its components with their counts, and its ions, each a component or a species.
struct Salt {
    components: &'static [(&'static str, f64)],
    ions: &'static [(&'static str, f64)],
}

fn salt(formula: &str) -> Salt {
    let (components, ions): (&[_], &[_]) = match formula {
        "NaCl" => (&[("sodium", 1.0), ("chloride", 1.0)], &[]),
        "KCl" => (&[("potassium", 1.0), ("chloride", 1.0)], &[]),
        "NH4Cl" => (&[("ammonia", 1.0), ("chloride", 1.0)], &[("ammonium", 1.0), ("chloride", 1.0)]),
        "Na2SO4" => (&[("sodium", 2.0), ("sulfate", 1.0)], &[]),
        "NiCl2" => (&[("nickel", 1.0), ("chloride", 2.0)], &[]),
        "NaOH" => (&[("sodium", 1.0)], &[("sodium", 1.0), ("hydroxide", 1.0)]),
        other => panic!("no salt {other}"),
    };
    Salt { components, ions: if ions.is_empty() { components } else { ions } }
}

/// What a salt's solution is compared in.
struct Solved {
    gamma_mean: f64,
    osmotic_coefficient: f64,
    water_activity: f64,
}

/// The stoichiometric mean coefficient, ln g = sum nu ln(a/(nu m))/sum nu, and what goes with it.
fn solve(chemistry: &Chemistry, formula: &str, molality: f64, kelvin: f64) -> Solved {
    let salt = salt(formula);
    let of: Vec<&str> = salt.components.iter().map(|(name, _)| *name).collect();
    let totals: Vec<f64> = salt.components.iter().map(|(_, count)| count * molality).collect();
    let equilibrium = Equilibrium::new(chemistry, &names(&of), Activity::Sit);
    let speciation = cold(&equilibrium, &totals, kelvin);
    let (mut sum, mut ions) = (0.0, 0.0);
    for (ion, count) in salt.ions {
        let ln_activity = if of.contains(ion) {
            speciation.ln_activity(&equilibrium, place(&equilibrium, ion))
        } else {
            ln_activity_of(chemistry, &equilibrium, &speciation, ion)
        };
        sum += count * (ln_activity - (count * molality).ln());
        ions += count;
    }
    let ln_water = speciation.ln_water_activity;
    Solved {
        gamma_mean: (sum / ions).exp(),
        osmotic_coefficient: -ln_water / (WATER_MOLAR_MASS_G_MOL * 1e-3 * ions * molality),
        water_activity: ln_water.exp(),
    }
}

/// The coefficients in the head of sit_phreeqc.csv.
fn as_the_program() -> Chemistry {
    let pairs = [
        ("sodium__chloride", 0.03),
        ("potassium__chloride", 0.0),
        ("sodium__sulfate", -0.12),
        ("sodium__hydroxide", 0.04),
    ];
    let text: Vec<String> = pairs
        .iter()
        .map(|(pair, epsilon)| {
            format!(
                "[sit.{pair}]\nepsilon_kg_mol = {epsilon:?}\nepsilon_log_i_kg_mol = 0.0\ntemperature_slope_kg_mol_k = 0.0\n"
            )
        })
        .collect();
    chemistry_with(&text.concat())
}

fn rows_of(reference: &Csv, celsius: f64) -> impl Iterator<Item = Row<'_>> {
    let salts = ["NaCl", "KCl", "Na2SO4", "NaOH"];
    reference
        .rows()
        .filter(move |row| row.number("temperature_c") == celsius && salts.contains(&row.text("salt")))
}

fn assert_as_the_program(celsius: f64, tolerance: f64) {
    let (reference, chemistry) = (Csv::reference("sit_phreeqc.csv"), as_the_program());
    let mut seen = 0;
    for row in rows_of(&reference, celsius) {
        let (formula, molality) = (row.text("salt"), row.number("molality_mol_kg"));
        let solved = solve(&chemistry, formula, molality, celsius + ZERO_CELSIUS_K);
        let what = |of: &str| format!("{of} of {molality} mol/kg {formula} at {celsius} degC");
        assert_relative(what("gamma"), solved.gamma_mean, row.number("gamma_mean"), tolerance);
        let osmotic = row.number("osmotic_coefficient");
        assert_relative(what("osmotic coefficient"), solved.osmotic_coefficient, osmotic, tolerance);
        assert_within(what("water activity"), solved.water_activity, row.number("water_activity"), 3e-5);
        seen += 1;
    }
    assert_eq!(seen, 30, "rows of the four salts at {celsius} degC");
}

/// Producer: PHREEQC through sit_phreeqc.csv, the same coefficients; 0.1 %, its slope A differs.
#[test]
fn single_salts_at_25_degc_are_as_the_program_has_them() {
    assert_as_the_program(25.0, 1e-3);
}

/// Producer: as above; 0.3 %, its slope A differs more.
#[test]
fn single_salts_at_80_degc_are_as_the_program_has_them() {
    assert_as_the_program(80.0, 3e-3);
}

/// (salt, up to mol/kg, tolerance of the mean coefficient, of the osmotic coefficient).
const HANDBOOK: [(&str, f64, f64, f64); 6] = [
    ("NaCl", 3.0, 0.01, 0.025),
    ("KCl", 3.0, 0.01, 0.025),
    ("NH4Cl", 2.0, 0.02, 0.03),
    ("NaOH", 2.5, 0.031, 0.04),
    ("NiCl2", 1.5, 0.025, 0.02),
    ("Na2SO4", 1.9, 0.02, 0.02),
];

/// Rows of activity_handbook.csv that a line of [`HANDBOOK`] speaks of, solved with the built-in
/// coefficients.
fn each_handbook_row(mut look: impl FnMut(&str, Row, &Solved, (f64, f64))) {
    let (_, chemistry) = built_in().expect("built in");
    let reference = Csv::reference("activity_handbook.csv");
    for (formula, to_mol_kg, of_gamma, of_osmotic) in HANDBOOK {
        for row in reference.rows() {
            let molality = row.number("molality_mol_kg");
            if row.text("salt") == formula && molality <= to_mol_kg {
                let solved = solve(chemistry, formula, molality, REFERENCE_TEMPERATURE_K);
                look(&format!("{molality} mol/kg {formula}"), row, &solved, (of_gamma, of_osmotic));
            }
        }
    }
}

/// Producer: activity_handbook.csv, computed from Pitzer parameters or recalled from tables, which
/// differ among themselves by up to 1.5 %; tolerances beside the salts, as reached.
#[test]
fn mean_coefficients_meet_the_handbook() {
    each_handbook_row(|what, row, solved, (tolerance, _)| {
        assert_relative(format!("gamma of {what}"), solved.gamma_mean, row.number("gamma_mean"), tolerance);
    });
}

/// The osmotic coefficient against the same file, where it has one.
fn assert_osmotic(of: impl Fn(&str) -> bool) {
    let mut seen = 0;
    each_handbook_row(|what, row, solved, (_, tolerance)| {
        if of(row.text("salt")) && !row.text("osmotic_coefficient").is_empty() {
            let expected = row.number("osmotic_coefficient");
            let what = format!("osmotic coefficient of {what}");
            assert_relative(what, solved.osmotic_coefficient, expected, tolerance);
            seen += 1;
        }
    });
    assert!(seen > 5, "{seen} rows");
}

/// Producer: activity_handbook.csv; tolerances beside the salts, as reached.
#[test]
fn osmotic_coefficients_meet_the_handbook() {
    assert_osmotic(|salt| salt != "Na2SO4");
}

/// Largest relative difference of phi from Gibbs and Duhem, m phi = int m d ln(m gamma), between 0.1
/// and 2 mol/kg: trapezoids of 0.005 mol/kg.
fn off_gibbs_duhem(chemistry: &Chemistry, formula: &str) -> f64 {
    const STEP: f64 = 0.005;
    let at = |molality: f64| solve(chemistry, formula, molality, REFERENCE_TEMPERATURE_K);
    let mut molality = 0.1;
    let mut before = at(molality);
    let mut integral = molality * before.osmotic_coefficient;
    let mut largest = 0.0_f64;
    while molality < 2.0 {
        let now = at(molality + STEP);
        integral += STEP + (molality + 0.5 * STEP) * (now.gamma_mean / before.gamma_mean).ln();
        molality += STEP;
        largest = largest.max((molality * now.osmotic_coefficient / integral - 1.0).abs());
        before = now;
    }
    largest
}

/// Producer: Gibbs and Duhem, integrated here from the mean coefficients; 1e-4, pairs of one
/// coefficient each.
#[test]
fn water_and_salt_obey_gibbs_and_duhem() {
    let chemistry = as_the_program();
    for formula in ["NaCl", "KCl", "Na2SO4", "NaOH"] {
        assert_within(formula, off_gibbs_duhem(&chemistry, formula), 0.0, 1e-4);
    }
}

/// Producer: as above with the built-in coefficients, some of which move with ionic strength; 1e-4.
#[test]
fn coefficients_that_move_with_ionic_strength_obey_gibbs_and_duhem_too() {
    let (_, chemistry) = built_in().expect("built in");
    for formula in ["NaCl", "KCl", "Na2SO4", "NiCl2"] {
        assert_within(formula, off_gibbs_duhem(chemistry, formula), 0.0, 1e-4);
    }
}
