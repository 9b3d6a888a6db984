//! The electron and proton balance of nickel-phosphorus from hypophosphite, through the library.
//!
//! Per mol Ni: p mol P, h mol H2, N hypophosphite used, o = N - p of it oxidised, 2 - p protons
//! made when the phosphite is counted as H2PO3- (the library counts it as HPO3-2, one more each).

use bathkin::{Bath, Rate, Recipe};
use proptest::prelude::*;

use support::recipes::{fixed_cases, fixed_selectivity, molar_mass, power_law};
use support::{Csv, assert_within};

/// What a surface does per mole of metal.
struct Yield {
    rate: Rate,
    metal: f64,
    phosphorus: f64,
    hydrogen: f64,
    oxidation: f64,
    /// Protons made with phosphite as H2PO3-.
    protons: f64,
}

fn of(recipe: &Recipe) -> Yield {
    let bath: Bath = recipe.make_up().unwrap_or_else(|error| panic!("{error}"));
    let rate = bath.rate().expect("a rate");
    let tank = &recipe.model().expect("a model").tank;
    let named = |name: &str| {
        rate.half_reactions_mol_m2_s.iter().find(|(known, _)| known == name).expect("a half-reaction").1
    };
    let metal = named("metal");
    // Moles per mole of each half-reaction come from the recipe, its rate from the library.
    let made = |slot: usize| -> f64 {
        let rates = rate.half_reactions_mol_m2_s.iter().map(|(_, rate)| rate);
        tank.bath
            .reactions
            .iter()
            .zip(rates)
            .flat_map(|(reaction, rate)| reaction.liquid.iter().map(move |(at, moles)| (*at, moles * rate)))
            .filter(|(at, _)| *at == slot)
            .map(|(_, moles)| moles)
            .sum::<f64>()
            / metal
    };
    Yield {
        metal,
        phosphorus: named("phosphorus") / metal,
        hydrogen: named("hydrogen") / metal,
        oxidation: named("oxidation") / metal,
        protons: made(tank.bath.proton()) - made(tank.bath.roles.by_product),
        rate,
    }
}

/// Producer: nickel_hypophosphite_stoichiometry.csv. p and h of a row go in (six decimals, so
/// results are good to 2e-6); everything else of the row must come out.
#[test]
fn every_row_of_the_stoichiometry_table_comes_out() {
    let table = Csv::reference("nickel_hypophosphite_stoichiometry.csv");
    for row in table.rows() {
        let what = |column: &str| format!("{column} at {} wP, {} g/g", row.text("wP"), row.text("g_per_g"));
        let found = of(&fixed_selectivity(&power_law(), row.number("p"), row.number("h")));
        let check = |column: &str, value: f64, tolerance: f64| {
            assert_within(what(column), value, row.number(column), tolerance);
        };
        check("p", found.phosphorus, 1e-12);
        check("h", found.hydrogen, 1e-12);
        check("N", found.rate.reductant_per_metal_mol, 2e-6);
        check("o", found.rate.by_product_per_metal_mol, 2e-6);
        check("wP", found.rate.alloy_wt_pct / 100.0, 1e-6);
        check("protons", found.protons, 2e-6);
        check("e1", 1.0 / found.oxidation, 1e-6);
        check("e2", (2.0 + found.phosphorus) / (2.0 * found.oxidation), 1e-6);
        let grams = found.rate.reductant_per_metal_mol * molar_mass("NaH2PO2.H2O") / molar_mass("Ni");
        check("g_per_g", grams, 4e-6);
        assert_within(what("1/N"), found.rate.reductant_efficiency, 1.0 / row.number("N"), 1e-6);
    }
}

/// Producer: hydrogen of the table, h mol/mol, as gas: 22.414 L/mol at 0 degC is 24.465 L/mol at
/// 25 degC and 1 atm (ideal gas, by hand).
#[test]
fn hydrogen_volume_is_that_of_an_ideal_gas() {
    let found = of(&fixed_selectivity(&power_law(), 0.2, 1.5));
    let expected = 1.5 * found.metal * 3600.0 * 24.4654;
    assert_within("L/(m2 h)", found.rate.hydrogen_l_m2_h, expected, expected * 1e-5);
}

proptest! {
    #![proptest_config(fixed_cases(64))]

    /// Producer: the balance itself. 2 o electrons are given, 2 + p + 2 h taken, so
    /// 2 o - 2 p - 2 h = 2 - p protons are made whatever p and h are.
    #[test]
    fn two_less_p_protons_are_made_whatever_the_selectivity(p in 0.0..0.4_f64, h in 0.0..3.0_f64) {
        let found = of(&fixed_selectivity(&power_law(), p, h));
        prop_assert!((found.protons - (2.0 - p)).abs() < 1e-9, "{} protons at p {p}, h {h}", found.protons);
        prop_assert!((found.oxidation - (1.0 + 0.5 * p + h)).abs() < 1e-9);
    }
}
