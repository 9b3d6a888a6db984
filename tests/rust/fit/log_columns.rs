//! Columns of a log in the words of a shop: per cent of set-point, salts, symbols, its own names of solutions.

use bathkin::Recipe;
use bathkin_fit::data::Sheet;
use bathkin_fit::{Data, RecipeFitOptions, fit_recipe};

use support::fits::{RATE, asked, calculated, sheet, some};

const HOURS: [f64; 3] = [0.0, 2.0, 4.0];

fn recipe() -> Recipe {
    Recipe::built_in("nickel-acid").expect("built in")
}

fn log(columns: Vec<(&str, Vec<Option<f64>>)>) -> Sheet {
    let mut all = vec![("time_h", some(&HOURS)), ("area_in_tank_dm2", some(&[0.0, 100.0, 100.0]))];
    all.extend(columns);
    sheet("log.csv", all)
}

/// Readings as the recipe's own numbers have them.
fn values(columns: Vec<(&str, Vec<Option<f64>>)>) -> Vec<f64> {
    calculated(&recipe(), &[Data::Log(log(columns))], &asked(&[RATE])).1
}

#[track_caller]
fn same(a: &[f64], b: &[f64], times: f64) {
    assert_eq!((a.len(), b.len()), (3, 3));
    for (a, b) in a.iter().zip(b) {
        assert!((a / (b * times) - 1.0).abs() < 1e-5, "{a} and not {b} times {times}");
    }
}

fn refused(columns: Vec<(&str, Vec<Option<f64>>)>) -> String {
    let options = RecipeFitOptions { specification: asked(&[RATE]), ..RecipeFitOptions::default() };
    fit_recipe(&recipe(), &[Data::Log(log(columns))], &options).unwrap_err().to_string()
}

/// Producer: the same amounts told otherwise; grams of salt and of nickel by the molar masses 262.8477 and 58.6934.
#[test]
fn a_reading_is_the_same_in_grams_in_per_cent_and_by_its_symbol() {
    let tank = &recipe().model().expect("resolves").tank.clone();
    let made_up = tank.operation.set_points.metal_mol_l * 58.6934;
    let nickel: Vec<Option<f64>> = some(&[made_up, 0.95 * made_up, 0.9 * made_up]);
    let in_grams = values(vec![("nickel_g_l", nickel.clone())]);
    same(&values(vec![("ni_g_l", nickel)]), &in_grams, 1.0);
    let share = values(vec![("nickel_pct_of_set_point", some(&[100.0, 95.0, 90.0]))]);
    same(&share, &in_grams, 100.0 / made_up);
    let of_metal = values(vec![("metal_pct_of_set_point", some(&[100.0, 95.0, 90.0]))]);
    same(&of_metal, &share, 1.0);
    let weighed = made_up * 262.8477 / 58.6934;
    let salt = some(&[weighed, 0.95 * weighed, 0.9 * weighed]);
    let as_salt = values(vec![("nickel_sulfate_hexahydrate_g_l", salt)]);
    same(&as_salt, &in_grams, weighed / made_up);
}

#[test]
fn what_has_no_set_point_and_what_grams_may_mean_is_told() {
    let lactate = refused(vec![("lactate_pct_of_set_point", some(&[100.0, 95.0, 90.0]))]);
    assert!(lactate.contains("lactate has no set-point in this recipe"), "{lactate}");
    let hypo = refused(vec![("hypo_g_l", some(&[25.0, 24.0, 23.0]))]);
    assert!(hypo.contains("sodium_hypophosphite_monohydrate_g_l"), "{hypo}");
}

/// A replenisher under the recipe's own name for it, in litres and in mL per litre of bath.
#[test]
fn the_shop_calls_its_replenishers_as_the_recipe_does() {
    let text = recipe().text().replace("name = \"nickel replenisher\"", "name = \"Make-up B\"");
    let own = Recipe::from_toml("own.toml", &text).expect("reads");
    let litres = own.model().expect("resolves").tank.plant.volume_l;
    let nickel = |added: (&str, Vec<Option<f64>>)| {
        let log = log(vec![("nickel_g_l", some(&[6.0, 6.0, 6.0])), added]);
        calculated(&own, &[Data::Log(log)], &asked(&[RATE])).1
    };
    let by_role = nickel(("metal_l", some(&[0.0, 1.0, 0.0])));
    same(&nickel(("make_up_b_l", some(&[0.0, 1.0, 0.0]))), &by_role, 1.0);
    same(&nickel(("make_up_b_ml_l", some(&[0.0, 1e3 / litres, 0.0]))), &by_role, 1.0);
    let other = refused(vec![("make_up_b_l", some(&[0.0, 1.0, 0.0]))]);
    assert!(other.contains("make_up_b_l"), "{other}");
}
