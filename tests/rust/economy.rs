//! Cost, optimum, bleed, strategies and the sensitivity of the dump time.

use acceptance::{assert_relative, assert_within};
use bathkin::recipe::{Horizon, Strategy, Value};
use bathkin::{Error, Recipe};

use crate::recipes::{
    at_metal_g_l, column, constant_rate, fixed_selectivity, last, live, molar_mass, nickel_acid, power_law,
    pumped, say, set,
};

/// Pumped, with 0.37 mol nickel per mol hypophosphite and 8 wt% P, whatever its age.
pub fn bath_of_p20() -> Recipe {
    let p = 8.0 / 92.0 * molar_mass("Ni") / molar_mass("P");
    let h = 1.0 / 0.37 - 1.0 - 1.5 * p;
    at_metal_g_l(&pumped(&constant_rate(&fixed_selectivity(&power_law(), p, h))), 6.0)
}

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

/// Producer: the least of 41 lives that were each stopped at their turnovers, 0.05 apart.
#[test]
fn the_optimum_is_the_least_of_a_scan() {
    let dear_line = set(&pumped(&nickel_acid()), &[("limits.turnovers", 9.0), ("cost.line_per_h", 150.0)]);
    let life = live(&dear_line);
    let cost = dear_line.life_cost(&life.verdict, &life.table).expect("a cost").expect("prices");
    let optimum = cost.optimum.expect("an optimum");
    assert!(!cost.optimum_beyond_first_limit && cost.past_first_limit.is_empty());
    let scan: Vec<(f64, f64)> = (-20..=20)
        .map(|step| {
            let stop = optimum.turnovers + 0.05 * f64::from(step);
            let life = live(&set(&dear_line, &[("limits.turnovers", stop)]));
            (stop, last(&life, "cost_per_um_dm2"))
        })
        .collect();
    let least = scan.iter().min_by(|a, b| a.1.total_cmp(&b.1)).expect("a point");
    assert_within("turnovers", optimum.turnovers, least.0, 0.05 + 1e-9);
    assert_relative("cost", optimum.cost_per_um_dm2, least.1, 1e-5);
}

/// Producer: the words of the result: with a cheap line the cost falls to the end and past it.
#[test]
fn an_optimum_beyond_the_first_limit_says_so() {
    let cheap = set(&nickel_acid(), &[("cost.line_per_h", 20.0)]);
    let life = live(&cheap);
    let cost = cheap.life_cost(&life.verdict, &life.table).expect("a cost").expect("prices");
    assert!(cost.optimum_beyond_first_limit);
    assert!(cost.optimum.is_none_or(|at| at.turnovers > life.verdict.turnovers));
    assert!(cost.looked_to_turnovers > 1.9 * life.verdict.turnovers);
    assert!(!cost.past_first_limit.is_empty());
}

/// Producer: hand computation of each part from the table and the ledger.
#[test]
fn parts_of_the_cost_add_up() {
    let recipe = set(&nickel_acid(), &[("tank.drag_out_l_m2", 0.1), ("cost.heat_loss_idle_kw", 0.5)]);
    let life = live(&recipe);
    let cost = recipe.life_cost(&life.verdict, &life.table).expect("a cost").expect("prices");
    let parts = cost.parts;
    assert_relative("sum", parts.total(), last(&life, "cost"), 1e-12);
    assert_relative("per work", cost.cost / cost.deposit_um_dm2, last(&life, "cost_per_um_dm2"), 1e-12);
    // Steady work: every piece gets its 25 um.
    assert_relative("work", cost.deposit_um_dm2, life.verdict.area_m2 * 100.0 * 25.0, 2e-3);

    let model = recipe.model().expect("a model");
    let caustic = model.ph_adjustment.as_ref().expect("caustic").g_l;
    let per_litre = 26.87 * 6e-3 + 30.0 * 5e-3 + 27.0 * 3e-3 + 12.0 * 1.5e-3 + caustic * 1e-3 + 0.01;
    assert_relative("make-up", parts.make_up, 400.0 * per_litre, 1e-9);
    let fed = |name: &str| -> f64 { life.ledger.volume_l(name) };
    let caustic_name = &model.tank.replenishers[2].name;
    let (nickel, hypo) = (fed("nickel replenisher"), fed("hypophosphite replenisher"));
    let feeds = nickel * 450.0 * 6e-3 + hypo * 550.0 * 5e-3 + fed(caustic_name) * 200.0 * 1e-3;
    assert_relative("replenishers", parts.replenishers, feeds, 1e-9);
    assert_relative("line", parts.line, 30.0 * life.verdict.plating_h, 1e-12);
    assert_relative("dump", parts.dump, 250.0 + 4.0 * 30.0, 1e-12);
    let gone = 0.1 * life.verdict.area_m2;
    assert_relative("waste L", cost.waste.volume_l, 400.0 + gone, 1e-6);
    assert_relative("waste", parts.waste, 0.6 * cost.waste.volume_l + 0.01 * cost.waste.metal_g, 1e-12);
    let warmed = 400.0 + gone.max(nickel + hypo + fed(caustic_name));
    let idle = life.verdict.clock_h - life.verdict.plating_h;
    let kwh = warmed * 4.18 * 68.0 / 3600.0 + 4.0 * life.verdict.plating_h + 0.5 * idle;
    assert_relative("energy", parts.energy, 0.2 * kwh, 1e-6);
}

