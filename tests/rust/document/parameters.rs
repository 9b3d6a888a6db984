//! The dictionary of numbers: a model at another value of one is the recipe resolved with that value.

use std::collections::BTreeSet;

use bathkin::document::{Dependence, Document, Role, Value};
use bathkin::model::Parameter;
use bathkin::{Flag, Model, Recipe};
use rayon::prelude::*;

/// Relative difference at which two numbers are the same.
const SAME: f64 = 1e-12;

/// The numbers of a text, and what stands between them.
fn parts(text: &str) -> Vec<Result<f64, String>> {
    let word = |c: char| c.is_alphanumeric() || "._+-".contains(c);
    let read = |part: &str| part.parse::<f64>().map_err(|_| part.to_owned());
    text.split_inclusive(|c| !word(c)).map(|part| read(part.trim_end_matches(|c| !word(c)))).collect()
}

fn same(one: &str, other: &str) -> Result<(), String> {
    let (one, other) = (parts(one), parts(other));
    if one.len() != other.len() {
        return Err(format!("{} parts against {}", one.len(), other.len()));
    }
    for (a, b) in one.iter().zip(&other) {
        let equal = match (a, b) {
            (Ok(a), Ok(b)) => {
                (a - b).abs() <= SAME * a.abs().max(b.abs()) || a == b || a.is_nan() && b.is_nan()
            }
            _ => a == b,
        };
        if !equal {
            return Err(format!("{a:?} against {b:?}"));
        }
    }
    Ok(())
}

