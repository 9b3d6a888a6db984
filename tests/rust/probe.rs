use crate::recipes::*;
use bathkin::recipe::Recipe;
#[test]
fn probe_lives() {
    // scan for dosed limits hair short
    let (mut n, mut bad) = (0, 0);
    for which in ["nickel-acid", "nickel-textbook"] {
        for trig in [90.0, 92.0, 95.0, 96.0, 98.0] {
            for lim in [1.0, 2.0, 3.0, 4.0] {
                for load in [0.3, 0.4, 0.5, 0.6, 0.7] {
                    let r = set(&without(&Recipe::built_in(which).unwrap()), &[("replenishment.metal_trigger_pct", trig), ("limits.turnovers", lim), ("work.loading_dm2_l", load)]);
                    n += 1;
                    match r.simulate_life() {
                        Ok(l) => if (l.verdict.turnovers - lim).abs() > 1e-5 && (100.0 - trig) != 4.0 && trig != 92.0 { bad += 1; println!("PROBE {which} {trig} {lim} {load}: {} {} stops {}", l.verdict.limit, l.verdict.turnovers, l.effort.stops); },
                        Err(e) => { bad += 1; println!("PROBE {which} {trig} {lim} {load}: {e}"); }
                    }
                }
            }
        }
    }
    println!("PROBE {bad} of {n}");
    let r = Recipe::built_in("nickel-textbook").unwrap();
    let r = set(&r, &[("deposition.order.hypophosphite", 0.8208788021061333), ("phosphorus.ph_order", -0.0765557690319155)]);
    println!("PROBE {:?}", r.simulate_life().map(|l| l.verdict));
    let r = say(&nickel_acid(), &[("replenishment.policy", "continuous")]);
    let r = set(&r, &[("deposition.reference_ph", 12.281190117527839), ("solution.davies_held_above_mol_l", 0.0046507450290176455), ("ph_control.corrector_g_l", 199.43103769606333)]);
    println!("PROBE {:?}", r.simulate_life().map(|l| l.verdict));
}
fn without(r: &Recipe) -> Recipe {
    set(r, &[("limits.orthophosphite_g_l_as_hpo3", 1e6), ("limits.deposition_pct_of_fresh", 0.0)])
}