/// Producer: the flag's own promise: what has no price is named, and what has no reagent refused.
#[test]
fn a_reagent_without_a_price_is_named() {
    let with_more = set(&nickel_acid(), &[("make_up.citric_acid_monohydrate_g_l", 1.0)]);
    let flags = with_more.price_flags().expect("flags");
    let place = "cost.reagent_per_kg.citric_acid_monohydrate";
    assert!(flags.iter().any(|flag| flag.r#where == place), "{flags:?}");
    assert_eq!(nickel_acid().price_flags().expect("flags").len(), 1);
    let error = set(&nickel_acid(), &[("cost.reagent_per_kg.unobtainium", 1.0)]).make_up();
    assert!(error.expect_err("refused").to_string().contains("unobtainium"));
    let bought = set(&nickel_acid(), &[("cost.replenisher_per_l.metal", 9.0)]);
    assert_eq!(bought.model().expect("a model").cost.as_ref().expect("prices").feeds[0].per_l, 9.0);
}

/// Producer: two lives run by hand at 1 % below and above.
#[test]
fn a_sensitivity_is_the_difference_of_two_lives() {
    let recipe = nickel_acid();
    let paths = ["limits.orthophosphite_g_l_as_hpo3", "hydrogen.per_metal_mol", "tank.drag_out_l_m2"]
        .map(str::to_owned);
    let found = recipe.life_sensitivity(Some(&paths)).expect("a sensitivity");
    assert_eq!(found.rows.len(), 2);
    assert_eq!(found.skipped[0].0, "tank.drag_out_l_m2");
    for row in &found.rows {
        let [low, high] =
            [0.99, 1.01].map(|times| live(&set(&recipe, &[(&row.path, row.value * times)])).verdict);
        let slope = |low: f64, high: f64| (high / low).ln() / (1.01_f64 / 0.99).ln();
        assert_within("turnovers", row.turnovers, slope(low.turnovers_plated, high.turnovers_plated), 1e-9);
        assert_within("plating", row.plating_h, slope(low.plating_h, high.plating_h), 1e-9);
        assert!(!row.limit_changes && row.ran_at == (0.99 * row.value, 1.01 * row.value));
    }
    // Orthophosphite ends the life and is made in proportion to turnovers.
    assert_within("by-product limit", found.rows[0].turnovers, 1.0, 0.05);
    assert!(recipe.life_sensitivity(Some(&["no.such_number".to_owned()])).is_err());
}

/// Producer: two limits met within a per cent of each other: the step crosses a corner and says so.
#[test]
fn a_sensitivity_across_a_corner_says_so() {
    let life = live(&nickel_acid());
    let close = set(&nickel_acid(), &[("limits.turnovers", life.verdict.turnovers * 1.004)]);
    let path = "limits.orthophosphite_g_l_as_hpo3".to_owned();
    let found = close.life_sensitivity(Some(&[path])).expect("a sensitivity");
    assert!(found.rows[0].limit_changes, "{:?}", found.rows[0]);
    assert_eq!(found.rows[0].limits.1, "turnovers");
}

/// Producer: the limit itself: each new kind stops the life at its bound, by the column it watches.
#[test]
fn limits_of_each_kind_end_the_life_at_their_bound() {
    let bath = || set(&pumped(&nickel_acid()), &[("limits.turnovers", 30.0)]);
    for (path, name, reading, bound) in [
        ("limits.sulfate_mol_l_max", "sulfate_mol_l_max", "sulfate_mol_l", 0.4),
        ("limits.ionic_strength_mol_l", "ionic_strength_mol_l", "ionic_strength_mol_l", 3.0),
        ("limits.clock_h", "clock_h", "clock_h", 30.0),
        ("limits.area_m2", "area_m2", "area_m2", 20.0),
        ("limits.specific_gravity", "specific_gravity", "specific_gravity", 1.15),
    ] {
        let life = live(&set(&bath(), &[(path, bound)]));
        assert_eq!(life.verdict.limit, name);
        assert_relative(name, last(&life, reading), bound, 1e-6);
    }
    let life = live(&set(&bath(), &[("limits.ionic_strength_pct_of_fresh", 300.0)]));
    let strength = column(&life, "ionic_strength_mol_l");
    assert_relative("300 %", last(&life, "ionic_strength_mol_l"), 3.0 * strength[0], 1e-6);
    // Fed too little, the reductant falls to its floor; lactate is bled away.
    let starved = set(
        &say(&bath(), &[("replenishment.reductant", "ratio")]),
        &[("replenishment.reductant_per_metal_mol", 2.6), ("limits.reductant_pct_of_set_point", 80.0)],
    );
    let life = live(&starved);
    assert_eq!(life.verdict.limit, "reductant_mol_l");
    let reductant = column(&life, "reductant_mol_l");
    assert_relative("80 %", last(&life, "reductant_mol_l"), 0.8 * reductant[0], 1e-6);
    let bled = set(&bath(), &[("tank.bleed_per_turnover", 0.3), ("limits.lactate_mol_l_min", 0.2)]);
    assert_eq!(live(&bled).verdict.limit, "lactate_mol_l_min");
}

/// Producer: the calendar: a limit on the clock ends the life also at night, to the second.
#[test]
fn a_limit_on_the_clock_holds_at_night() {
    let life = live(&set(&nickel_acid(), &[("limits.clock_h", 36.5)]));
    assert_eq!(life.verdict.limit, "clock_h");
    assert_within("h", life.verdict.clock_h, 36.5, 1e-6);
}

/// Producer: the same bath with the cap as a plain limit.
#[test]
fn a_cap_of_a_substrate_ends_its_work_only() {
    let capped = set(&nickel_acid(), &[("limits.substrate.aluminium.turnovers", 3.0)]);
    let life = live(&capped);
    assert_eq!(life.verdict.limit, "orthophosphite_mol_l");
    let outlook = capped.outlook(&life.verdict, &life.table, &life.margins(), None).expect("an outlook");
    let cap = outlook.iter().find(|one| !one.applies).expect("the cap");
    assert_eq!((cap.name.as_str(), cap.substrate.as_deref()), ("aluminium.turnovers", Some("aluminium")));
    let plain = live(&set(&nickel_acid(), &[("limits.turnovers", 3.0)]));
    assert_relative("clock", cap.reached.expect("reached").clock_h, plain.verdict.clock_h, 1e-3);

    let activation = nickel_acid()
        .model()
        .expect("a model")
        .substrates
        .iter()
        .find(|it| it.name == "aluminium")
        .and_then(|it| it.starts.first())
        .expect("a start")
        .activation
        .name();
    let plated = say(
        &set(&nickel_acid(), &[("limits.substrate.aluminium.turnovers", 3.0)]),
        &[("work.substrate", "aluminium"), ("work.activation", activation)],
    );
    assert_eq!(live(&plated).verdict.limit, "aluminium.turnovers");
    let error = set(&nickel_acid(), &[("limits.substrate.cheese.turnovers", 3.0)]).make_up();
    assert!(error.expect_err("refused").to_string().contains("no substrate is called 'cheese'"));
}

/// Producer: the other limit alone. Past the first limit the table tells when the second is reached.
#[test]
fn the_outlook_past_the_first_limit_is_the_life_without_it() {
    let recipe = nickel_acid();
    let life = live(&recipe);
    let past = recipe.life_past_limits(&life.verdict).expect("a longer life");
    let outlook =
        recipe.outlook(&life.verdict, &life.table, &life.margins(), Some(&past)).expect("an outlook");
    let at = |name: &str| outlook.iter().find(|one| one.name == name).expect("the limit").clone();
    let second = at("deposition_um_h");
    assert!(second.past_first_limit);
    let off = Value::Text("off".to_owned());
    let without = recipe.with("limits.orthophosphite_g_l_as_hpo3", off, "the test");
    let verdict = live(&without).verdict;
    assert_eq!(verdict.limit, "deposition_um_h");
    assert_relative("turnovers", second.reached.expect("reached").turnovers, verdict.turnovers, 1e-2);
    assert!(!at("orthophosphite_mol_l").past_first_limit);
    // What is not reached says how far it was looked for: twice the turnovers and one more.
    let never = at("phosphorus_wt_pct_min");
    assert!(never.reached.is_none());
    assert_relative("looked to", never.looked_to_turnovers, 2.0 * life.verdict.turnovers + 1.0, 1e-2);
    assert_relative("looked to", never.looked_to_h, past.verdict.clock_h, 1e-12);
    let plain = recipe.outlook(&life.verdict, &life.table, &life.margins(), None).expect("an outlook");
    assert!(plain.iter().all(|one| one.looked_to_turnovers == life.verdict.turnovers));
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
