//! A bath that was not fresh when its log began, and rows in which the electrode was calibrated.

use bathkin::Recipe;
use bathkin::tank::Quantity;
use bathkin_fit::data::Sheet;
use bathkin_fit::{Data, DataError, RecipeFitOptions, fit_recipe};

use support::fits::{RATE, asked, calculated, sheet, some};

fn recipe() -> Recipe {
    Recipe::built_in("nickel-acid").expect("built in")
}

/// Two rows: what the first says of the past, and readings of by-product and sulfate in the second.
fn log(first: Vec<(&str, f64)>) -> Sheet {
    let mut columns = vec![
        ("time_h", some(&[0.0, 0.01])),
        ("orthophosphite_mol_l", vec![None, Some(1.0)]),
        ("sulfate_mol_l", vec![None, Some(1.0)]),
        ("specific_gravity", vec![None, Some(1.1)]),
    ];
    for (name, value) in first {
        match columns.iter_mut().find(|(known, _)| *known == name) {
            Some((_, cells)) => cells[0] = Some(value),
            None => columns.push((name, vec![Some(value), None])),
        }
    }
    sheet("log.csv", columns)
}

/// By-product and sulfate (mol/L) and specific gravity at the second row.
fn second(first: Vec<(&str, f64)>) -> [f64; 3] {
    let (model, values) = calculated(&recipe(), &[Data::Log(log(first))], &asked(&[RATE]));
    let of = |name: &str| {
        let named = model.observed().zip(&values).filter(|((column, ..), _)| *column == name);
        named.last().map_or(f64::NAN, |(_, value)| *value)
    };
    [of("orthophosphite_mol_l"), of("sulfate_mol_l"), of("specific_gravity")]
}

/// Producer: the life of the recipe itself, which the log joins at that age.
#[test]
fn turnovers_of_the_first_row_are_those_of_the_recipes_life() {
    let model = recipe().model().expect("resolves").clone();
    let names = model.tank.bath.equilibrium.component_names();
    let sulfate = names.iter().position(|name| name == "sulfate").expect("sulfate");
    let by_product = model.tank.bath.roles.by_product;
    let life = model.totals_at_mol_l(Quantity::TURNOVERS, 3.0).expect("a life");
    let found = second(vec![("turnovers", 3.0)]);
    assert!((found[0] / life[by_product] - 1.0).abs() < 1e-3, "{found:?}");
    assert!((found[1] / life[sulfate] - 1.0).abs() < 1e-3, "{found:?}");
    // A fresh bath has neither.
    let fresh = second(vec![]);
    assert!(fresh[0] < 1e-3 && fresh[1] < 0.5 * found[1], "{fresh:?} and {found:?}");
    assert_eq!(second(vec![("turnovers", 0.0)]), fresh);
    // By-product or density alone tell the same age, and with it the sulfate.
    for told in [("orthophosphite_mol_l", life[by_product]), ("specific_gravity", found[2])] {
        let other = second(vec![told]);
        assert!((other[1] / found[1] - 1.0).abs() < 0.02, "{told:?}: {other:?} and not {found:?}");
    }
    // A reading of the row counts beside the turnovers.
    let both = second(vec![("turnovers", 3.0), ("orthophosphite_mol_l", 0.5)]);
    assert!((both[0] / 0.5 - 1.0).abs() < 1e-2 && (both[1] / found[1] - 1.0).abs() < 1e-3, "{both:?}");
}

/// Producer: the life of the recipe itself, whose clock is at that age when it has made so many turnovers.
#[test]
fn an_age_by_the_clock_is_that_of_the_recipes_calendar() {
    let model = recipe().model().expect("a model").clone();
    let by_product = model.tank.bath.roles.by_product;
    let aged = model.totals_at_mol_l(Quantity::CLOCK_H, 120.0).expect("an age")[by_product];
    let [after, ..] = second(vec![("age_h", 120.0)]);
    assert!(aged > 0.5 && (after / aged - 1.0).abs() < 1e-2, "{after} and not {aged}");
}

#[test]
fn an_age_the_bath_never_gets_to_is_refused() {
    let options = RecipeFitOptions { specification: asked(&[RATE]), ..RecipeFitOptions::default() };
    let told = |turnovers| {
        let data = [Data::Log(log(vec![("turnovers", turnovers)]))];
        fit_recipe(&recipe(), &data, &options).unwrap_err()
    };
    let DataError::Cell { row: 1, column, expected, .. } = told(400.0) else { unreachable!("a cell") };
    assert_eq!(column, "turnovers");
    assert!(expected.contains("an age that a bath of this recipe gets to"), "{expected}");
    assert!(told(-1.0).to_string().contains("turnovers = -1: expected zero or more turnovers"));
}
