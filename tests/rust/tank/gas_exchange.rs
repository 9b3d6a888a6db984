//! Exchange with the air: carbon dioxide into alkali and water, ammonia out, and the balance.

use bathkin::constants::SECONDS_PER_HOUR;
use bathkin::life::simulate::fresh_state;
use bathkin::life::single_load::carry;
use bathkin::recipe::Recipe;
use bathkin::tank::accounts::Accounts;
use bathkin::tank::{Balances, Tank};

use support::recipes::{live, nickel_acid, say, set};
use support::solutions::mol_l;
use support::{assert_relative, assert_within};

const FILM_M_H: f64 = 0.1;
const SURFACE_M2: f64 = 0.8;
const VOLUME_L: f64 = 400.0;
const AIR_ATM: f64 = 4.2e-4;
/// k_L A/V, 1/s.
const RATE_S: f64 = FILM_M_H * SURFACE_M2 * 1000.0 / VOLUME_L / SECONDS_PER_HOUR;

fn open_to(recipe: &Recipe, gas: &str, pressure_atm: f64) -> Recipe {
    let path = |key: &str| format!("gas_exchange.{gas}.{key}");
    set(
        recipe,
        &[
            (&path("film_m_h"), FILM_M_H),
            (&path("open_surface_m2"), SURFACE_M2),
            (&path("partial_pressure_atm"), pressure_atm),
        ],
    )
}

/// Water at 25 degC with a trace of what a bath must hold, its pH left alone, and these reagents.
fn plain_water(reagents: &[(&str, f64)]) -> Recipe {
    let built_in = nickel_acid();
    let text: String = built_in
        .text()
        .lines()
        .filter(|line| !line.starts_with("ph = ") && !line.starts_with("temperature_c = "))
        .flat_map(|line| [line, "\n"])
        .collect();
    let text = text.replace("[operation]", "[operation]\ntemperature_c = 25");
    let read = Recipe::from_toml("plain water", &text).expect("a recipe");
    let traces = [
        ("make_up.nickel_sulfate_hexahydrate_g_l", 1e-7),
        ("make_up.sodium_hypophosphite_monohydrate_g_l", 1e-7),
        ("make_up.lactic_acid_g_l", 0.0),
        ("make_up.acetic_acid_g_l", 0.0),
        ("tank.volume_l", VOLUME_L),
        ("limits.phosphorus_wt_pct_min", 0.0),
        ("limits.phosphorus_wt_pct_max", 100.0),
    ];
    let made = set(&set(&read, &traces), reagents);
    say(&made, &[("ph_control.policy", "off"), ("deposit.density_scale", "area-table")])
}

/// Totals after a time with no work in the tank, mol/L; the mass balance must close to round-off.
fn totals_after(tank: &Tank, start: &[f64], seconds: f64) -> Vec<f64> {
    let state = carry(tank, start, 0.0, seconds, 1e-10).unwrap_or_else(|error| panic!("{error}"));
    let balances = Balances::new(tank, start);
    let amounts = |state: &[f64]| -> Vec<f64> {
        state.iter().zip(balances.layout().scale()).map(|(value, scale)| value * scale).collect()
    };
    let opening = amounts(&fresh_state(&balances, start));
    let balance = Accounts::open(tank, balances.layout(), &opening);
    let now = amounts(&state);
    let (residual, of) = balance.residual(tank, balances.layout(), &now);
    assert!(residual < 1e-12, "mass balance off by {residual:.1e} in {of}");
    now[..tank.bath.components()].iter().map(|moles| moles / tank.plant.volume_l).collect()
}

fn slot(tank: &Tank, name: &str) -> usize {
    let found = tank.bath.equilibrium.component_names().iter().position(|known| known == name);
    found.unwrap_or_else(|| panic!("no {name}"))
}

/// Producer: dn/dt = k_L A K_H p while no dissolved molecule holds it back: the carbonate rises in
/// proportion to time. K_H 10^-1.468 mol/(kg atm), a litre of 0.1 mol/L caustic holding its own water;
/// within 2e-4, the share of CO2 that is not yet hydroxide's.
#[test]
fn caustic_takes_up_carbon_dioxide_in_proportion_to_time() {
    let recipe = open_to(&plain_water(&[("make_up.sodium_hydroxide_mol_l", 0.1)]), "carbon_dioxide", AIR_ATM);
    let model = recipe.model().expect("a model");
    let start = &model.fresh_totals_mol_l;
    let carbonate = slot(&model.tank, "carbonate");
    assert_eq!(start[carbonate], 0.0, "nothing but the air brings carbonate");
    let mut speciation = model.tank.bath.equilibrium.speciation();
    speciation
        .solve(&model.tank.bath.equilibrium, start, model.tank.operation.temperature_k)
        .expect("solved");
    let saturated = 10_f64.powf(-1.468) * AIR_ATM * speciation.water_kg_l;
    for hours in [10.0, 100.0, 300.0] {
        let seconds = hours * SECONDS_PER_HOUR;
        let found = totals_after(&model.tank, start, seconds)[carbonate];
        assert_relative(format!("mol/L after {hours} h"), found, RATE_S * seconds * saturated, 2e-4);
    }
}

