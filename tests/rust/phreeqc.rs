use crate::solutions::{DAVIES, chemistry_with, cold, mol_l, names};
use acceptance::Csv;
use bathkin::constants::REFERENCE_TEMPERATURE_K;
use bathkin::solution::{Chemistry, Equilibrium, water};
use std::collections::BTreeMap;

const DATABASE: &str = "minteq.v4.davies.dat";

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
        o => panic!("{o}"),
    }
}
fn log_davies(z: f64, i: f64) -> f64 {
    let a: f64 = water::debye_hueckel_a(REFERENCE_TEMPERATURE_K);
    -a * z * z * (i.sqrt() / (1.0 + i.sqrt()) - 0.3 * i)
}
fn charge(formula: &str) -> f64 {
    bathkin::solution::Formula::parse(formula).unwrap().charge
}

/// chemistry of a case; names by species
fn chemistry(case: &str, strength: f64, follow: bool) -> (Chemistry, BTreeMap<String, String>) {
    let constants = Csv::reference("phreeqc_case_constants.csv");
    let found = Csv::reference("phreeqc_cases_species.csv");
    let mut gammas: BTreeMap<&str, f64> = BTreeMap::new();
    let mut sum = 0.0;
    for row in found.rows().filter(|r| r.text("case") == case && r.text("database") == DATABASE) {
        gammas.insert(row.text("species"), row.number("gamma").log10());
        sum += row.number("molality_mol_kg");
    }
    let mut comp: BTreeMap<&str, (&str, f64)> = BTreeMap::new();
    for row in constants.rows().filter(|r| r.text("database") == DATABASE && !r.text("component").is_empty())
    {
        comp.insert(row.text("component"), (row.text("species"), charge(row.text("formula"))));
    }
    let excess = |species: &str, z: f64| gammas.get(species).map_or(0.0, |g| g - log_davies(z, strength));
    let mut text = String::new();
    let mut map = BTreeMap::new();
    for (n, row) in constants
        .rows()
        .filter(|r| r.text("database") == DATABASE && r.text("component").is_empty())
        .enumerate()
    {
        let mut log_k = row.number("log_k_25c");
        let mut parts = vec![];
        let mut shift = -excess(row.text("species"), charge(row.text("formula")));
        for part in row.text("forms_from").split_whitespace() {
            let (name, count) = part.split_once(':').unwrap();
            let count: f64 = count.parse().unwrap();
            parts.push(format!("{name} = {count:?}"));
            if name == "water" {
                shift += count * (1.0 - 0.017 * sum).log10();
            } else {
                let (s, z) = comp[name];
                shift += count * excess(s, z);
            }
        }
        if follow {
            log_k += shift;
        }
        let name = format!("phreeqc_{n}");
        text += &format!(
            "[species.{name}]\nformula = \"{}\"\nforms_from = {{ {} }}\nlog_k_25c = {log_k:?}\nsource = \"phreeqc_case_constants.csv\"\nkind = \"computed\"\n",
            row.text("formula"),
            parts.join(", ")
        );
        map.insert(row.text("species").to_owned(), name);
    }
    let mut chemistry = chemistry_with(&text);
    chemistry.species.retain(|s| {
        s.name.starts_with("phreeqc_") || s.name.starts_with("copper") && s.name.contains("edta")
    });
    for (c, (s, _)) in comp {
        map.insert(s.to_owned(), c.to_owned());
    }
    (chemistry, map)
}

#[test]
fn probe() {
    let inputs = Csv::reference("phreeqc_cases_inputs.csv");
    let summary = Csv::reference("phreeqc_cases_summary.csv");
    let species = Csv::reference("phreeqc_cases_species.csv");
    for follow in [true, false] {
        for (row, out) in inputs.rows().zip(summary.rows()).filter(|(r, _)| r.text("database") == DATABASE) {
            let case = row.text("case");
            assert_eq!(case, out.text("case"));
            let strength = out.number("ionic_strength_mol_kg");
            let (chem, map) = chemistry(case, strength, follow);
            let (n, t): (Vec<&str>, Vec<f64>) = row
                .text("totals_mol_per_kg")
                .split(';')
                .map(|p| {
                    let (e, v) = p.trim().split_once('=').unwrap();
                    (component(e), v.parse::<f64>().unwrap())
                })
                .unzip();
            let eq = Equilibrium::new(&chem, &names(&n), DAVIES);
            let s = cold(&eq, &t, REFERENCE_TEMPERATURE_K);
            let mut worst = (0.0_f64, String::new());
            let mut free = String::new();
            for r in species.rows().filter(|r| r.text("case") == case && r.text("database") == DATABASE) {
                let Some(name) = map.get(r.text("species")) else { continue };
                let m = r.number("molality_mol_kg");
                let found = mol_l(&eq, &s, name);
                let off = found / m - 1.0;
                if m > 1e-9 && off.abs() > worst.0.abs() {
                    worst = (off, r.text("species").to_owned());
                }
                if ["Ni+2", "Cu+2"].contains(&r.text("species")) {
                    free = format!("free {off:+.4}");
                }
            }
            println!(
                "{follow} {case:16} pH {:+.5} I {:+.5} {free} worst {worst:?}  [{}]",
                s.ph() - out.number("ph"),
                s.ionic_strength_mol_kg / strength - 1.0,
                out.text("not_davies")
            );
        }
    }
}
