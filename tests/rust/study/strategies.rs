//! Bleeds, partial dumps and strategies over a horizon, against closed forms.

use bathkin::Error;
use bathkin::study::{Horizon, Strategy};

use support::recipes::{bath_of_p20, column, last, live, molar_mass, nickel_acid, power_law, say, set};
use support::{assert_relative, assert_within};

/// Producer: closed form, m and m (1 - exp(-b n))/b for n = 8 turnovers of plated metal: 168.094 and
/// 138.543 g/L as H2PO3- with no loss and 5 % per turnover, made at 21.0117 g/L per turnover.
#[test]
fn orthophosphite_after_eight_turnovers_with_and_without_loss() {
    let one = live(&set(&bath_of_p20(), &[("limits.turnovers", 1.0)]));
    let eight = 8.0 * one.verdict.area_m2 / one.verdict.turnovers_plated;
    for (loss, expected) in [(0.0, 168.094), (0.05, 138.543)] {
        let life = live(&set(
            &bath_of_p20(),
            &[("tank.bleed_per_turnover", loss), ("limits.area_m2", eight), ("limits.turnovers", 40.0)],
        ));
        assert_eq!(life.verdict.limit, "area_m2");
        assert_relative("plated", life.verdict.turnovers_plated, 8.0, 1e-6);
        let found = last(&life, "orthophosphite_mol_l") * molar_mass("H2PO3-");
        assert_relative(format!("g/L at a loss of {loss}"), found, expected, 1e-3);
    }
}

/// Producer: closed form, level = made per turnover / bleed, and bleed = made per turnover / limit.
#[test]
fn a_bleed_settles_where_it_takes_what_is_made() {
    let made = 21.0117 / molar_mass("H2PO3-");
    for bleed in [0.15, 0.4] {
        let steady = bath_of_p20().steady_bleed(bleed).expect("steady");
        let level = steady.level("orthophosphite_mol_l").expect("a level");
        assert_relative(format!("level at {bleed}"), level, made / bleed, 1e-4);
        assert_relative("closed form", steady.by_product_closed_form_mol_l, made / bleed, 1e-4);
    }
    let limited = set(&bath_of_p20(), &[("limits.orthophosphite_g_l_as_hpo3", 100.0)]);
    let bound = 100.0 / molar_mass("HPO3-2");
    let found = limited.bleed_for_limit("orthophosphite_mol_l").expect("a bleed");
    assert_relative("bleed", found.bleed_per_turnover, made / bound, 3e-4);
    assert_relative("by the closed form", found.closed_form.expect("one"), made / bound, 1e-4);
    let level = found.steady.level("orthophosphite_mol_l").expect("a level");
    assert_relative("held at", level, bound, 1e-3);
}

/// Producer: the error's own promise, with the limits a bleed can hold.
#[test]
fn a_bleed_for_no_limit_is_refused() {
    let error = nickel_acid().bleed_for_limit("turnovers").expect_err("refused");
    assert!(
        matches!(&error, Error::UnknownName { valid, .. } if valid.contains(&"orthophosphite_mol_l".into()))
    );
    assert!(nickel_acid().steady_bleed(0.0).is_err());
}

/// Producer: hand computation: dumps over the horizon are horizon over life; a bleed that outlives it runs on.
#[test]
fn strategies_over_a_horizon() {
    let recipe = power_law();
    let life = live(&recipe);
    let bleed = recipe.bleed_for_limit("orthophosphite_mol_l").expect("a bleed").bleed_per_turnover;
    let strategies = [Strategy::dump_and_remake(), Strategy::bleed_and_feed(1.05 * bleed)];
    let found = recipe.compare(&strategies, None).expect("a comparison");
    let area = 5.0 * life.verdict.area_m2;
    let (dump, bled) = (&found[0], &found[1]);
    assert_relative("five baths", dump.baths, 5.0, 1e-9);
    assert_eq!(dump.ends_by, "orthophosphite_mol_l");
    assert_relative("waste", dump.waste.volume_l, 5.0 * 400.0, 1e-9);
    assert_relative("downtime", dump.downtime_h, 20.0, 1e-9);
    let per_work = dump.cost.expect("a cost").total() / dump.deposit_um_dm2;
    assert_relative("cost per work", per_work, dump.cost_per_um_dm2.expect("one"), 1e-9);
    assert_eq!((bled.baths, bled.ends_by.as_str(), bled.steady), (1.0, "horizon", true));
    assert_relative("area", bled.area_m2, area, 1e-6);
    let plated = bled.bath.turnovers_plated;
    assert_relative("waste", bled.waste.volume_l, 400.0 * (1.0 + 1.05 * bleed * plated), 1e-6);
    // Held just below its limit, the bath is worse than the mean of one that is dumped there.
    assert!(bled.waste.volume_l > dump.waste.volume_l);
    assert!(bled.deposition_mean_um_h < dump.deposition_mean_um_h);
    let hours = recipe.compare(&strategies[..1], Some(Horizon::Hours(2000.0))).expect("a comparison");
    assert_relative("h", hours[0].clock_h + hours[0].downtime_h, 2000.0, 1e-9);
}

