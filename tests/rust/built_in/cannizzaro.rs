//! Cannizzaro's reaction of formaldehyde in the copper baths: its order, temperature, salt and products.

use bathkin::constants::SECONDS_PER_HOUR;
use bathkin::life::single_load::carry;
use bathkin::recipe::Recipe;

use support::copper::{State, component, observed, substance, third_order_only};
use support::recipes::{built_in, say, set};
use support::{assert_relative, assert_within};

/// The copper-edta bath with nothing but Cannizzaro going on, the alkali held.
fn alkaline_formaldehyde(numbers: &[(&str, f64)]) -> Recipe {
    let recipe = third_order_only(&built_in("copper-edta"));
    let recipe = set(&recipe, &[("gas_exchange.carbon_dioxide.open_surface_m2", 0.0)]);
    let words = [("ph_control.policy", "continuous"), ("operation.ph_reading", "hot")];
    set(&say(&recipe, &words), numbers)
}

/// Producer: closed form of a second-order decay, c = c0/(1 + k3 [OH-] c0 t), k3 0.01 L2/(mol2 min); and the
/// products, half a formate and half a methanol per formaldehyde.
#[test]
fn formaldehyde_decays_in_second_order_in_a_held_alkaline_solution() {
    let recipe = alkaline_formaldehyde(&[("operation.temperature_c", 25.0), ("operation.ph", 13.0)]);
    let model = recipe.model().expect("a model");
    let (tank, start) = (&model.tank, &model.fresh_totals_mol_l);
    let place = tank.bath.roles.reductant;
    for hours in [20.0, 100.0, 300.0] {
        let seconds = hours * SECONDS_PER_HOUR;
        let state = carry(tank, start, 0.0, seconds, 1e-10).unwrap_or_else(|error| panic!("{error}"));
        let balances = bathkin::tank::Balances::new(tank, start);
        let scale = balances.layout().scale();
        let end: Vec<f64> =
            (0..tank.bath.components()).map(|slot| state[slot] * scale[slot] / tank.plant.volume_l).collect();
        let hydroxide = |totals: &[f64]| {
            let mut speciation = tank.bath.equilibrium.speciation();
            speciation.solve(&tank.bath.equilibrium, totals, tank.operation.temperature_k).expect("solved");
            let mut dissolved = vec![0.0; tank.bath.equilibrium.substances()];
            speciation.dissolved_mol_l(&tank.bath.equilibrium, &mut dissolved);
            dissolved[substance(tank, "hydroxide")]
        };
        let (first, then) = (hydroxide(start), hydroxide(&end));
        assert_relative("the alkali is held", then, first, 0.01);
        let expected = start[place] / (1.0 + 0.01 / 60.0 * 0.5 * (first + then) * start[place] * seconds);
        assert_relative(format!("after {hours} h"), end[place], expected, 1e-3);
        let half = 0.5 * (start[place] - end[place]);
        for product in ["formate", "methanol"] {
            let slot = component(tank, product);
            assert_relative(product, end[slot] - start[slot], half, 1e-8);
        }
        assert_within("copper", end[tank.bath.roles.metal], start[tank.bath.roles.metal], 1e-12);
    }
}

/// Producer: 87 kJ/mol, by hand: exp(87e3/8.314 (1/298.15 - 1/308.15)) = 3.12.
#[test]
fn ten_degrees_make_cannizzaro_three_times_as_fast() {
    let recipe = third_order_only(&built_in("copper-edta"));
    let tank = &recipe.model().expect("a model").tank;
    let at = |kelvin: f64| {
        tank.bath.bulk[0].law.value(&State::of(tank, &[("methylene_glycol", 0.1)], 0.1, kelvin).conditions())
    };
    assert_within("factor", at(308.15) / at(298.15), 3.1, 0.05);
    assert_relative("k3/2 c^3, mol/(L s)", at(298.15), 0.01 / 60.0 / 2.0 * 1e-3, 1e-6);
    assert_eq!(tank.bath.bulk[0].law.value(&State::of(tank, &[], 0.1, 298.15).conditions()), 0.0);
}

/// The loss of formaldehyde, mol/(L s), of a built-in bath with some numbers changed.
fn loss(name: &str, numbers: &[(&str, f64)]) -> f64 {
    let recipe = set(&built_in(name), numbers);
    let tank = &recipe.model().expect("a model").tank;
    -observed(&recipe).made_mol_l_s(tank, tank.bath.roles.reductant)
}

/// Producer: the law in an abstract, third and fourth order in free formaldehyde and hydroxide; k4 is k3 per mol/L, so
/// their ratio is the free hydroxide in mol/L, and the loss the sum.
#[test]
fn cannizzaro_is_of_third_and_fourth_order() {
    for name in ["copper-edta", "copper-tartrate", "copper-tartrate-quiet", "copper-textbook"] {
        let recipe = built_in(name);
        let tank = &recipe.model().expect("a model").tank;
        let observed = observed(&recipe);
        let free = |name: &str| observed.dissolved_mol_l[substance(tank, name)];
        let [third, fourth] = observed.bulk_mol_l_s[..] else { panic!("{name}: two reactions") };
        assert_relative(name, fourth / third, free("hydroxide"), 1e-9);
        assert_eq!(tank.bath.bulk[0].liquid, tank.bath.bulk[1].liquid, "{name}: one reaction, two ways");
        // Both orders at once, by hand at 25 degC without the sodium: k3/2 [M]^2 [OH] (1 + [OH]/(mol/L)).
        let sodium = observed.totals_mol_l[component(tank, "sodium")];
        let by_sodium = (1.0 + sodium / (1.0 + sodium)) / (1.0 + 0.3 / 1.3);
        let arrhenius = (-87e3 / 8.314_462_618 * (1.0 / tank.operation.temperature_k - 1.0 / 298.15)).exp();
        let (glycol, hydroxide) = (free("methylene_glycol"), free("hydroxide"));
        let by_hand = 0.01 / 60.0 * glycol.powi(2) * hydroxide * (1.0 + hydroxide) * arrhenius * by_sodium;
        let lost = -observed.made_mol_l_s(tank, tank.bath.roles.reductant);
        assert_relative(format!("{name}: loss, mol/(L s)"), lost, by_hand, 1e-6);
    }
}

/// Producer: the abstract: the loss rises with sodium whatever its anion, here sulfate or chloride, 0.5 mol/L sodium;
/// the potassium salts make the ionic strength, so what is left is the sodium.
#[test]
fn sodium_speeds_cannizzaro_whatever_its_anion() {
    for (of_sodium, of_potassium, g_l) in [
        ("sodium_chloride_g_l", "potassium_chloride_g_l", (0.5 * 58.44, 0.5 * 74.55)),
        ("sodium_sulfate_anhydrous_g_l", "potassium_sulfate_g_l", (0.25 * 142.04, 0.25 * 174.26)),
    ] {
        let with = |salt: &str, g_l: f64| loss("copper-edta", &[(&format!("make_up.{salt}"), g_l)]);
        let faster = with(of_sodium, g_l.0) / with(of_potassium, g_l.1);
        assert!((1.05..1.25).contains(&faster), "{of_sodium}: {faster}");
    }
}
