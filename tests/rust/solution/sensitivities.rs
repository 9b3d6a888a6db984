//! Derivatives of a solved solution against differences of solved solutions.

use bathkin::constants::LN_10;
use bathkin::solution::sensitivities::{Parameter, Sensitivities};
use bathkin::solution::{Activity, Chemistry, Equilibrium, EquilibriumConstant, Speciation};

use support::solutions::{HELD, chemistry_with, cold, names, place};
use support::{assert_relative, assert_within};

/// Acid nickel with citrate, half aged, and a cation that interacts with nothing; mol/L.
const BATH: [(&str, f64); 9] = [
    ("nickel", 0.1),
    ("sulfate", 0.5),
    ("citrate", 0.1),
    ("lactate", 0.2),
    ("ammonia", 0.1),
    ("hypophosphite", 0.25),
    ("orthophosphite", 0.8),
    ("sodium", 1.9),
    ("ideal_base", 1e-3),
];

/// Alkaline copper with EDTA and formaldehyde, half aged: what hydroxide there is takes the place of water.
const ALKALINE: [(&str, f64); 8] = [
    ("copper", 0.04),
    ("edta", 0.08),
    ("methylene_glycol", 0.1),
    ("sulfate", 0.1),
    ("formate", 0.2),
    ("carbonate", 0.02),
    ("sodium", 0.76),
    ("ideal_base", 1e-3),
];

const IDEAL: &str = "[components.ideal_base]\nformula = \"Rb+\"\n";

struct Liquid {
    chemistry: Chemistry,
    equilibrium: Equilibrium,
    totals: Vec<f64>,
    kelvin: f64,
}

impl Liquid {
    fn each() -> Vec<Liquid> {
        let chemistry = chemistry_with(IDEAL);
        let mut liquids = Vec::new();
        for bath in [&BATH[..], &ALKALINE[..]] {
            let (of, totals): (Vec<&str>, Vec<f64>) = bath.iter().copied().unzip();
            for activity in [Activity::Sit, HELD, Activity::Ideal] {
                for per_litre in [false, true] {
                    for kelvin in [298.15, 361.15] {
                        let plain = Equilibrium::new(&chemistry, &names(&of), activity);
                        let equilibrium = if per_litre { plain.per_litre(&chemistry) } else { plain };
                        let (chemistry, totals) = (chemistry.clone(), totals.clone());
                        liquids.push(Liquid { chemistry, equilibrium, totals, kelvin });
                    }
                }
            }
        }
        liquids
    }

    fn what(&self, of: &str) -> String {
        format!("{of}, {:?}, {} K", self.equilibrium.activity(), self.kelvin)
    }

    fn components(&self) -> impl Iterator<Item = (&str, f64)> {
        let names = self.equilibrium.component_names().iter().map(String::as_str);
        names.zip(self.totals.iter().copied())
    }

    fn solved(&self) -> Speciation {
        cold(&self.equilibrium, &self.totals, self.kelvin)
    }

    fn answers(&self) -> Vec<f64> {
        answers(&self.equilibrium, &self.solved())
    }
}

/// pH, ionic strength, ln of the water activity, then every substance.
fn answers(equilibrium: &Equilibrium, solved: &Speciation) -> Vec<f64> {
    let first = [solved.ph(), solved.ionic_strength_mol_l(), solved.ln_water_activity];
    first.into_iter().chain(solved.species(equilibrium).map(|(_, mol_l)| mol_l)).collect()
}

fn listed(sensitivities: &Sensitivities) -> Vec<f64> {
    let first = [sensitivities.ph, sensitivities.ionic_strength_mol_l, sensitivities.ln_water_activity];
    first.into_iter().chain(sensitivities.species_mol_l.iter().copied()).collect()
}

/// Derivatives by five-point central differences, `h` the step.
fn differences(h: f64, at: impl Fn(f64) -> Vec<f64>) -> Vec<f64> {
    let [low2, low, high, high2] = [-2.0, -1.0, 1.0, 2.0].map(|steps| at(steps * h));
    (0..low.len()).map(|i| (low2[i] - 8.0 * low[i] + 8.0 * high[i] - high2[i]) / (12.0 * h)).collect()
}

/// `scale` turns a sensitivity into what a whole change of the parameter would do: sensitivities that matter to
/// nobody are held to 1e-7 of that, and substances below 1e-9 mol/L are left to their differences' noise.
fn assert_sensitivities(liquid: &Liquid, of: &str, found: &Sensitivities, scale: f64, expected: &[f64]) {
    let now = liquid.answers();
    for (place, ((found, expected), now)) in listed(found).iter().zip(expected).zip(now).enumerate() {
        if place > 2 && now < 1e-9 {
            continue;
        }
        let tolerance = 5e-6 * expected.abs() + 1e-7 * now.abs() / scale;
        assert_within(liquid.what(&format!("answer {place} to {of}")), *found, *expected, tolerance);
    }
}