/// What a model says of everything that can follow from a number; the equilibrium only where a constant moves it.
fn told(model: &Model, equilibrium: bool) -> String {
    let mut flags: Vec<&Flag> = model.flags.iter().collect();
    flags.sort_by(|a, b| (&a.r#where, &a.what).cmp(&(&b.r#where, &b.what)));
    let tank = &model.tank;
    let laws = (
        &tank.bath.kinetics,
        &tank.bath.bulk,
        &tank.bath.decomposition,
        &tank.bath.film,
        &tank.plant.exchanges,
        &tank.bath.density,
    );
    let run = (
        &tank.plant.level,
        &tank.operation.programme,
        &tank.operation.work,
        &tank.operation.drag_out,
        &tank.operation.policies,
        tank.operation.ph_corrector_g_l,
    );
    let at = (
        tank.plant.volume_l,
        tank.operation.temperature_k,
        tank.operation.set_points,
        tank.bath.hydroxide,
        tank.operation.bleed_l_h,
    );
    let lost = (
        tank.plant.evaporation_l_h,
        tank.operation.bleed_per_turnover,
        tank.operation.drag_in_l_m2,
        tank.plant.open_surface_m2,
    );
    let fed = (
        &tank.operation.replenishers,
        &tank.operation.feeds,
        &tank.operation.events,
        tank.operation.water_interval_s,
    );
    let made_up = (&model.fresh_totals_mol_l, &model.make_up_g_l, &model.ph_adjustment);
    let ends = (
        &model.limits,
        &model.limits_of_other_work,
        &model.tank.operation.cost,
        &model.warnings,
        &model.settings,
    );
    let liquid = equilibrium.then_some(&tank.bath.equilibrium);
    format!("{laws:?} {run:?} {at:?} {lost:?} {fed:?} {made_up:?} {ends:?} {liquid:?} {flags:?}")
}

/// The document of a recipe with another value, read as if no model of it were known.
fn resolved(recipe: &Recipe, path: &str, value: f64) -> Result<Model, bathkin::Error> {
    let fresh = Recipe::built_in(&recipe.document().file).expect("built in");
    fresh.with(path, Value::Number(value), "test").model().cloned()
}

/// A value close by that its bounds take.
fn moved(parameter: &Parameter, value: f64) -> f64 {
    let up = if value == 0.0 { 1e-3 } else { value * 1.01 };
    if parameter.bounds.allow(up) { up } else { value * 0.99 }
}

/// Moves each number whose path is not known yet; gives how many it moved.
fn check(name: &str, known: &mut BTreeSet<String>) -> usize {
    let recipe = Recipe::built_in(name).expect("built in");
    let base = recipe.model().expect("resolved");
    let listed = base.parameters();
    let new: Vec<(&Parameter, f64)> = listed
        .iter()
        .filter_map(|parameter| Some((parameter, parameter.value?)))
        .filter(|(parameter, _)| known.insert(parameter.path.clone()))
        .collect();
    let offences: Vec<String> = new
        .par_iter()
        .filter_map(|(parameter, value)| {
            let value = moved(parameter, *value);
            let constant = parameter.role == Role::Constant;
            let by = [(parameter.path.as_str(), value)];
            let offence = match (base.at(&by, "test"), resolved(&recipe, &parameter.path, value)) {
                (Ok(at), Ok(resolved)) => same(&told(&at, constant), &told(&resolved, constant)).err(),
                (Err(at), Err(resolved)) => {
                    let (at, resolved) = (at.to_string(), resolved.to_string());
                    (at != resolved).then(|| format!("{at} against {resolved}"))
                }
                (at, resolved) => Some(format!("{:?} against {:?}", at.err(), resolved.err())),
            };
            offence.map(|what| format!("{name}: {} = {value}: {what}", parameter.path))
        })
        .collect();
    assert!(offences.is_empty(), "{}", offences.join("\n"));
    new.len()
}

/// Every number of the built-in recipes, a hundredth up in the first that has it: to 1e-12, warnings included.
#[test]
fn a_model_at_a_value_is_the_recipe_resolved_with_it() {
    let mut known = BTreeSet::new();
    let counted: usize = Recipe::built_in_names().map(|name| check(name, &mut known)).sum();
    assert!(counted > 800, "{counted}");
}

/// Numbers moved one after the other, and back.
#[test]
fn what_was_moved_before_stays_moved() {
    let recipe = Recipe::built_in("nickel-acid").expect("built in");
    let steps = [
        ("deposition.activation_energy_kj_mol", 60.0),
        ("operation.ph", 5.0),
        ("species.nickel_lactate_1.log_k_25c", 1.7),
        ("deposition.rate_mol_m2_s", 6e-4),
        ("operation.temperature_c", 80.0),
    ];
    let set = |recipe: &Recipe, (path, value): &(&str, f64)| recipe.with(path, Value::Number(*value), "test");
    let fresh = steps.iter().fold(recipe.clone(), |recipe, step| set(&recipe, step));
    let mut stepwise = recipe;
    for step in &steps {
        stepwise.model().expect("resolved");
        stepwise = set(&stepwise, step);
    }
    let of = |recipe: &Recipe| told(recipe.model().expect("resolved"), true);
    same(&of(&stepwise), &of(&fresh)).expect("the same");
}

/// Every number a built-in recipe sets is in the dictionary, with bounds that take it.
#[test]
fn every_number_of_a_recipe_is_declared() {
    for name in Recipe::built_in_names() {
        let recipe = Recipe::built_in(name).expect("built in");
        let listed = recipe.model().expect("resolved").parameters();
        let numbers = |document: &Document| -> Vec<(String, f64)> {
            let entries = document.entries().iter();
            entries
                .filter_map(|entry| match entry.value {
                    Value::Number(value) => Some((entry.path.clone(), value)),
                    _ => None,
                })
                .collect()
        };
        for (path, value) in numbers(recipe.document()) {
            let own = ["substrates.", "species.", "sit.", "volumes.", "solids.", "components.", "reagents."];
            // A law by the free form of a component has no use for the reference of its total.
            if own.iter().any(|table| path.starts_with(table)) || path.contains(".reference_") {
                continue;
            }
            let parameter = listed.iter().find(|one| one.path == path);
            let parameter = parameter.unwrap_or_else(|| panic!("{name}: {path} is not declared"));
            assert!(parameter.bounds.allow(value), "{name}: {path} = {value}: {}", parameter.bounds);
            assert_eq!(parameter.value, Some(value), "{name}: {path}");
        }
    }
}

/// A model at another constant has an equilibrium of its own, which heeds what the model heeded.
#[test]
fn a_model_at_other_numbers_heeds_the_same_stop() {
    let stop = bathkin::Stop::default();
    let recipe = Recipe::built_in("nickel-acid").expect("built in").heeding(&stop);
    let model = recipe.model().expect("a model");
    let moved = model.at(&[("species.nickel_lactate_1.log_k_25c", 2.3)], "test").expect("a model");
    let solved = || {
        let equilibrium = &moved.tank.bath.equilibrium;
        let mut speciation = equilibrium.speciation();
        speciation.solve(equilibrium, &moved.fresh_totals_mol_l, moved.tank.operation.temperature_k)
    };
    assert!(solved().is_ok());
    stop.ask();
    assert!(matches!(solved(), Err(bathkin::Error::Stopped)));
}

/// Headings are texts of the author's own, with dots and brackets in them.
#[test]
fn a_recipe_has_a_map_of_the_headings_of_its_logs() {
    let text = "\n[log.columns]\n\"Ni % of set point\" = \"nickel_pct_of_set_point\"\n\"Temp. (F)\" = \"temperature (degF)\"\n";
    let built_in = Recipe::built_in("nickel-acid").expect("built in");
    let recipe = Recipe::from_toml("own.toml", &format!("{}{text}", built_in.text())).expect("reads");
    let columns = &recipe.model().expect("resolves").log.columns;
    assert_eq!(bathkin::model::LogSettings::columns_as_toml(columns), text.trim_start());
    let wrong = format!("{}\n[log.columns]\n\"Ni\" = 3\n", built_in.text());
    let error = Recipe::from_toml("own.toml", &wrong).expect("reads").model().unwrap_err().to_string();
    assert!(error.contains("log.columns.Ni = 3: expected a text"), "{error}");
    let unknown = format!("{}\n[log]\ncolums = 3\n", built_in.text());
    let error = Recipe::from_toml("own.toml", &unknown).expect("reads").model().unwrap_err().to_string();
    assert!(error.contains("log.colums"), "{error}");
}

/// Only data in which temperature, pH or a concentration varies determine these, so fits ask for it by kind.
#[test]
fn a_number_that_makes_a_law_depend_on_something_says_on_what() {
    let recipe = Recipe::built_in("nickel-acid").expect("built in");
    let model = recipe.model().expect("resolves");
    let dependence =
        |path: &str| model.declaration(path).unwrap_or_else(|| panic!("{path}")).bounds.dependence;
    for (path, kind) in [
        ("deposition.activation_energy_kj_mol", Some(Dependence::Temperature)),
        ("deposition.ph_order", Some(Dependence::Ph)),
        ("deposition.order.hypophosphite", Some(Dependence::Order)),
        ("deposition.ionic_strength.exponent", Some(Dependence::Exponent)),
        ("operation.apparent_activation_energy_kj_mol", None),
        ("operation.ph", None),
        ("deposition.reference_temperature_c", None),
    ] {
        assert_eq!(dependence(path), kind, "{path}");
    }
    for name in Recipe::built_in_names() {
        let recipe = Recipe::built_in(name).expect("built in");
        let model = recipe.model().expect("resolves");
        let own = |one: &&Parameter| one.role == Role::Law;
        for one in model.parameters().iter().filter(own) {
            let slope = model.declaration(&one.path).and_then(|told| told.bounds.dependence);
            let energy = one.path.ends_with(".activation_energy_kj_mol");
            assert_eq!(slope == Some(Dependence::Temperature), energy, "{name}: {}", one.path);
            let order = one.path.contains(".order.");
            assert_eq!(slope == Some(Dependence::Order), order, "{name}: {}", one.path);
        }
    }
}
