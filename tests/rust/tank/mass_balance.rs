//! The mass balance of a run: an imbalance of any kind is refused, wherever it comes from.

use bathkin::Error;
use bathkin::life::simulate::fresh_state;
use bathkin::life::{Limit, Settings, simulate};
use bathkin::recipe::Recipe;
use bathkin::tank::accounts::{ALLOWED_RESIDUAL, Accounts};
use bathkin::tank::{Balances, METAL, PH, Quantity, Tank, Volume};

use support::recipes::{nickel_acid, pumped, without_limits};

/// The bath of the test and its totals.
fn bath() -> (Tank, Vec<f64>) {
    let recipe: Recipe = pumped(&without_limits(&nickel_acid()));
    let model = recipe.model().expect("a model");
    (model.tank.clone(), model.fresh_totals_mol_l.clone())
}

/// What of the mass balance a change of the amounts upsets, by how much.
fn upset(change: impl Fn(&Balances, &mut [f64])) -> Result<(f64, String), Error> {
    let (tank, totals) = bath();
    let balances = Balances::new(&tank, &totals);
    let layout = balances.layout();
    let unscaled = |state: &[f64]| -> Vec<f64> {
        state.iter().zip(layout.scale()).map(|(value, scale)| value * scale).collect()
    };
    let mut amounts = unscaled(&fresh_state(&balances, &totals));
    let accounts = Accounts::open(&tank, layout, &amounts);
    change(&balances, &mut amounts);
    accounts.check(&tank, layout, &amounts, 7200.0)
}

/// Producer: a balance. Metal from nowhere is an imbalance of its element, a proton of the charge (its hydrogen is
/// lost in that of the water), water not poured of the volume; each is named, with its size and hour.
#[test]
fn an_imbalance_of_every_kind_is_named() {
    assert!(upset(|_, _| ()).expect("closed").0 < 1e-15);
    let part = 100.0 * ALLOWED_RESIDUAL;
    let refused = |what: &str, change: &dyn Fn(&Balances, &mut [f64])| {
        let error = upset(change).expect_err(what);
        let Error::Balance { worst: named, residual, allowed, time_h } = &error else { panic!("{error}") };
        assert_eq!((named.as_str(), *allowed, *time_h), (what, ALLOWED_RESIDUAL, 2.0));
        assert!(*residual > ALLOWED_RESIDUAL && *residual < 1e3 * ALLOWED_RESIDUAL, "{what}: {residual}");
    };
    refused("Ni", &|balances, amounts| {
        let metal = balances.tank().bath.roles.metal;
        let moles = part * amounts[metal];
        amounts[metal] += moles;
        // Its charge taken by protons, so that nickel alone is out.
        amounts[balances.tank().bath.proton()] -= 2.0 * moles;
    });
    refused("charge", &|balances, amounts| {
        let ionic: f64 =
            amounts.iter().zip(balances.tank().bath.liquid.iter()).map(|(n, of)| (n * of.charge).abs()).sum();
        amounts[balances.tank().bath.proton()] += part * ionic;
    });
    refused("volume", &|balances, amounts| {
        let bath = balances.layout().volume(Volume::Bath);
        amounts[bath] *= 1.0 + part;
    });
    // Every element by itself: what went into the deposit and the gas counts.
    refused("P", &|balances, amounts| {
        let phosphorus =
            balances.tank().bath.deposited.iter().position(|of| of.symbol() == "P").expect("phosphorus");
        let reductant = amounts[balances.tank().bath.roles.reductant];
        amounts[balances.layout().deposited().start + phosphorus] += part * reductant;
    });
    let nan = upset(|balances, amounts| amounts[balances.tank().bath.roles.metal] = f64::NAN);
    assert!(matches!(nan, Err(Error::Balance { .. })), "{nan:?}");
}

/// Runs half a turnover of a tank that somebody broke.
fn run(tank: &Tank, totals: &[f64]) -> Result<(), Error> {
    let end = Limit::on(tank, Quantity::TURNOVERS, 0.5);
    simulate(tank, totals, &[end], &Settings::default(), &mut |_| true).map(|_| ())
}

/// Producer: the same, in a run. A reaction that makes an element, a solution with more cations than anions, and a
/// deposit that takes along what the liquid does not lose are each refused; the sound tank runs.
#[test]
fn a_run_whose_books_do_not_close_is_refused() {
    let (sound, totals) = bath();
    run(&sound, &totals).expect("a sound tank");
    let refused = |what: &str, tank: &Tank| {
        let error = run(tank, &totals).expect_err(what);
        let Error::Balance { worst: named, .. } = &error else { panic!("{what}: {error}") };
        assert_eq!(named, what, "{error}");
        assert!(!error.is_input());
    };
    let mut tank = sound.clone();
    let mut reactions = tank.bath.reactions.to_vec();
    // An atom of nickel in each made from nothing, and no charge with it.
    reactions[sound.bath.kinetics.metal()].deposit.push((sound.bath.metal_element, 1e-6));
    tank.bath.reactions = reactions.into();
    refused("Ni", &tank);

    let mut tank = sound.clone();
    tank.operation.replenishers[METAL].per_litre[sound.bath.proton()] += 1e-5;
    refused("charge", &tank);

    let mut tank = sound.clone();
    tank.operation.replenishers[PH].per_litre[sound.bath.proton()] -= 1e-3;
    refused("charge", &tank);
}