/// Producer: central differences of cold solutions, each good to 2e-10; 5e-6.
#[test]
fn sensitivities_to_totals_agree_with_differences() {
    for liquid in Liquid::each() {
        for (component, (name, total)) in liquid.components().enumerate() {
            let found = liquid
                .solved()
                .sensitivities(&liquid.equilibrium, Parameter::Total(component))
                .expect("sensitivities");
            let expected = differences(1e-3 * total, |change| {
                let mut totals = liquid.totals.clone();
                totals[component] += change;
                answers(&liquid.equilibrium, &cold(&liquid.equilibrium, &totals, liquid.kelvin))
            });
            assert_sensitivities(&liquid, name, &found, total, &expected);
        }
    }
}

/// Producer: as above; 5e-6.
#[test]
fn sensitivities_to_temperature_agree_with_differences() {
    for liquid in Liquid::each() {
        let found = liquid
            .solved()
            .sensitivities(&liquid.equilibrium, Parameter::Temperature)
            .expect("sensitivities");
        let expected = differences(0.5, |change| {
            answers(&liquid.equilibrium, &cold(&liquid.equilibrium, &liquid.totals, liquid.kelvin + change))
        });
        assert_sensitivities(&liquid, "the temperature", &found, 50.0, &expected);
    }
}

/// Producer: as above, with another constant each time; 5e-6.
#[test]
fn sensitivities_to_constants_agree_with_differences() {
    for liquid in Liquid::each() {
        for name in [
            "nickel_citrate_1",
            "lactic_acid",
            "dihydrogen_phosphite",
            "ammonium",
            "nickel_sulfate_1",
            "copper_edta",
            "hydrogen_edta",
            "bicarbonate",
        ] {
            let known = liquid.equilibrium.species_names().iter().position(|known| known == name);
            let Some(place) = known else { continue };
            let found = liquid
                .solved()
                .sensitivities(&liquid.equilibrium, Parameter::LnK(place))
                .expect("sensitivities");
            let expected = differences(1e-2, |change| {
                let mut chemistry = liquid.chemistry.clone();
                let species = chemistry.species.iter_mut().find(|species| species.name == name);
                if let EquilibriumConstant::VantHoff { log_k_25c, .. } =
                    &mut species.expect("a species").constant
                {
                    *log_k_25c += change / LN_10;
                }
                let other = Equilibrium::new(
                    &chemistry,
                    liquid.equilibrium.component_names(),
                    liquid.equilibrium.activity(),
                );
                // The constants have no part in the volumes: those of a litre are the same.
                let per_litre = liquid.solved().water_kg_l != 1.0;
                let other = if per_litre { other.per_litre(&chemistry) } else { other };
                answers(&other, &cold(&other, &liquid.totals, liquid.kelvin))
            });
            assert_sensitivities(&liquid, name, &found, 1.0, &expected);
        }
    }
}

/// Producer: the sensitivities one by one, above; 1e-9.
#[test]
fn the_adjoint_gives_the_same_sensitivities_of_the_ph() {
    for liquid in Liquid::each() {
        let mut solved = liquid.solved();
        let mut found = vec![0.0; liquid.totals.len()];
        solved.ph_sensitivities(&liquid.equilibrium, &mut found).expect("sensitivities");
        for (component, (name, _)) in liquid.components().enumerate() {
            let one = solved
                .sensitivities(&liquid.equilibrium, Parameter::Total(component))
                .expect("sensitivities");
            assert_within(liquid.what(name), found[component], one.ph, 1e-9 * one.ph.abs().max(1.0));
        }
    }
}

/// Producer: a cation that interacts with nothing, added by its sensitivity (held to differences above); 1e-9, also
/// where the hydroxide beside the cation takes the place of some water.
#[test]
fn buffer_capacity_is_base_per_ph() {
    for liquid in Liquid::each() {
        let capacity = liquid.solved().buffer_capacity_mol_l(&liquid.equilibrium).expect("a capacity");
        let base = place(&liquid.equilibrium, "ideal_base");
        let per_base = liquid
            .solved()
            .sensitivities(&liquid.equilibrium, Parameter::Total(base))
            .expect("sensitivities")
            .ph;
        assert_relative(liquid.what("buffer capacity"), capacity, 1.0 / per_base, 1e-9);
        assert!(capacity > 0.0);
    }
}
