//! One event function at a time, as the search inside a step asks for it, against all of them at once.

use bathkin::Recipe;
use bathkin::life::segment::Segment;
use bathkin::life::simulate::fresh_state;
use bathkin::tank::Balances;
use bathkin_numerics::Problem;

use support::assert_within;
use support::recipes::{nickel_acid, set};

/// Producer: the definition of [`Problem::event_value`]; 1e-9 of functions of the order of one. Laws, a cooled reading, a film,
/// partial currents; fresh, thinned and thickened, with and without work, attended or not.
#[test]
fn one_event_function_is_what_all_of_them_say_of_it() {
    let built_in = |name: &str| Recipe::built_in(name).expect("built in");
    let behind_film = support::recipes::say(&built_in("copper-tartrate"), &[("film.stirring", "moved-work")]);
    for recipe in [
        set(&nickel_acid(), &[("replenishment.metal_trigger_pct", 97.5)]),
        built_in("copper-edta"),
        built_in("nickel-mixed-potential"),
        behind_film,
    ] {
        let model = recipe.model().expect("a model");
        let balances = Balances::new(&model.tank, &model.fresh_totals_mol_l);
        let state = fresh_state(&balances, &model.fresh_totals_mol_l);
        let fresh_ph = recipe.make_up().expect("a bath").ph();
        let mut segment = Segment::new(&balances, &model.limits, fresh_ph, &state);
        let count = segment.event_count();
        assert!(count > 5, "{count} events");
        let liquid = balances.layout().liquid().start..model.tank.bath.water();
        let (mut all, mut memory) = (vec![0.0; count], vec![0.0; count]);
        for (share, area_m2, attended) in
            [(1.0, 2.0, true), (0.93, 2.0, true), (1.1, 0.0, true), (0.93, 2.0, false)]
        {
            balances.set_area_m2(area_m2);
            segment.attend(attended);
            segment.set_out(0.0);
            let mut moved = state.clone();
            moved[liquid.clone()].iter_mut().for_each(|amount| *amount *= share);
            // Each by itself first: what was read for all of them is not there yet.
            let each: Vec<f64> = (0..count)
                .map(|index| segment.event_value(index, 60.0, &moved, &mut memory).expect("evaluates"))
                .collect();
            segment.event_values(60.0, &moved, &mut all).expect("evaluates");
            for (index, (one, expected)) in each.iter().zip(&all).enumerate() {
                let what = format!("event {index} of {}, {share}, {area_m2} m2", recipe.document().file);
                assert_within(what, *one, *expected, 1e-9 * expected.abs().max(1.0));
            }
        }
    }
}
