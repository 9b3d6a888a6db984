//! Derivatives of a solved solution against differences of solved solutions.

use bathkin::constants::LN_10;
use bathkin::solution::at_held_ph::HeldDirection;
use bathkin::solution::ph::{Adjustment, adjust_ph};
use bathkin::solution::sensitivities::{Parameter, Sensitivities};
use bathkin::solution::{Activity, Answer, Equilibrium, Speciation};

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
                        liquids.push(Liquid { equilibrium, totals: totals.clone(), kelvin });
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

    fn sensitivities(&self, parameter: Parameter) -> Sensitivities {
        let mut found =
            self.solved().sensitivities(&self.equilibrium, &[vec![(parameter, 1.0)]]).expect("sensitivities");
        found.remove(0)
    }

    /// With log10 K of a species moved.
    fn with_log_k(&self, name: &str, by: f64) -> Equilibrium {
        let names = self.equilibrium.species_names();
        self.equilibrium
            .with_log_k_moved(names.iter().position(|known| known == name).expect("a species"), by)
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
            let found = liquid.sensitivities(Parameter::Total(component));
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
        let found = liquid.sensitivities(Parameter::Temperature);
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
            let found = liquid.sensitivities(Parameter::LnK(place));
            let expected = differences(1e-2, |change| {
                let other = liquid.with_log_k(name, change / LN_10);
                answers(&other, &cold(&other, &liquid.totals, liquid.kelvin))
            });
            assert_sensitivities(&liquid, name, &found, 1.0, &expected);
        }
    }
}