/// Producer: textbook value, pure water under air of 4.2e-4 atm: [H]² = K1 K_H p (+ Kw), pH 5.60 with
/// pK1 6.35; and K_H p of the dissolved molecule.
#[test]
fn water_left_open_ends_at_the_ph_of_rain() {
    let recipe = open_to(&plain_water(&[]), "carbon_dioxide", AIR_ATM);
    let model = recipe.model().expect("a model");
    let end = totals_after(&model.tank, &model.fresh_totals_mol_l, 40.0 / RATE_S);
    let mut speciation = model.tank.bath.equilibrium.speciation();
    speciation.solve(&model.tank.bath.equilibrium, &end, model.tank.operation.temperature_k).expect("solved");
    assert_within("pH", speciation.ph(), 5.60, 0.01);
    let dissolved = mol_l(&model.tank.bath.equilibrium, &speciation, "carbon_dioxide");
    assert_relative("CO2, mol/L", dissolved, 10_f64.powf(-1.468) * AIR_ATM * speciation.water_kg_l, 1e-5);
}

/// Producer: equilibrium with the air, CO2(aq) = K_H p, whatever the alkalinity: a carbonate solution
/// ends there from below.
#[test]
fn a_carbonate_solution_left_open_ends_in_equilibrium_with_the_air() {
    let recipe =
        open_to(&plain_water(&[("make_up.sodium_bicarbonate_mol_l", 1e-3)]), "carbon_dioxide", AIR_ATM);
    let model = recipe.model().expect("a model");
    let end = totals_after(&model.tank, &model.fresh_totals_mol_l, 4000.0 / RATE_S);
    let mut speciation = model.tank.bath.equilibrium.speciation();
    speciation.solve(&model.tank.bath.equilibrium, &end, model.tank.operation.temperature_k).expect("solved");
    let dissolved = mol_l(&model.tank.bath.equilibrium, &speciation, "carbon_dioxide");
    let saturated = 10_f64.powf(-1.468) * AIR_ATM * speciation.water_kg_l;
    assert_relative("CO2, mol/L", dissolved, saturated, 1e-5);
    // By hand, ideal: [H] = K1 K_H p/[HCO3] = 10^-6.351 * 1.43e-5/1e-3, so 8.20, and 0.015 for activities.
    assert_within("pH", speciation.ph(), 8.18, 0.03);
}

/// Producer: c = c0 exp(-k_L A t/V), times the free share, 0.9997 at pH 12.8 and hardly moving. The protons
/// stay: what leaves is NH3.
#[test]
fn ammonia_leaves_in_first_order() {
    let recipe = plain_water(&[("make_up.sodium_hydroxide_mol_l", 0.1), ("make_up.ammonia_mol_l", 0.05)]);
    let model = open_to(&recipe, "ammonia", 0.0).model().expect("a model").clone();
    let start = &model.fresh_totals_mol_l;
    let ammonia = slot(&model.tank, "ammonia");
    let mut speciation = model.tank.bath.equilibrium.speciation();
    speciation
        .solve(&model.tank.bath.equilibrium, start, model.tank.operation.temperature_k)
        .expect("solved");
    let free = mol_l(&model.tank.bath.equilibrium, &speciation, "ammonia") / start[ammonia];
    for hours in [1.0, 5.0, 20.0] {
        let seconds = hours * SECONDS_PER_HOUR;
        let found = totals_after(&model.tank, start, seconds)[ammonia];
        let expected = start[ammonia] * (-RATE_S * free * seconds).exp();
        assert_relative(format!("mol/L after {hours} h"), found, expected, 1e-4);
    }
}

/// Producer: conservation. Carbonate comes in by day and by night; every element and the charge balance.
#[test]
fn the_books_of_a_life_close_with_gases_exchanged() {
    let recipe = set(&nickel_acid(), &[("limits.turnovers", 2.0), ("make_up.ammonia_mol_l", 0.1)]);
    let recipe = open_to(&open_to(&recipe, "carbon_dioxide", AIR_ATM), "ammonia", 0.0);
    let life = live(&recipe);
    assert!(life.balance.max_relative_residual < 1e-12, "{:?}", life.balance);
    let carbonate = *life.table.column("carbonate_mol_l").expect("a column").last().expect("a row");
    // An acid bath holds little more than the dissolved molecule: 0.0085 mol/(kg atm) at 88 degC or less.
    assert!(carbonate > 1e-6 && carbonate < 1e-5, "{carbonate}");
}

#[test]
fn exchange_is_off_without_its_section_and_checked_with_it() {
    let plain = nickel_acid();
    assert!(plain.model().expect("a model").tank.plant.exchanges.is_empty());
    let incomplete =
        set(&plain, &[("gas_exchange.ammonia.film_m_h", 0.1)]).make_up().expect_err("incomplete");
    assert!(incomplete.to_string().contains("partial_pressure_atm"), "{incomplete}");
    let unknown = set(&plain, &[("gas_exchange.argon.film_m_h", 0.1)]).make_up().expect_err("no such gas");
    assert!(unknown.to_string().contains("no gas is called 'argon'"), "{unknown}");
}
