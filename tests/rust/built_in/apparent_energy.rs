//! The activation energy of every built-in card against the one it states, over its own range of temperature.

use bathkin::Recipe;
use bathkin::study::Notation;

use support::recipes::{built_in, set};
use support::{assert_relative, assert_within};

/// Producer: the card itself, which says where its figure is from: within 5 kJ/mol of what its rates show, the bath run as it says.
#[test]
fn every_card_shows_the_energy_it_states() {
    for name in Recipe::built_in_names() {
        let energy = built_in(name).apparent_activation_energy().expect("a bath").expect("a range");
        let stated = energy.stated_kj_mol.unwrap_or_else(|| panic!("{name} states no energy"));
        assert_within(format!("{name}: {energy}"), energy.as_run_kj_mol, stated, 5.0);
    }
}

/// Producer: by hand, R ln(r2/r1)/(1/T1 - 1/T2) of the rates at the ends.
#[test]
fn it_is_the_arrhenius_line_through_both_ends() {
    let bath = built_in("copper-tartrate");
    let at = |celsius: f64| {
        let there = set(&bath, &[("operation.temperature_c", celsius)]).make_up().expect("a bath");
        there.rate().expect("a rate").deposition_um_h
    };
    let energy = bath.apparent_activation_energy().expect("a bath").expect("a range");
    assert_eq!((energy.low_c, energy.high_c), (20.0, 35.0));
    let by_hand = 8.314_462_618e-3 * (at(35.0) / at(20.0)).ln() / (1.0 / 293.15 - 1.0 / 308.15);
    assert_relative("kJ/mol", energy.as_run_kj_mol, by_hand, 1e-9);
}

/// A law without other terms in the temperature shows its own energy; what is held is said.
#[test]
fn what_is_held_is_said() {
    let hot = set(&built_in("cobalt-hypophosphite"), &[("deposition.activation_energy_kj_mol", 80.0)]);
    let energy = hot.apparent_activation_energy().expect("a bath").expect("a range");
    assert_within("kJ/mol", energy.as_run_kj_mol, 80.0, 1e-3);
    assert_eq!(energy.held, "the pH in the bath at its temperature");
    let cooled = built_in("copper-tartrate").apparent_activation_energy().expect("a bath").expect("a range");
    assert_eq!(cooled.held, "the make-up with its acid or alkali");
    let written = built_in("copper-tartrate").equations(Notation::Text).expect("equations").apparent_energy;
    assert!(written.contains("(60 stated), the make-up with its acid or alkali held"), "{written}");
}

/// Producer: the isocoulombic estimate and its width: +-15 kJ/mol in the ionisation of methylene glycol are +-11 here.
#[test]
fn the_energy_depends_on_the_heat_of_ionisation() {
    let at = |kj_mol: f64| {
        let bath =
            set(&built_in("copper-tartrate"), &[("species.methylene_glycolate.enthalpy_kj_mol", kj_mol)]);
        bath.apparent_activation_energy().expect("a bath").expect("a range").as_run_kj_mol
    };
    assert_within("per 30 kJ/mol", at(55.0) - at(25.0), 22.0, 1.0);
}
