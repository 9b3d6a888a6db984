//! What a turnover of copper uses, against an independent script.

use bathkin::recipe::Recipe;
use bathkin::study::Bath;

use support::copper::{component, observed, third_order_only};
use support::recipes::{built_in, gain, live, say, set};
use support::{Csv, assert_relative, assert_within};

/// A recipe whose pH is set so that the free hydroxide is this, mol/L.
fn at_hydroxide(recipe: &Recipe, wanted: f64) -> Recipe {
    let at = |ph: f64| set(recipe, &[("operation.ph", ph)]);
    let found = |recipe: &Recipe| {
        let bath: Bath = recipe.make_up().unwrap_or_else(|error| panic!("{error}"));
        bath.species().expect("species").into_iter().find(|(name, _)| name == "hydroxide").expect("it").1
    };
    let mut ph = 12.0;
    for _ in 0..8 {
        ph += (wanted / found(&at(ph))).log10();
    }
    let recipe = at(ph);
    assert_relative("hydroxide", found(&recipe), wanted, 1e-6);
    recipe
}

/// The bath of copper_per_turnover.csv: no tartrate term, no air.
fn bath_of_the_script(temperature_c: f64, hydroxide: f64, loading_dm2_l: f64) -> Recipe {
    let numbers = [
        ("operation.temperature_c", temperature_c),
        // The factor is one without tartrate, not at its reference of 0.05 mol/L.
        ("deposition.order.tartrate", 0.0),
        ("deposition.rate_mol_m2_s", 9.381_142e-5 * 0.05_f64.powf(0.06)),
        ("replenisher.reductant.tetrasodium_edta_tetrahydrate_g_l", 0.0),
        ("replenisher.reductant.potassium_sodium_tartrate_tetrahydrate_g_l", 0.0),
        ("replenisher.reductant.stabilizer_dn_mol_l", 0.0),
        ("gas_exchange.carbon_dioxide.open_surface_m2", 0.0),
        ("work.loading_dm2_l", loading_dm2_l),
        ("tank.bleed_per_turnover", 0.0),
    ];
    at_hydroxide(
        &say(&set(&third_order_only(&built_in("copper-edta")), &numbers), &[("operation.ph_reading", "hot")]),
        hydroxide,
    )
}

/// Producer: copper_per_turnover.csv, an independent script with 8.96 g/cm3 and round inputs. Surface and
/// liquid together, at make-up: half a unit of the last digit, and 1 % of what Cannizzaro adds.
#[test]
fn losses_per_copper_are_those_of_an_independent_script() {
    for row in Csv::reference("copper_per_turnover.csv").rows() {
        let (celsius, hydroxide) = (row.number("temperature_c"), row.number("hydroxide_mol_l"));
        let recipe = bath_of_the_script(celsius, hydroxide, row.number("loading_dm2_l"));
        let tank = &recipe.model().expect("a model").tank;
        let observed = observed(&recipe);
        let area_m2_l = row.number("loading_dm2_l") / 100.0;
        let made =
            |slot: usize| observed.made_mol_m2_s(tank, slot) * area_m2_l + observed.made_mol_l_s(tank, slot);
        let copper = -made(tank.bath.roles.metal);
        let what = |name: &str| format!("{name} at {celsius} degC, {hydroxide} mol/L");
        let used = -made(tank.bath.roles.reductant) / copper;
        let tolerance = |name: &str, stoichiometric: f64| {
            0.5 * row.last_digit(name) + 0.01 * (row.number(name) - stoichiometric)
        };
        assert_within(what("HCHO"), used, row.number("hcho_per_cu"), tolerance("hcho_per_cu", 2.0));
        let caustic = made(tank.bath.proton()) / copper;
        assert_within(what("NaOH"), caustic, row.number("naoh_per_cu"), tolerance("naoh_per_cu", 4.0));
        let formate = made(tank.bath.roles.by_product) / copper;
        assert_within(what("formate"), formate, 2.0 + (used - 2.0) / 2.0, 1e-12);
        let methanol = made(component(tank, "methanol")) / copper;
        assert_within(what("methanol"), methanol, (used - 2.0) / 2.0, 1e-12);
    }
}

/// Producer: the same table, through a pumped life of one turnover at 40 degC; 2 %, for the bath moves.
#[test]
fn a_pumped_turnover_uses_what_the_script_says() {
    let recipe = set(&bath_of_the_script(40.0, 0.043, 1.0), &[("limits.turnovers", 1.0)]);
    let pumps = [("replenishment.policy", "continuous"), ("ph_control.policy", "continuous")];
    let life = live(&say(&recipe, &pumps));
    assert_relative("HCHO", life.reductant_feed.used_per_metal_mol, 2.59, 0.02);
    let copper = recipe.model().expect("a model").tank.operation.set_points.metal_mol_l;
    let caustic = gain(&life, "ph_corrector_g_l") / 39.997 / copper;
    assert_relative("NaOH", caustic, 4.30, 0.03);
    assert_relative("formate", gain(&life, "formate_mol_l") / copper, 2.30, 0.02);
    assert_relative("hours", life.verdict.clock_h, 16.9, 0.03);
}

/// Producer: the same script with work in the tank for 40 % of the time and the bath hot throughout: 3.48 formaldehyde and 4.74
/// caustic per copper; 3 %, for the bath moves over the three days.
#[test]
fn a_tank_that_waits_hot_uses_what_the_script_says() {
    let numbers = [
        ("work.hours_per_day", 9.6),
        ("work.days_per_week", 7.0),
        ("life.longest_clock_h", 72.0),
        ("limits.turnovers", 10.0),
    ];
    let recipe = set(&bath_of_the_script(40.0, 0.043, 1.0), &numbers);
    let pumps = [("replenishment.policy", "continuous"), ("ph_control.policy", "continuous")];
    let life = live(&say(&recipe, &pumps));
    assert_relative("duty", life.verdict.plating_h / life.verdict.clock_h, 0.4, 1e-6);
    assert_relative("HCHO", life.reductant_feed.used_per_metal_mol, 3.48, 0.03);
    let copper = recipe.model().expect("a model").tank.operation.set_points.metal_mol_l;
    let caustic = gain(&life, "ph_corrector_g_l") / 39.997 / copper / life.verdict.turnovers_plated;
    assert_relative("NaOH", caustic, 4.74, 0.03);
}