/// Producer: the sensitivities one by one, above; 1e-9 of what is there, and of itself. Water by differences of the answer.
#[test]
fn the_adjoint_gives_the_same_slopes_of_every_answer() {
    for liquid in Liquid::each() {
        let mut solved = liquid.solved();
        let substances = liquid.equilibrium.substances();
        let dissolved = (0..substances).map(Answer::Dissolved);
        let asked: Vec<Answer> =
            [Answer::Ph, Answer::IonicStrength, Answer::Water].into_iter().chain(dissolved).collect();
        let components = liquid.totals.len();
        let species: Vec<usize> = (0..liquid.equilibrium.species_names().len()).collect();
        let columns = components + species.len();
        let mut found = vec![0.0; asked.len() * columns];
        solved.answer_slopes(&liquid.equilibrium, &asked, &species, &mut found).expect("slopes");
        for number in &species {
            let one = liquid.sensitivities(Parameter::LnK(*number));
            for (answer, slopes) in asked.iter().zip(found.chunks_exact(columns)) {
                let expected = match answer {
                    Answer::Ph => one.ph,
                    Answer::IonicStrength => one.ionic_strength_mol_l,
                    Answer::Dissolved(place) => one.species_mol_l[*place],
                    Answer::Water => 0.0,
                };
                let tolerance = 1e-9 * (expected.abs() + solved.answer(&liquid.equilibrium, *answer).abs());
                let what = liquid.what(&format!("{answer:?} to ln K {number}"));
                assert_within(what, slopes[components + number], expected, tolerance);
            }
        }
        for (component, (name, _)) in liquid.components().enumerate() {
            let one = liquid.sensitivities(Parameter::Total(component));
            for (answer, slopes) in asked.iter().zip(found.chunks_exact(columns)) {
                let expected = match answer {
                    Answer::Ph => one.ph,
                    Answer::IonicStrength => one.ionic_strength_mol_l,
                    Answer::Dissolved(place) => one.species_mol_l[*place],
                    Answer::Water => {
                        let water = |by: f64| {
                            let mut totals = liquid.totals.clone();
                            totals[component] += by;
                            let mut solved = liquid.equilibrium.speciation();
                            solved.solve(&liquid.equilibrium, &totals, liquid.kelvin).expect("solved");
                            solved.answer(&liquid.equilibrium, Answer::Water)
                        };
                        let apart = (water(1e-4) - water(-1e-4)) / 2e-4;
                        assert_within(liquid.what(name), slopes[component], apart, 1e-7);
                        continue;
                    }
                };
                let there = solved.answer(&liquid.equilibrium, *answer).abs();
                let tolerance = 1e-9 * (expected.abs() + there);
                assert_within(
                    liquid.what(&format!("{answer:?} to {name}")),
                    slopes[component],
                    expected,
                    tolerance,
                );
            }
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
        let per_base = liquid.sensitivities(Parameter::Total(base)).ph;
        assert_relative(liquid.what("buffer capacity"), capacity, 1.0 / per_base, 1e-9);
        assert!(capacity > 0.0);
    }
}

/// Producer: the slopes by each total (held to differences above), summed; 1e-9 of the sum of their sizes.
#[test]
fn the_slope_along_what_is_added_is_that_of_its_parts() {
    for liquid in Liquid::each() {
        let mut solved = liquid.solved();
        let gives: Vec<f64> = (0..liquid.totals.len()).map(|at| [0.7, 0.0, 1.0, -0.2][at % 4]).collect();
        let mut slopes = vec![0.0; gives.len()];
        solved.ph_sensitivities(&liquid.equilibrium, &mut slopes).expect("slopes");
        let parts: Vec<f64> = slopes.iter().zip(&gives).map(|(slope, give)| slope * give).collect();
        let along = solved.ph_slope_along(&liquid.equilibrium, &gives).expect("a slope");
        let size: f64 = parts.iter().map(|part| part.abs()).sum();
        assert_within(liquid.what("slope along"), along, parts.iter().sum(), 1e-9 * size);
    }
}

/// A direction at a held pH, and what a small step along it changes.
struct Step {
    what: &'static str,
    direction: HeldDirection,
    h: f64,
}

/// Producer: central differences of solutions whose pH is brought back by caustic each time; 1e-6.
#[test]
fn sensitivities_at_a_held_ph_agree_with_differences() {
    for liquid in Liquid::each() {
        let sodium = place(&liquid.equilibrium, "sodium");
        let metal = liquid.equilibrium.component_names()[0].clone();
        let mut gives = vec![0.0; liquid.totals.len()];
        gives[sodium] = 1.0;
        // The caustic that is found again.
        let mut without = liquid.totals.clone();
        without[sodium] -= 0.05;
        let ph = liquid.solved().ph();
        let ligand = if metal == "nickel" { "lactic_acid" } else { "hydrogen_edta" };
        let constant =
            liquid.equilibrium.species_names().iter().position(|known| known == ligand).expect("it");
        let along = |what, parameter, h| Step {
            what,
            direction: HeldDirection { parameters: vec![(parameter, 1.0)], ph: 0.0 },
            h,
        };
        let steps = [
            along("metal", Parameter::Total(0), 1e-4),
            along("constant", Parameter::LnK(constant), 1e-2),
            along("temperature", Parameter::Temperature, 0.05),
            Step { what: "pH", direction: HeldDirection { parameters: Vec::new(), ph: 1.0 }, h: 1e-3 },
        ];
        let directions: Vec<HeldDirection> = steps.iter().map(|step| step.direction.clone()).collect();
        let found = liquid
            .solved()
            .sensitivities_at_held_ph(&liquid.equilibrium, &directions, &gives)
            .expect("sensitivities");
        for (step, (amount, found)) in steps.iter().zip(&found) {
            let at = |change: f64| {
                let mut totals = without.clone();
                let (mut equilibrium, mut kelvin, mut target) =
                    (liquid.equilibrium.clone(), liquid.kelvin, ph);
                match step.direction.parameters.first() {
                    Some((Parameter::Total(component), _)) => totals[*component] += change,
                    Some((Parameter::LnK(_), _)) => equilibrium = liquid.with_log_k(ligand, change / LN_10),
                    Some((Parameter::Temperature, _)) => kelvin += change,
                    None => target += change,
                }
                let equilibrium = equilibrium.solved_exactly();
                let mut solved = equilibrium.speciation();
                let caustic = adjust_ph(&equilibrium, &mut solved, &mut totals, &gives, kelvin, target);
                let Ok(Adjustment::Amount(caustic)) = caustic else { panic!("no pH {target}: {caustic:?}") };
                let first = [caustic, solved.ionic_strength_mol_l(), solved.ln_water_activity];
                first
                    .into_iter()
                    .chain(solved.species(&equilibrium).map(|(_, mol_l)| mol_l))
                    .collect::<Vec<_>>()
            };
            let now = at(0.0);
            assert_relative(liquid.what("caustic"), now[0], 0.05, 1e-6);
            let mut listed = listed(found);
            assert_within(liquid.what(step.what), listed[0], step.direction.ph, 1e-10);
            listed[0] = *amount;
            let expected = differences(step.h, at);
            for (place, ((found, expected), now)) in listed.iter().zip(&expected).zip(&now).enumerate() {
                if place > 2 && *now < 1e-9 {
                    continue;
                }
                // Where it hardly matters it is held to 1e-7 of what it is part of, per step of everyday size.
                let tolerance = 1e-6 * expected.abs() + 1e-9 * now.abs() / step.h;
                assert_within(
                    liquid.what(&format!("answer {place} to {}", step.what)),
                    *found,
                    *expected,
                    tolerance,
                );
            }
        }
    }
}

/// Producer: Van Slyke, J. Biol. Chem. 52 (1922) 525, b = ln 10 (c K h/(K + h)² + h + Kw/h), c 0.1 mol/kg, with the
/// concentrations of the solved buffer at pH 4.2, 4.756 and 5.4; 1e-9.
#[test]
fn caustic_that_moves_the_ph_of_a_buffer_is_that_of_van_slyke() {
    let (_, chemistry) = bathkin::model::database::built_in().expect("built in");
    let equilibrium = Equilibrium::new(chemistry, &names(&["acetate", "sodium"]), Activity::Ideal);
    let gives = [0.0, 1.0];
    for ph in [4.2, 4.756, 5.4] {
        let (mut solved, mut totals) = (equilibrium.solved_exactly().speciation(), vec![0.1, 0.0]);
        let exactly = equilibrium.solved_exactly();
        adjust_ph(&exactly, &mut solved, &mut totals, &gives, 298.15, ph).expect("a pH");
        let of =
            |name: &str| solved.species(&equilibrium).find(|(known, _)| *known == name).expect("a species").1;
        let (acid, base, protons, hydroxide) =
            (of("acetic_acid"), of("acetate"), of("proton"), of("hydroxide"));
        let van_slyke = LN_10 * (acid * base / (acid + base) + protons + hydroxide);
        let direction = HeldDirection { parameters: Vec::new(), ph: 1.0 };
        let found = solved.clone().sensitivities_at_held_ph(&equilibrium, &[direction], &gives);
        assert_relative(format!("caustic per pH at {ph}"), found.expect("it")[0].0, van_slyke, 1e-9);
    }
}