/// Producer: the promise of the usual ones: 5 % above the least bleed, and as much at once in two turnovers;
/// a bleed is sought only where one is needed.
#[test]
fn usual_strategies_share_one_bleed() {
    let recipe = nickel_acid();
    let least = recipe.bleed_for_limit("orthophosphite_mol_l").expect("a bleed").bleed_per_turnover;
    let bleed = 1.05 * least;
    let usual = recipe.usual_strategies(&Strategy::USUAL, None).expect("three strategies");
    let names: Vec<&str> = usual.iter().map(|one| one.name.as_str()).collect();
    assert_eq!(names, Strategy::USUAL);
    assert_eq!(usual[0], Strategy::dump_and_remake());
    assert_eq!(usual[1], Strategy::bleed_and_feed(bleed));
    assert_eq!(usual[2], Strategy::partial_dump(200.0 * bleed, 2.0));
    let much = recipe.usual_strategies(&["partial-dump"], Some(0.7)).expect("one strategy");
    assert_eq!(much, [Strategy::partial_dump(100.0, 2.0)]);

    let unlimited = say(&recipe, &[("limits.orthophosphite_g_l_as_hpo3", "off")]);
    assert!(unlimited.usual_strategies(&["dump-and-remake"], None).is_ok());
    for (names, says) in [
        (["bleed-and-feed"], "limits.orthophosphite_mol_l = (missing)"),
        (["bleed"], "strategies = bleed: expected dump-and-remake, bleed-and-feed, partial-dump"),
    ] {
        let error = unlimited.usual_strategies(&names, None).expect_err("refused");
        assert!(error.to_string().contains(says), "{error}");
    }
}

/// Producer: closed form. A part f dumped every T turnovers lets the by-product rise to
/// (p T / f) (1 - (1 - f)^k) before the k-th dump, with p made per turnover: in the end to what a bleed of f/T
/// holds.
#[test]
fn partial_dumps_hold_what_a_bleed_holds() {
    let (part, every, dumps) = (0.4, 2.0, 12);
    let made = 21.0117 / molar_mass("H2PO3-");
    let held = made * every / part;
    let peak = |dump: i32| held * (1.0 - (1.0 - part).powi(dump));
    let bath = bath_of_p20();
    let one = live(&set(&bath, &[("limits.turnovers", 1.0)])).verdict;
    let until = f64::from(dumps) * every + 0.5;
    let horizon = Horizon::Area(until * one.area_m2 / one.turnovers_plated);
    let run = |limit: f64| {
        let limited = set(&bath, &[("limits.orthophosphite_g_l_as_hpo3", limit * molar_mass("HPO3-2"))]);
        let strategy = Strategy::partial_dump(100.0 * part, every);
        limited.compare(&[strategy], Some(horizon)).expect("a comparison").remove(0)
    };

    // Peaks lie between rows, which are written after the dump: a limit just above the last is never met.
    let found = run(1.001 * peak(dumps));
    assert_eq!((found.baths, found.ends_by.as_str(), found.life.events.len()), (1.0, "horizon", 12));
    let turnovers = column(&found.life, "turnovers");
    let levels = column(&found.life, "orthophosphite_mol_l");
    for dump in 1..=dumps {
        let at = f64::from(dump) * every;
        let row = turnovers.iter().position(|turnovers| (turnovers - at).abs() < 1e-6).expect("a row");
        assert_relative(format!("after dump {dump}"), levels[row], (1.0 - part) * peak(dump), 1e-4);
    }
    let dumped = f64::from(dumps) * part * 400.0;
    assert_relative("waste", found.waste.volume_l, 400.0 + dumped, 1e-9);

    // Just below the last, but above the one before, it ends the bath there.
    let ended = run(0.999 * peak(dumps));
    assert_eq!(ended.ends_by, "orthophosphite_mol_l");
    assert_eq!(ended.life.events.len(), 11);
    let earlier = 0.001 * peak(dumps) / made;
    assert_within("turnovers", ended.bath.turnovers, f64::from(dumps) * every - earlier, 1e-3);

    let bled = bath.steady_bleed(part / every).expect("steady");
    assert_relative("a bleed", bled.level("orthophosphite_mol_l").expect("a level"), held, 1e-4);
}
