//! The equilibrium alone: warm and cold, of the nickel bath fresh and old and of a copper bath, with
//! every activity model.

use std::hint::black_box;

use bathkin::model::database::built_in;
use bathkin::solution::{Activity, Equilibrium};
use benches::power_law;
use criterion::{Criterion, criterion_group, criterion_main};

/// Totals of a bath, mol/L at 25 degC, and its temperature, K.
struct Liquid {
    name: &'static str,
    totals: Vec<(String, f64)>,
    temperature_k: f64,
}

fn nickel(name: &'static str, orthophosphite_mol_l: f64) -> Liquid {
    let recipe = power_law();
    let model = recipe.model().expect("resolves");
    // What turnovers leave behind, per orthophosphite.
    let grown = |component: &str| match component {
        "orthophosphite" => 1.0,
        "sulfate" => 0.4,
        "sodium" => 1.83,
        _ => 0.0,
    };
    let totals = model.tank.bath.equilibrium.component_names().iter().zip(&model.fresh_totals_mol_l);
    Liquid {
        name,
        totals: totals
            .map(|(component, fresh)| (component.clone(), fresh + grown(component) * orthophosphite_mol_l))
            .collect(),
        temperature_k: model.tank.operation.temperature_k,
    }
}

/// Copper, EDTA and formaldehyde at pH 12.5, some formate and carbonate in it.
fn copper() -> Liquid {
    let totals = [
        ("copper", 0.04),
        ("edta", 0.08),
        ("methylene_glycol", 0.1),
        ("sulfate", 0.1),
        ("formate", 0.2),
        ("carbonate", 0.02),
        ("sodium", 0.76),
    ];
    Liquid {
        name: "copper-edta",
        totals: totals.iter().map(|(name, total)| ((*name).to_owned(), *total)).collect(),
        temperature_k: 333.15,
    }
}

fn bench(criterion: &mut Criterion) {
    let (_, chemistry) = built_in().expect("built in");
    for liquid in [nickel("nickel-acid, fresh", 0.0), nickel("nickel-acid, old", 2.0), copper()] {
        let (names, totals): (Vec<String>, Vec<f64>) = liquid.totals.iter().cloned().unzip();
        for (model, activity) in
            [("sit", Activity::Sit), ("davies", Activity::Davies { held_above_mol_l: 0.5 })]
        {
            let equilibrium = Equilibrium::new(chemistry, &names, activity).per_litre(chemistry);
            let mut speciation = equilibrium.speciation();
            let mut moved = totals.clone();
            let mut sign = 1.0;
            criterion.bench_function(&format!("{}, {model}, warm", liquid.name), |b| {
                b.iter(|| {
                    // A step of an integration moves the totals by about this much.
                    sign = -sign;
                    for (moved, total) in moved.iter_mut().zip(&totals) {
                        *moved = total * (1.0 + sign * 2e-3);
                    }
                    let solved = speciation.solve(&equilibrium, black_box(&moved), liquid.temperature_k);
                    solved.expect("solves");
                    speciation.ph()
                });
            });
            criterion.bench_function(&format!("{}, {model}, cold", liquid.name), |b| {
                b.iter(|| {
                    let mut speciation = equilibrium.speciation();
                    let solved = speciation.solve(&equilibrium, black_box(&totals), liquid.temperature_k);
                    solved.expect("solves");
                    speciation.ph()
                });
            });
            let mut slopes = vec![0.0; totals.len()];
            criterion.bench_function(&format!("{}, {model}, sensitivities of the pH", liquid.name), |b| {
                b.iter(|| {
                    speciation.ph_sensitivities(&equilibrium, black_box(&mut slopes)).expect("solves");
                    slopes[0]
                });
            });
        }
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(30);
    targets = bench
}
criterion_main!(benches);
