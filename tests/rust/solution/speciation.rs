//! The equilibrium of a solution: it always converges, balances, and has the slopes it says.

use bathkin::constants::ZERO_CELSIUS_K;
use bathkin::recipe::Recipe;
use bathkin::solution::chemistry::PROTON;
use bathkin::solution::{Equilibrium, Speciation};
use proptest::prelude::*;
use proptest::test_runner::TestRunner;

use support::recipes::{fixed_cases, nickel_acid};
use support::solutions::{Substances, residuals, substances};
use support::{assert_relative, assert_within};

/// The built-in acid nickel bath, and what each dissolved substance is made of.
struct Liquid {
    equilibrium: Equilibrium,
    fresh_mol_l: Vec<f64>,
    substances: Substances,
}

impl Liquid {
    fn nickel_acid() -> Self {
        Liquid::of(&nickel_acid())
    }

    fn of(recipe: &Recipe) -> Self {
        let model = recipe.model().expect("a model");
        let equilibrium = Equilibrium::clone(&model.tank.bath.equilibrium);
        let substances = substances(&model.chemistry, &equilibrium);
        Liquid { equilibrium, fresh_mol_l: model.fresh_totals_mol_l.clone(), substances }
    }

    /// Solved from nothing.
    fn cold(&self, totals: &[f64], temperature_k: f64) -> Speciation {
        let mut speciation = self.equilibrium.speciation();
        self.solve(&mut speciation, totals, temperature_k);
        speciation
    }

    fn solve(&self, speciation: &mut Speciation, totals: &[f64], temperature_k: f64) {
        let solved = speciation.solve(&self.equilibrium, totals, temperature_k);
        solved.unwrap_or_else(|error| panic!("{error} at {temperature_k} K for {totals:?}"));
    }

    fn concentrations(&self, speciation: &Speciation) -> Vec<f64> {
        speciation.species(&self.equilibrium).map(|(_, mol_l)| mol_l).collect()
    }

    fn residuals(&self, speciation: &Speciation, totals: &[f64]) -> (f64, f64) {
        residuals(&self.substances, &self.equilibrium, speciation, totals)
    }

    /// Fresh, half used, and old: by-products of eight turnovers.
    fn ages(&self) -> Vec<Vec<f64>> {
        let at = |name: &str| {
            self.equilibrium.component_names().iter().position(|known| known == name).expect("a component")
        };
        [1e-3, 0.8, 2.4]
            .into_iter()
            .map(|orthophosphite| {
                let mut totals = self.fresh_mol_l.clone();
                totals[at("orthophosphite")] += orthophosphite;
                totals[at("sulfate")] += 0.4 * orthophosphite;
                totals[at("sodium")] += 1.83 * orthophosphite;
                totals
            })
            .collect()
    }
}

/// 10,000 sets of totals between 1e-12 and 1 mol/L for every built-in recipe, 5-95 degC. Producer:
/// conservation of every component and of charge, summed here from the species and their
/// stoichiometry; 1e-9 relative.
#[test]
fn any_totals_over_twelve_decades_are_solved_from_nothing() {
    for name in Recipe::built_in_names() {
        let liquid = Liquid::of(&Recipe::built_in(name).expect("built in"));
        let any = (prop::collection::vec(-12.0..0.0_f64, liquid.fresh_mol_l.len()), 5.0..95.0_f64);
        let ran = TestRunner::new(fixed_cases(10_000)).run(&any, |(decades, celsius)| {
            let totals: Vec<f64> = decades.iter().map(|decade| 10_f64.powf(*decade)).collect();
            let mut speciation = liquid.equilibrium.speciation();
            let solved = speciation.solve(&liquid.equilibrium, &totals, celsius + ZERO_CELSIUS_K);
            prop_assert!(solved.is_ok(), "{:?} for {totals:?} at {celsius} degC", solved);
            let (mass, charge) = liquid.residuals(&speciation, &totals);
            prop_assert!(mass < 1e-9 && charge < 1e-9, "mass {mass:e}, charge {charge:e} for {totals:?}");
            Ok(())
        });
        ran.unwrap_or_else(|failed| panic!("{name}: {failed}"));
    }
}

/// The sums above would miss a substance that is not listed: the list is complete.
#[test]
fn every_species_of_the_bath_takes_part_in_the_sums() {
    let liquid = Liquid::nickel_acid();
    let speciation = liquid.cold(&liquid.fresh_mol_l, 361.15);
    let names: Vec<&str> = speciation.species(&liquid.equilibrium).map(|(name, _)| name).collect();
    for expected in
        [PROTON, "hydroxide", "nickel_lactate_1", "nickel_acetate_1", "dihydrogen_phosphite", "bisulfate"]
    {
        assert!(names.contains(&expected), "{expected} is not among {names:?}");
    }
}

/// Producer: the problem has one solution, however it is reached; pH to 1e-9, concentrations to
/// 1e-9 relative. Walks through temperatures and ages of a bath.
#[test]
fn a_warm_start_ends_where_a_cold_one_does() {
    let liquid = Liquid::nickel_acid();
    let mut warm = liquid.cold(&liquid.fresh_mol_l, 298.15);
    for kelvin in [361.15, 358.15, 298.15, 280.15, 368.15] {
        for totals in liquid.ages().iter().chain(liquid.ages().iter().rev()) {
            liquid.solve(&mut warm, totals, kelvin);
            let cold = liquid.cold(totals, kelvin);
            assert_within(format!("pH at {kelvin} K"), warm.ph(), cold.ph(), 1e-9);
            for (a, b) in liquid.concentrations(&warm).iter().zip(liquid.concentrations(&cold)) {
                assert_relative(format!("concentration at {kelvin} K"), *a, b, 1e-9);
            }
        }
    }
}

/// Producer: nothing changed, so nothing may change: bit for bit.
#[test]
fn solving_again_changes_nothing() {
    let liquid = Liquid::nickel_acid();
    for totals in liquid.ages() {
        let mut speciation = liquid.cold(&totals, 361.15);
        let (ph, before) = (speciation.ph(), liquid.concentrations(&speciation));
        for _ in 0..3 {
            liquid.solve(&mut speciation, &totals, 361.15);
            assert_eq!(speciation.ph(), ph);
            assert_eq!(liquid.concentrations(&speciation), before);
        }
    }
}
