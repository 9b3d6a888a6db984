//! The equilibrium against another program: the same constants, the same activity law.
//!
//! The Davies equation is the library's for every ion; a neutral species has no coefficient. Where
//! the program has another law for a species (log gamma = 0.1 I for neutral ones, an ion size for
//! some), its coefficient, taken at the program's ionic strength, goes into the constants, and so
//! does its activity of water. What is left to differ is the slope A, 0.5100 there and 0.5098 here.

use std::collections::BTreeMap;

use bathkin::constants::REFERENCE_TEMPERATURE_K;
use bathkin::solution::{Chemistry, Equilibrium, Formula, Speciation, water};

use support::solutions::{DAVIES, chemistry_with, cold, mol_l, names};
use support::{Csv, Row, assert_relative, assert_within};

const DATABASE: &str = "minteq.v4.davies.dat";

/// Cases whose main species have no constant in phreeqc_case_constants.csv: the hydroxides of copper
/// in the tartrate, and the complexes of copper in EDTA, which for want of better are the built-in
/// ones (tolerances of those cases say so).
const LEFT_OUT: &str = "CUTAR-12.5";
const BUILT_IN_COMPLEXES: [&str; 3] = ["CUEDTA-10", "CUEDTA-11.5", "CUEDTA-12.5"];

fn component(element: &str) -> &'static str {
    match element {
        "Na" => "sodium",
        "K" => "potassium",
        "Cl" => "chloride",
        "P" => "phosphate",
        "C(4)" => "carbonate",
        "B" => "borate",
        "S(6)" => "sulfate",
        "N(-3)" => "ammonia",
        "Ni" => "nickel",
        "Cu(2)" => "copper",
        "Acetate" => "acetate",
        "Citrate" => "citrate",
        "Edta" => "edta",
        "Glycine" => "glycinate",
        "Tartrate" => "tartrate",
        other => panic!("no component for {other}"),
    }
}

/// log10 of the Davies coefficient at 25 degC.
fn log_davies(charge: f64, strength: f64) -> f64 {
    let slope: f64 = water::debye_hueckel_a(REFERENCE_TEMPERATURE_K);
    -slope * charge * charge * (strength.sqrt() / (1.0 + strength.sqrt()) - 0.3 * strength)
}

fn charge(row: &Row) -> f64 {
    Formula::parse(row.text("formula")).unwrap_or_else(|what| panic!("{what}")).charge
}

