//! The cost of a life and where it is least.

use support::recipes::{last, live, nickel_acid, pumped, set};
use support::{assert_relative, assert_within};

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
    let caustic_name = &model.tank.operation.replenishers[2].name;
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
    assert_eq!(
        bought.model().expect("a model").tank.operation.cost.as_ref().expect("prices").feeds[0].per_l,
        9.0
    );
}
