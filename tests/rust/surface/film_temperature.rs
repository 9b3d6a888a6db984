//! Transport and temperature: diffusion follows T over the viscosity of water, along a life too.

use bathkin::constants::ZERO_CELSIUS_K;
use bathkin::recipe::Recipe;

use support::film_copper::{S1, copper_only};
use support::recipes::{live, set};
use support::{Csv, assert_relative};

/// (degC, (T/eta)/(298.15 K/eta(25 degC))) of water.csv.
fn gains() -> Vec<(f64, f64)> {
    let water = Csv::reference("water.csv");
    let fluidity: Vec<(f64, f64)> = water
        .rows()
        .map(|row| {
            let celsius = row.number("temperature_c");
            (celsius, (celsius + ZERO_CELSIUS_K) / row.number("viscosity_mpa_s"))
        })
        .collect();
    let at_25 = fluidity.iter().find(|(celsius, _)| *celsius == 25.0).expect("a row of 25 degC").1;
    fluidity.into_iter().map(|(celsius, here)| (celsius, here / at_25)).collect()
}

fn gain(at_c: f64) -> f64 {
    gains().into_iter().find(|(celsius, _)| *celsius == at_c).expect("a row").1
}

fn rate(recipe: &Recipe) -> f64 {
    recipe.make_up().expect("a bath").rate().expect("a rate").half_reactions_mol_m2_s[0].1
}

/// Laws that do not feel the last metal: the rate is what the film brings.
fn at_the_ceiling() -> Recipe {
    copper_only(&S1, 13.4, 1e-30, 1e-2)
}

/// Producer: IAPWS R12-08 viscosities of water.csv, D in proportion to T/eta.
#[test]
fn everything_diffuses_as_the_temperature_over_the_viscosity_of_water() {
    let recipe = at_the_ceiling();
    let tank = &recipe.model().expect("a model").tank;
    let film = tank.bath.film.as_ref().expect("a film");
    for (celsius, expected) in gains() {
        let found = film.mobility(celsius + ZERO_CELSIUS_K);
        assert_relative(format!("D at {celsius} degC over D at 25"), found, expected, 2e-4);
    }
    assert_eq!(film.mobility(25.0 + ZERO_CELSIUS_K), 1.0);
    // By hand: (323.15/0.546516)/(293.15/1.0016) from 20 to 50 degC; 20 to 45 lies at 1.82.
    let of_30 = film.mobility(323.15) / film.mobility(293.15);
    assert_relative("20 to 50 degC", of_30, 2.0203, 1e-3);
}

/// Producer: the ceiling k c of the metal, k = D/delta with D of 25 degC times its gain.
#[test]
fn a_starved_surface_follows_the_diffusion() {
    for celsius in [20.0, 50.0] {
        let found = rate(&set(&at_the_ceiling(), &[("operation.temperature_c", celsius)]));
        // The density of the bath moves the mol/L of the film by less than a thousandth.
        assert_relative(format!("ceiling at {celsius} degC"), found, 2e-4 * gain(celsius), 2e-3);
    }
}

/// The same coefficients said for another temperature are as many times slower.
#[test]
fn coefficients_may_be_given_at_another_temperature() {
    let at_50 = set(&at_the_ceiling(), &[("operation.temperature_c", 50.0)]);
    let given_at_50 = set(&at_50, &[("film.diffusion_temperature_c", 50.0)]);
    assert_relative("ceiling", rate(&at_50) / rate(&given_at_50), gain(50.0), 2e-4);
}

/// Producer: diffusion from 20 to 45 degC, x1.82 (318.15/0.596 over 293.15/1.0016): this bath is fed by its film, and cold
/// alkali blocks a little besides.
#[test]
fn the_quiet_copper_bath_feels_the_heat() {
    let quiet = Recipe::built_in("copper-tartrate-quiet").expect("built in");
    let at = |celsius: f64| rate(&set(&quiet, &[("operation.temperature_c", celsius)]));
    let risen = at(45.0) / at(20.0);
    assert!((1.75..2.0).contains(&risen), "{risen}");
}

/// Producer: the ceilings at both temperatures; a step along a life, not the recipe's own temperature.
#[test]
fn diffusion_follows_a_step_of_a_life() {
    let stepped = set(
        &at_the_ceiling(),
        &[
            ("temperature.step.at_h", 2.0),
            ("temperature.step.over_h", 0.01),
            ("temperature.step.temperature_c", 50.0),
            // So small that the copper of the bath hardly moves.
            ("load.wire.area_dm2", 0.001),
            ("load.wire.in_h", 1.0),
            ("load.wire.minutes", 30.0),
            ("load.wire.every_h", 3.0),
            ("load.wire.count", 2.0),
            ("life.longest_clock_h", 6.0),
        ],
    );
    let um: Vec<f64> = live(&stepped).loads.iter().map(|rack| rack.thickness_um).collect();
    assert_relative("um in half an hour, 50 over 25 degC", um[1] / um[0], gain(50.0), 2e-3);
}
