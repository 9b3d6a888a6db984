//! How lives are computed can be set, and is checked.

use support::assert_relative;
use support::recipes::{live, power_law, pumped, set};

/// Producer: the life at 1e-11: a coarser one is off by no more than ten times its tolerance, and asks less.
#[test]
fn a_coarser_tolerance_costs_less_and_errs_as_it_says() {
    let bath = set(&pumped(&power_law()), &[("limits.turnovers", 4.0)]);
    let with = |tolerance: f64| live(&set(&bath, &[("solver.relative_tolerance", tolerance)]));
    let exact = with(1e-11);
    let (usual, coarse) = (with(1e-8), with(1e-5));
    for (tolerance, life) in [(1e-8, &usual), (1e-5, &coarse)] {
        assert_relative(tolerance, life.verdict.clock_h, exact.verdict.clock_h, 10.0 * tolerance);
    }
    assert!(coarse.effort.right_hand_sides < usual.effort.right_hand_sides);
    assert!(usual.effort.right_hand_sides < exact.effort.right_hand_sides);
}

#[test]
fn settings_out_of_range_are_refused() {
    for (path, value, expected) in [
        ("solver.relative_tolerance", 0.1, "between 1e-12 and 1e-3"),
        ("solver.event_time_tolerance_s", 0.0, "between 1e-6 and 60 s"),
        ("solver.max_steps", 1.0, "between 10 and 1e8"),
    ] {
        let error = set(&power_law(), &[(path, value)]).make_up().expect_err("refused").to_string();
        assert!(error.contains(path) && error.contains(expected), "{error}");
    }
}
