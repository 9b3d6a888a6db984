//! Plate-out: steep in the stabilizer, in temperature, pH and lean loads; a flag, never an action.

use bathkin::Recipe;

use support::recipes::{column, last, live, power_law, pumped, set};
use support::stabilized::{PLATE_OUT, extended, flags, refused, stabilized};
use support::{assert_relative, assert_within};

fn plate_out_pct(recipe: &Recipe) -> f64 {
    let rate = recipe.make_up().and_then(|bath| bath.rate()).unwrap_or_else(|error| panic!("{error}"));
    rate.plate_out_pct.expect("a share")
}

/// At the set-point 5e-5 mol/(L h) beside the bath's own rate at 0.5 dm²/L.
#[test]
fn the_share_is_of_the_wanted_rate_at_the_loading() {
    let recipe = stabilized();
    let rate = recipe.make_up().and_then(|bath| bath.rate()).expect("a rate");
    let metal = rate.half_reactions_mol_m2_s.iter().find(|(name, _)| name == "metal").expect("it").1;
    let by_hand = 100.0 * 5e-5 / (metal * 3600.0 * 0.5e-2);
    assert_relative("share", plate_out_pct(&recipe), by_hand, 1e-6);
    assert!((0.4..0.6).contains(&by_hand), "{by_hand} %");
    let lean = set(&recipe, &[("work.loading_dm2_l", 0.1)]);
    assert_relative("a fifth of the load", plate_out_pct(&lean), 5.0 * by_hand, 1e-9);
    assert!(flags(&recipe, "decomposition").is_empty());
}

#[test]
fn it_rises_steeply_as_the_stabilizer_falls_and_heat_and_ph_rise() {
    let recipe = stabilized();
    let with =
        |path: &str, value: f64| plate_out_pct(&set(&recipe, &[(path, value)])) / plate_out_pct(&recipe);
    // Without stabilizer e^4 times; the wanted rate falls by 1.1483, its hump.
    assert_within("no stabilizer", with("make_up.thiourea_mg_l", 0.0), 4f64.exp() * 1.1483, 0.05);
    assert!(with("make_up.thiourea_mg_l", 2.0) < 0.03, "over-dosing keeps it quiet");
    // 120 kJ/mol beside 65 of the wanted rate, 88 to 93 degC; 0.8 beside 0.35 decades per pH.
    let (t, t_ref) = (366.15_f64, 361.15_f64);
    let hotter = (55e3 / 8.314_462_618 * (1.0 / t_ref - 1.0 / t)).exp();
    assert_relative("5 degC more", with("operation.temperature_c", 93.0), hotter, 2e-3);
    assert_relative("0.4 pH more", with("operation.ph", 5.2), 10f64.powf(0.45 * 0.4), 2e-3);
}

#[test]
fn near_decomposition_there_is_a_flag_that_promises_no_safety() {
    let starved = set(&stabilized(), &[("make_up.thiourea_mg_l", 0.1)]);
    let said = flags(&starved, "decomposition");
    assert!(said.len() == 1 && said[0].contains("near decomposition"), "{said:?}");
    assert!(said[0].contains("no safety limit") && said[0].contains("above 5 %"), "{said:?}");
    let poisoned = "[deposition.stabilizer.thiourea]\ngain = 0\ntrace_mg_l = 1\ncritical_mg_l = 4\n\
                    steepness = 3.5\nset_point_mg_l = 1\nstop_mg_l = 9";
    let stopped = extended(&[("make_up", "thiourea_mg_l = 9.5")], &[poisoned, PLATE_OUT]);
    let rate = stopped.make_up().and_then(|bath| bath.rate()).expect("a rate");
    assert_eq!((rate.deposition_um_h, rate.plate_out_pct), (0.0, None));
    assert!(flags(&stopped, "decomposition")[0].contains("nothing plates on the work"));
}

#[test]
fn a_recipe_without_the_law_has_no_share() {
    let rate = power_law().make_up().and_then(|bath| bath.rate()).expect("a rate");
    assert_eq!(rate.plate_out_pct, None);
    let unbounded =
        extended(&[("make_up", "thiourea_mg_l = 1")], &[&PLATE_OUT.replace("flag_above_pct = 5\n", "")]);
    assert!(refused(&unbounded).contains("decomposition.flag_above_pct"), "{}", refused(&unbounded));
}

/// A feed without stabilizer: the life says when plate-out passes its bound, and the table shows it.
#[test]
fn a_life_says_when_its_bath_comes_near_decomposition() {
    let steady = set(&pumped(&stabilized()), &[("limits.turnovers", 3.0)]);
    let starved = set(&steady, &[("replenisher.metal.thiourea_mg_l", 0.0)]);
    for (recipe, flagged) in [(&steady, false), (&starved, true)] {
        let life = live(recipe);
        let fresh = column(&life, "plate_out_pct")[0];
        assert_relative("fresh", fresh, plate_out_pct(recipe), 1e-6);
        assert_eq!(last(&life, "plate_out_pct") > 5.0, flagged, "{}", last(&life, "plate_out_pct"));
        let said = recipe.life_flags(&life).expect("flags");
        let said: Vec<_> = said.iter().filter(|flag| flag.r#where == "decomposition").collect();
        assert_eq!(said.len(), usize::from(flagged), "{said:?}");
        assert!(
            said.iter().all(|flag| flag.what.contains("at 1.0 turnovers") && flag.what.contains("no safety")),
            "{said:?}"
        );
    }
    assert!(live(&set(&power_law(), &[("limits.turnovers", 0.5)])).table.column("plate_out_pct").is_none());
}