/// What the program found in a case.
struct Case {
    name: String,
    ph: f64,
    strength: f64,
    totals: Vec<(&'static str, f64)>,
    /// Molality and log10 gamma by the program's name of a species.
    species: BTreeMap<String, (f64, f64)>,
}

fn cases() -> Vec<Case> {
    let [inputs, summary, species] =
        ["inputs", "summary", "species"].map(|what| Csv::reference(&format!("phreeqc_cases_{what}.csv")));
    let of_database = |row: &Row| row.text("database") == DATABASE;
    let totals = |row: &Row| -> Vec<(&'static str, f64)> {
        let each = row.text("totals_mol_per_kg").split(';').filter_map(|part| part.trim().split_once('='));
        each.map(|(element, total)| (component(element), total.parse().expect("a total"))).collect()
    };
    let found = |name: &str| {
        let rows = species.rows().filter(|row| of_database(row) && row.text("case") == name);
        rows.map(|row| {
            let numbers = (row.number("molality_mol_kg"), row.number("gamma").log10());
            (row.text("species").to_owned(), numbers)
        })
        .collect()
    };
    inputs
        .rows()
        .zip(summary.rows())
        .filter(|(input, _)| of_database(input) && input.text("case") != LEFT_OUT)
        .map(|(input, output)| {
            assert_eq!(input.text("case"), output.text("case"), "the two files go together");
            Case {
                name: input.text("case").to_owned(),
                ph: output.number("ph"),
                strength: output.number("ionic_strength_mol_kg"),
                totals: totals(&input),
                species: found(input.text("case")),
            }
        })
        .collect()
}

/// The program's chemistry for a case, and our names of its species.
fn chemistry_of(case: &Case) -> (Chemistry, BTreeMap<String, String>) {
    let file = Csv::reference("phreeqc_case_constants.csv");
    let rows = || file.rows().filter(|row| row.text("database") == DATABASE);
    let excess = |row: &Row| {
        let gamma = case.species.get(row.text("species"));
        gamma.map_or(0.0, |(_, log_gamma)| log_gamma - log_davies(charge(row), case.strength))
    };
    let (components, formed): (Vec<Row>, Vec<Row>) =
        rows().partition(|row| !row.text("component").is_empty());
    let of_component: BTreeMap<&str, f64> =
        components.iter().map(|row| (row.text("component"), excess(row))).collect();
    let mut known: BTreeMap<String, String> = components
        .iter()
        .map(|row| (row.text("species").to_owned(), row.text("component").to_owned()))
        .collect();
    let dissolved: f64 = case.species.values().map(|(molality, _)| molality).sum();
    let log_water = (1.0 - 0.017 * dissolved).log10();
    let mut text = String::new();
    for (number, row) in formed.iter().enumerate() {
        let name = format!("phreeqc_{number}");
        let mut log_k = row.number("log_k_25c") - excess(row);
        let mut parts = Vec::new();
        for part in row.text("forms_from").split_whitespace() {
            let (of, count) = part.split_once(':').expect("component:count");
            let count: f64 = count.parse().expect("a count");
            log_k += count * if of == "water" { log_water } else { of_component[of] };
            parts.push(format!("{of} = {count:?}"));
        }
        text += &format!(
            "[species.{name}]\nformula = \"{}\"\nforms_from = {{ {} }}\nlog_k_25c = {log_k:?}\n\
             source = \"phreeqc_case_constants.csv\"\nkind = \"computed\"\n",
            row.text("formula"),
            parts.join(", "),
        );
        known.insert(row.text("species").to_owned(), name);
    }
    let mut chemistry = chemistry_with(&text);
    let lent = |name: &str| {
        BUILT_IN_COMPLEXES.contains(&case.name.as_str())
            && name.starts_with("copper")
            && name.contains("edta")
    };
    chemistry.species.retain(|species| species.name.starts_with("phreeqc_") || lent(&species.name));
    (chemistry, known)
}

fn solved(case: &Case, chemistry: &Chemistry) -> (Equilibrium, Speciation) {
    let (of, totals): (Vec<&str>, Vec<f64>) = case.totals.iter().copied().unzip();
    let equilibrium = Equilibrium::new(chemistry, &names(&of), DAVIES);
    let speciation = cold(&equilibrium, &totals, REFERENCE_TEMPERATURE_K);
    (equilibrium, speciation)
}

/// Producer: PHREEQC 3.7.3 through phreeqc_cases_*.csv. pH 2e-4 and ionic strength 5e-5, for SULF the
/// pH 1e-3 (sodium has six digits, little buffer) and for copper in EDTA 2e-3 and 2e-4.
#[test]
fn ph_and_ionic_strength_are_the_programs() {
    let cases = cases();
    assert_eq!(cases.len(), 27, "cases of {DATABASE}");
    for case in &cases {
        let (chemistry, _) = chemistry_of(case);
        let (_, speciation) = solved(case, &chemistry);
        let (ph, strength) = match case.name.as_str() {
            name if BUILT_IN_COMPLEXES.contains(&name) => (2e-3, 2e-4),
            name if name.starts_with("SULF") => (1e-3, 5e-5),
            // Constants of the polyborates are recovered from the output, to about 0.001.
            "BOR-1" => (5e-4, 5e-5),
            _ => (2e-4, 5e-5),
        };
        assert_within(format!("pH of {}", case.name), speciation.ph(), case.ph, ph);
        let what = format!("ionic strength of {}", case.name);
        assert_relative(what, speciation.ionic_strength_mol_kg, case.strength, strength);
    }
}

/// Producer: as above; free metal 2e-4, every other species above 1e-9 mol/kg 1e-3 (SULF, borate,
/// carbonic acid by its water: 3e-3; copper in EDTA, where the free metal is not in the file: 5e-3).
#[test]
fn free_metal_and_every_species_are_the_programs() {
    let mut metals = 0;
    for case in &cases() {
        let (chemistry, known) = chemistry_of(case);
        let (equilibrium, speciation) = solved(case, &chemistry);
        let tolerance = match case.name.as_str() {
            name if BUILT_IN_COMPLEXES.contains(&name) => 5e-3,
            name if name.starts_with("SULF") || name == "BOR-1" || name == "CAR-1" => 3e-3,
            _ => 1e-3,
        };
        for (name, (molality, _)) in &case.species {
            let (metal, Some(ours)) = (["Ni+2", "Cu+2"].contains(&name.as_str()), known.get(name)) else {
                continue;
            };
            if metal || *molality > 1e-9 {
                let found = mol_l(&equilibrium, &speciation, ours);
                let tolerance = if metal { 2e-4 } else { tolerance };
                assert_relative(format!("{name} in {}", case.name), found, *molality, tolerance);
                metals += usize::from(metal);
            }
        }
    }
    assert!(metals >= 10, "{metals} cases with a free metal");
}
