//! A surface somewhat faster, or ageing otherwise. Producers: the recipe's own law, and differences of it.

use bathkin::Recipe;
use bathkin::surface::{Conditions, Kinetics};
use bathkin::tank::Tank;

fn tank(name: &str) -> (Tank, Vec<f64>) {
    let recipe = Recipe::built_in(name).expect("built in");
    let model = recipe.model().expect("a model");
    (model.tank.clone(), model.fresh_totals_mol_l.clone())
}

/// Conditions with the free species taken as a hundredth of the totals: the laws alone are compared.
fn with<T>(tank: &Tank, totals: &[f64], look: impl FnOnce(&Conditions) -> T) -> T {
    let mut dissolved = vec![1e-8; tank.bath.equilibrium.substances()];
    dissolved.iter_mut().zip(totals).for_each(|(free, total)| *free = 0.01 * total);
    look(&Conditions {
        temperature_k: tank.operation.temperature_k,
        ph: tank.operation.set_points.ph,
        ionic_strength_mol_l: 1.0,
        totals_mol_l: totals,
        dissolved_mol_l: &dissolved,
    })
}

/// Rates of all half-reactions.
fn rates(tank: &Tank, laws: &Kinetics, totals: &[f64]) -> Vec<f64> {
    let mut rates = vec![0.0; tank.bath.reactions.len()];
    with(tank, totals, |at| laws.rates(at, &mut rates));
    rates
}

#[test]
fn a_faster_surface_is_faster_by_the_factor_in_every_half_reaction() {
    for name in ["nickel-acid", "nickel-mixed-potential", "copper-tartrate"] {
        let (tank, totals) = tank(name);
        let (plain, faster) = (
            rates(&tank, &tank.bath.kinetics, &totals),
            rates(&tank, &tank.bath.kinetics.times(1.3), &totals),
        );
        for (plain, faster) in plain.iter().zip(&faster) {
            assert!(
                (faster - 1.3 * plain).abs() <= 1e-9 * plain.abs().max(1e-12),
                "{name}: {plain} {faster}"
            );
        }
    }
}

/// More hydrogen takes more reductant per metal, and leaves the metal as it was.
#[test]
fn side_reactions_leave_the_metal_as_it_is() {
    let (tank, totals) = tank("nickel-acid");
    let metal = tank.bath.kinetics.metal();
    let plain = rates(&tank, &tank.bath.kinetics, &totals);
    let more = rates(&tank, &tank.bath.kinetics.side_reactions_times(1.5), &totals);
    assert_eq!(plain[metal], more[metal]);
    let named = |name: &str| {
        let reactions = tank.bath.kinetics.half_reactions();
        reactions.iter().position(|reaction| reaction.name == name).expect("it has one")
    };
    let hydrogen = named("hydrogen");
    assert!((more[hydrogen] / plain[hydrogen] - 1.5).abs() < 1e-12);
    // Two electrons each: r_ox grows by half of the hydrogen.
    let oxidation = named("oxidation");
    assert!((more[oxidation] - plain[oxidation] - 0.5 * plain[hydrogen]).abs() < 1e-12 * plain[oxidation]);
}

/// The rival form starts as the recipe does: same rate, same slope by the by-product, in an unused bath.
#[test]
fn the_exponential_form_ages_as_the_recipe_does_at_first() {
    let (tank, mut totals) = tank("nickel-acid");
    let by_product = tank.bath.roles.by_product;
    let of = |at: &Conditions| tank.bath.kinetics.with_exponential_ageing(by_product, at);
    let rival = with(&tank, &totals, of).expect("it ages");
    let metal = tank.bath.kinetics.metal();
    let ln = |laws: &Kinetics, totals: &[f64]| rates(&tank, laws, totals)[metal].ln();
    let fresh = (ln(&tank.bath.kinetics, &totals), ln(&rival, &totals));
    assert!((fresh.0 - fresh.1).abs() < 1e-12, "{fresh:?}");
    totals[by_product] += 1e-5;
    let (own, other) = (ln(&tank.bath.kinetics, &totals) - fresh.0, ln(&rival, &totals) - fresh.1);
    assert!(own < 0.0 && (own / other - 1.0).abs() < 1e-4, "{own} {other}");
    // Later it falls further: 1/(1 + x) lies above exp(-x).
    totals[by_product] = 1.5;
    assert!(ln(&rival, &totals) < ln(&tank.bath.kinetics, &totals));
    assert!(!rival.ageing_times(by_product, 2.0).eq(&rival));
}
