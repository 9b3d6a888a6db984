//! Baths that differ by next to nothing, carried side by side: their differences are derivatives.

use bathkin::life::{
    BareLoad, LogReplay, LoggedPh, LoggedSegment, Plates, plate_in_lockstep, replay, replayed,
};
use bathkin::surface::Start;
use bathkin::tank::{AlsoRead, METAL, Ramp, Tank};
use bathkin::{Model, deposit::Layer};

use support::recipes::{built_in, nickel_acid, power_law, say, set};
use support::{assert_relative, assert_within};

/// A model with a number moved by a part of itself.
fn moved(model: &Model, path: &str, part: f64) -> Model {
    let value = model.parameters().iter().find(|one| one.path == path).and_then(|one| one.value).expect(path);
    model.at(&[(path, value * (1.0 + part))], "the test").expect("a model")
}

/// Six hours of work in the tank, with additions that a free level takes an hour or two to evaporate.
fn course(tank: &Tank) -> Vec<LoggedSegment> {
    let stretch = |hour: u32| LoggedSegment {
        until_s: 3600.0 * f64::from(hour),
        plates: Plates::Area(1.5),
        temperature: Ramp::held(tank.operation.temperature_k),
        ph: None,
        row: Some(hour as usize),
        additions: if hour % 3 == 1 { vec![(METAL, 0.01 * tank.plant.volume_l)] } else { Vec::new() },
        water_l: 0.0,
        removed_l: 0.0,
    };
    (1..=6).map(stretch).collect()
}

/// Metal, pH, volume and rate at the end of the course in each model.
fn at_the_end(models: &[&Model], tolerance: f64) -> Vec<[f64; 4]> {
    let tanks: Vec<Tank> = models.iter().map(|model| replayed(&model.tank, LoggedPh::Additions)).collect();
    let baths: Vec<LogReplay> = models
        .iter()
        .zip(&tanks)
        .map(|(model, tank)| LogReplay { tank, totals_mol_l: &model.fresh_totals_mol_l })
        .collect();
    let mut found = vec![[0.0; 4]; models.len()];
    replay(&baths, &course(&tanks[0]), AlsoRead::default(), tolerance, &mut |_, bath, at| {
        let metal = at.bath.totals_mol_l[tanks[bath].bath.roles.metal];
        found[bath] = [metal, at.bath.ph, at.bath.volume_l(), at.bath.deposition_now_um_h];
    })
    .expect("a replay");
    found
}

/// Producer: baths carried alone at 1e-11, the number moved by a thousandth to both sides; 2e-6 of what the reading
/// itself would change by. Laws of free species, of ionic strength, of partial currents, gas from the air; numbers of laws,
/// of the make-up and of the plant.
#[test]
fn differences_of_baths_side_by_side_are_derivatives() {
    for (recipe, paths) in [
        (
            nickel_acid(),
            vec![
                "deposition.rate_mol_m2_s",
                "deposition.ionic_strength.constant_mol_l",
                "deposition.adsorption.adsorbate.hydroxide.constant_l_mol",
                "make_up.lactic_acid_g_l",
                "species.nickel_lactate_1.log_k_25c",
            ],
        ),
        (
            built_in("copper-edta"),
            vec![
                "deposition.rate_mol_m2_s",
                "gas_exchange.carbon_dioxide.film_m_h",
                "make_up.disodium_edta_dihydrate_g_l",
            ],
        ),
        (
            built_in("nickel-mixed-potential"),
            vec!["nickel_discharge.exchange_current_ma_cm2", "tank.drag_out_l_m2"],
        ),
    ] {
        let model = recipe.model().expect("a model");
        for path in paths.into_iter() {
            assert_derivatives(model, path, 2e-6);
        }
    }
}

/// Producer: as above. The water evaporates down to the float at an hour of its own in each bath; without that hour the
/// slopes of what follows are wrong by all that the float adds.
#[test]
fn the_derivatives_know_when_the_level_comes_to_the_float() {
    let free = say(&nickel_acid(), &[("tank.level", "free"), ("tank.water", "float")]);
    let free = set(&free, &[("tank.brim_l", 480.0), ("tank.evaporation_l_h", 3.0)]);
    let model = free.model().expect("a model");
    for path in ["tank.evaporation_l_h", "deposition.rate_mol_m2_s"] {
        assert_derivatives(model, path, 2e-6);
    }
}

#[track_caller]
fn assert_derivatives(model: &Model, path: &str, tolerance: f64) {
    let alone = |part: f64| at_the_end(&[&moved(model, path, part)], 1e-11)[0];
    let (low, high) = (alone(-1e-3), alone(1e-3));
    let beside = [&moved(model, path, -3e-5), &moved(model, path, 3e-5)];
    let together = at_the_end(&[model, beside[0], beside[1]], 1e-8);
    for reading in 0..4 {
        let expected = (high[reading] - low[reading]) / 2e-3;
        let found = (together[2][reading] - together[1][reading]) / 6e-5;
        let there = together[0][reading].abs();
        assert_within(
            format!("{path}: reading {reading}"),
            found,
            expected,
            tolerance * (there + expected.abs()),
        );
    }
}

fn load(model: &Model) -> BareLoad<'_> {
    BareLoad { tank: &model.tank, totals_mol_l: &model.fresh_totals_mol_l, start: Start::AT_ONCE }
}

/// Producer: all of the metal is on the work at the end, however fast it got there; the mass per mass of metal. With a
/// negative order the rate at that end is a thousand times what it was.
#[test]
fn a_bath_that_is_used_up_leaves_a_deposit_of_no_slope() {
    let words = [("deposition.order.nickel", -1.1), ("make_up.sodium_hypophosphite_monohydrate_g_l", 45.0)];
    let recipe = set(&power_law(), &words);
    let model = recipe.model().expect("a model");
    let sides =
        [moved(model, "deposition.rate_mol_m2_s", -3e-5), moved(model, "deposition.rate_mol_m2_s", 3e-5)];
    let loads = [load(model), load(&sides[0]), load(&sides[1])];
    let layers: Vec<Layer> = plate_in_lockstep(&loads, 400.0, 600.0, 1e-8).expect("plated");
    let metal_g =
        model.tank.bath.metal_g_l(model.tank.operation.set_points.metal_mol_l) * model.tank.plant.volume_l;
    assert_relative("metal plated", layers[0].metal_g, metal_g, 1e-6);
    let slope = (layers[2].metal_g - layers[1].metal_g) / 6e-5 / metal_g;
    assert_within("slope", slope, 0.0, 1e-4);
}
