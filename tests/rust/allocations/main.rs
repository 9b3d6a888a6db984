//! A solution that is solved again, and its slopes, take no memory from the system: a life solves
//! thousands of times.
//!
//! An allocator that counts stands under this test alone.

use std::alloc::{GlobalAlloc, Layout, System};
use std::cell::Cell;

use bathkin::model::database::built_in;
use bathkin::recipe::Recipe;
use bathkin::solution::{Activity, Equilibrium};
use bathkin::tank::Balances;

struct Counting;

thread_local!(static TAKEN: Cell<usize> = const { Cell::new(0) });

// SAFETY: every call goes to the system's allocator as it came; counting touches a plain cell only.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        TAKEN.with(|taken| taken.set(taken.get() + 1));
        unsafe { System.alloc(layout) }
    }

    unsafe fn dealloc(&self, pointer: *mut u8, layout: Layout) {
        unsafe { System.dealloc(pointer, layout) }
    }
}

#[global_allocator]
static COUNTING: Counting = Counting;

fn taken_during(work: impl FnOnce()) -> usize {
    let before = TAKEN.with(Cell::get);
    work();
    TAKEN.with(Cell::get) - before
}

/// The counter counts.
#[test]
fn a_vector_is_counted() {
    assert_eq!(taken_during(|| drop(std::hint::black_box(vec![1.0; 3]))), 1);
}

/// Producer: the counter; none.
#[test]
fn solving_again_takes_no_memory() {
    let (_, chemistry) = built_in().expect("built in");
    let recipe = Recipe::built_in("nickel-acid").expect("built in");
    let model = recipe.model().expect("a model");
    let names = model.tank.bath.equilibrium.component_names();
    let fresh = &model.fresh_totals_mol_l;
    for activity in [Activity::Sit, Activity::Davies { held_above_mol_l: 0.5 }, Activity::Ideal] {
        let equilibrium = Equilibrium::new(chemistry, names, activity).per_litre(chemistry);
        let mut speciation = equilibrium.speciation();
        speciation.solve(&equilibrium, fresh, model.tank.operation.temperature_k).expect("solves");
        let mut totals = fresh.clone();
        let mut slopes = vec![0.0; fresh.len()];
        let taken = taken_during(|| {
            // Small and large moves, another temperature, a held pH: all warm.
            for step in 0..200 {
                let grown = 1.0 + 2e-3 * f64::from(step % 7) + if step % 50 == 0 { 0.3 } else { 0.0 };
                totals.iter_mut().zip(fresh).for_each(|(total, fresh)| *total = fresh * grown);
                let kelvin = model.tank.operation.temperature_k - f64::from(step / 100);
                speciation.solve(&equilibrium, &totals, kelvin).expect("solves");
                speciation.ph_sensitivities(&equilibrium, &mut slopes).expect("slopes");
                speciation.ph_slope_along(&equilibrium, fresh).expect("a slope");
                speciation.buffer_capacity_mol_l(&equilibrium).expect("a capacity");
                if step % 10 == 0 {
                    speciation.solve_at_ph(&equilibrium, &totals, kelvin, 4.8).expect("solves");
                }
            }
        });
        assert_eq!(taken, 0, "allocations with {activity:?}");
    }
}

/// Producer: the counter; none: laws, partial currents with their mixed potential, reactions of the liquid with gases.
#[test]
fn the_rates_of_change_of_a_bath_take_no_memory() {
    for name in ["nickel-acid", "nickel-mixed-potential", "copper-edta"] {
        let recipe = Recipe::built_in(name).expect("built in");
        let model = recipe.model().expect("a model");
        let totals = &model.fresh_totals_mol_l;
        let balances = Balances::new(&model.tank, totals);
        balances.set_area_m2(2.0);
        let fresh = bathkin::life::simulate::fresh_state(&balances, totals);
        let (mut state, mut derivative) = (fresh.clone(), vec![0.0; fresh.len()]);
        balances.derivative(&fresh, &mut derivative).expect("evaluates");
        let taken = taken_during(|| {
            for step in 0..200 {
                let grown = 1.0 + 1e-3 * f64::from(step % 5);
                state.iter_mut().zip(&fresh).for_each(|(value, fresh)| *value = fresh * grown);
                balances.derivative(&state, &mut derivative).expect("evaluates");
            }
        });
        assert_eq!(taken, 0, "allocations of {name}");
    }
}
