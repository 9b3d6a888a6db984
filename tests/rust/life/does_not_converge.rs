//! A life, a plan or a load that cannot be computed says when, by how much and in what.

use bathkin::study::PlanRequest;
use bathkin::{Error, Recipe};

use support::recipes::{live, molar_mass, nickel_acid, power_law, pumped, set};
use support::{assert_relative, assert_within};

/// A bath into which three litres of a solution are poured per litre of it after a tenth of a turnover.
fn mixed_up(grams: f64) -> Recipe {
    let reagent = "event.mistake.solution.sodium_hydroxide_g_l";
    let event = [("event.mistake.at_turnovers", 0.1), (reagent, grams), ("event.mistake.dose_ml_l", 3000.0)];
    set(&set(&nickel_acid(), &event), &[("limits.turnovers", 0.2)])
}

/// Producer: the clock time of the same event of a weak solution, 1e-6; at a held level the sodium is that of three
/// litres and what was there, under a mole; what is free is no more.
#[test]
fn an_equilibrium_says_when_and_how_much_of_what() {
    let weak = live(&mixed_up(1e-6));
    let error = mixed_up(700.0).simulate_life().expect_err("no pH balances the charge of it");
    let Error::Convergence { time_h: Some(time_h), residual, worst, .. } = &error else { panic!("{error}") };
    let Error::Convergence { total_mol_l: Some(total), free_mol_l: Some(free), .. } = &error else {
        panic!("{error}")
    };
    assert_relative("clock time", *time_h, weak.events[0].clock_h, 1e-6);
    assert!(*residual > 0.0 && residual.is_finite(), "{error}");
    assert_eq!(worst, "the charge balance, most of it sodium");
    assert_within("sodium of the bath before, mol/L", *total - 3.0 * 700.0 / molar_mass("NaOH"), 0.5, 0.5);
    assert!(*free > 0.0 && *free <= *total * (1.0 + 1e-9), "{error}");
    assert!(error.to_string().contains("mol/L in all") && !error.is_input(), "{error}");
}

/// Producer: the work limit. What held the steps short is within its tolerance in the last step that was taken.
#[test]
fn an_integration_says_when_and_what_held_it() {
    let tight = [("solver.max_steps", 10.0), ("solver.relative_tolerance", 1e-12)];
    let bath = set(&pumped(&power_law()), &tight);
    let of_life = bath.simulate_life().expect_err("ten steps are too few");
    let shift = PlanRequest { shift_h: 8.0, ..PlanRequest::default() };
    let of_plan = bath.plan(&shift).expect_err("ten steps are too few");
    for error in [of_life, of_plan] {
        let Error::Convergence { what, time_h: Some(time_h), residual, worst, .. } = &error else {
            panic!("{error}")
        };
        assert!(what.contains("more than 10 steps needed") && *time_h > 0.0, "{error}");
        assert!(*residual > 0.0 && *residual <= 1.0 && !worst.is_empty(), "{error}");
    }
}
