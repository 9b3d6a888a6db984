//! Integration against closed forms.

use nalgebra::DVector;
use ode_solvers::continuous_output_model::ContinuousOutputModel;
use ode_solvers::{Dopri5, System};

use crate::dense::Dense;
use crate::stages::Stages;
use crate::test_problems::{close, plain, run, with_events};
use crate::{Crossing, Options, Stop, advance};

// Expected: y = (x + 6)(x + 2)(x − 2) = x³ + 6x² − 4x − 24, whose
// derivative is the right-hand side and whose value at −8 is −120; roots −6, −2, 2.
#[test]
fn three_crossings_are_met_one_after_the_other() {
    let problem =
        with_events(|x, _| 3.0 * x * x + 12.0 * x - 4.0, vec![Crossing::Either], |_, y, g| g[0] = y);
    let (mut x, mut y) = (-8.0, -120.0);
    for expected in [-6.0, -2.0, 2.0] {
        let arrival = run(&problem, x, &mut y, 4.0).unwrap();
        assert_eq!(arrival.stop, Stop::Event { index: 0 });
        close(arrival.time, expected, 1e-8);
        x = arrival.time;
    }
    let arrival = run(&problem, x, &mut y, 4.0).unwrap();
    assert_eq!((arrival.stop, arrival.time), (Stop::End, 4.0));
    close(y, 120.0, 1e-6); // (4 + 6)(4 + 2)(4 − 2)
}

// Expected: c = (1 − 0.06 t)^(5/3) until t = 16.6667, then zero.
#[test]
fn a_rate_that_is_not_smooth_at_zero() {
    let problem = plain(|_, c: f64| if c > 0.0 { -0.1 * c.powf(0.4) } else { 0.0 });
    let mut c = 1.0;
    run(&problem, 0.0, &mut c, 10.0).unwrap();
    close(c, 0.217_153_4, 1e-7);
    close(c, 0.4f64.powf(5.0 / 3.0), 1e-8);
    let mut t = 10.0;
    for end in [16.666_67, 20.0, 30.0] {
        t = run(&problem, t, &mut c, end).unwrap().time;
        close(c, 0.0, 1e-6);
    }
}

// Expected: 10 exp(−0.1 · 10).
#[test]
fn a_dose_at_an_exact_stop() {
    let problem = plain(|_, y| -0.1 * y);
    let mut y = 0.0;
    let arrival = run(&problem, 0.0, &mut y, 10.0).unwrap();
    assert_eq!((arrival.time, arrival.stop, y), (10.0, Stop::End, 0.0));
    y += 10.0;
    run(&problem, arrival.time, &mut y, 20.0).unwrap();
    close(y, 3.678_794, 1e-6);
    close(y, 10.0 * (-1f64).exp(), 1e-8);
}

// Expected: y0 + r t; y0 exp(−k t); s + (y0 − s) exp(−k t); and the start −3 shifts nothing.
#[test]
fn closed_forms() {
    let tight = Options { relative_tolerance: 1e-11, absolute_tolerance: 1e-12, ..Options::default() };
    type Case = (fn(f64, f64) -> f64, f64);
    let cases: [Case; 3] = [
        (|_, _| 0.25, 1.0 + 0.25 * 8.0),
        (|_, y| -0.3 * y, (-0.3f64 * 8.0).exp()),
        (|_, y| 0.3 * (2.0 - y), 2.0 - (-0.3f64 * 8.0).exp()),
    ];
    for (rate, expected) in cases {
        for start in [-3.0, 0.0, 1e6] {
            let mut y = [1.0];
            let arrival = advance(&plain(rate), start, &mut y, start + 8.0, None, &tight).unwrap();
            assert_eq!(arrival.time, start + 8.0);
            close(y[0], expected, 1e-9);
        }
    }
}

// Expected: from y = 1 to 0.9 takes t = (1 − 0.9^0.2)/(0.2 k) = 104.258188195 for k = 1e-3, from
// the closed form y^0.2 = 1 − 0.2 k t; every dose returns to 1, hence 9 doses by t = 1000.
#[test]
fn a_dose_whenever_a_limit_is_reached() {
    let problem =
        with_events(|_, y: f64| -1e-3 * y.powf(0.8), vec![Crossing::Falling], |_, y, g| g[0] = y - 0.9);
    let period = (1.0 - 0.9f64.powf(0.2)) / (0.2 * 1e-3);
    close(period, 104.258_188_195, 1e-9);
    let (mut t, mut y, mut doses, mut step, mut evaluations) = (0.0, [1.0], 0, None, 0);
    loop {
        let arrival = advance(&problem, t, &mut y, 1000.0, step, &Options::default()).unwrap();
        t = arrival.time;
        step = Some(arrival.next_step);
        evaluations += arrival.evaluations;
        if arrival.stop == Stop::End {
            break;
        }
        doses += 1;
        close(t, f64::from(doses) * period, 1e-6 * f64::from(doses));
        assert!(y[0] <= 0.9);
        y[0] += 0.1;
    }
    assert_eq!((doses, t), (9, 1000.0));
    // A clock: two or three steps a segment once the step of the one before is known.
    assert!(evaluations < 200, "{evaluations}");
}

// Expected: t² − 2t + 1 − 1e-6 has the roots 1 ∓ 1e-3; the solver takes the quadratic in one step.
#[test]
fn two_crossings_inside_one_step() {
    let problem =
        with_events(|t, _| 2.0 * t - 2.0, vec![Crossing::Falling, Crossing::Rising], |_, y, g| g.fill(y));
    let y_start = 1.0 - 1e-6;
    for end in [2.6, 3.0, 7.0] {
        let mut y = [y_start];
        let options = Options::default();
        let first = advance(&problem, 0.0, &mut y, end, Some(end), &options).unwrap();
        assert_eq!((first.steps, first.stop), (1, Stop::Event { index: 0 }));
        close(first.time, 1.0 - 1e-3, 2e-9);
        let second = advance(&problem, first.time, &mut y, end, Some(end), &options).unwrap();
        assert_eq!((second.steps, second.stop), (1, Stop::Event { index: 1 }));
        close(second.time, 1.0 + 1e-3, 2e-9);
        let third = advance(&problem, second.time, &mut y, end, Some(end), &options).unwrap();
        assert_eq!(third.stop, Stop::End);
    }
}

// Expected: y = 1 − t is 0 at t = 1; the clock event is zero exactly there.
#[test]
fn an_event_at_the_very_end() {
    let clock = with_events(|_, _| 1.0, vec![Crossing::Falling], |t, _, g| g[0] = 1.0 - t);
    let mut y = 0.0;
    let arrival = run(&clock, 0.0, &mut y, 1.0).unwrap();
    assert_eq!((arrival.time, arrival.stop), (1.0, Stop::Event { index: 0 }));
    let again = run(&clock, 1.0, &mut y, 2.0).unwrap();
    assert_eq!((again.time, again.stop), (2.0, Stop::End));
}

#[test]
fn simultaneous_events_are_all_named() {
    let problem = with_events(
        |_, _| -1.0,
        vec![Crossing::Falling; 3],
        |_, y, g| g.copy_from_slice(&[y + 1.0, 5.0 * y, y]),
    );
    let mut y = 1.0;
    let arrival = run(&problem, 0.0, &mut y, 3.0).unwrap();
    assert_eq!(arrival.stop, Stop::Event { index: 1 });
    assert_eq!(arrival.also_crossed, [2]);
    // What fired is past; what is still to come fires alone.
    let arrival = run(&problem, arrival.time, &mut y, 3.0).unwrap();
    assert_eq!(arrival.stop, Stop::Event { index: 0 });
    close(arrival.time, 2.0, 2e-9);
    assert!(arrival.also_crossed.is_empty());
}

#[test]
fn segments_of_any_length() {
    let problem = with_events(|_, y| -y, vec![Crossing::Falling], |_, y, g| g[0] = y - 0.5);
    let mut y = 1.0;
    let zero = run(&problem, 3.0, &mut y, 3.0).unwrap();
    assert_eq!((zero.time, zero.stop, y), (3.0, Stop::End, 1.0));
    assert_eq!((zero.evaluations, zero.next_step), (0, 0.0));
    // Down to far below every tolerance. Expected: exp(−length) from 1.
    for length in [1e-3, 1e-9, 1e-15, 1e-18, 1e-300] {
        for step in [None, Some(1.0)] {
            let mut y = [1.0];
            let options = Options::default();
            let arrival = advance(&problem, 0.0, &mut y, length, step, &options).unwrap();
            assert_eq!((arrival.time, arrival.stop), (length, Stop::End));
            close(y[0], (-length).exp(), 1e-15);
            assert!(arrival.next_step > 0.0);
        }
    }
    // An event in a segment shorter than the tolerance of event times.
    let mut y = [0.5 + 1e-12];
    let arrival = advance(&problem, -7.0, &mut y, -7.0 + 1e-10, None, &Options::default()).unwrap();
    assert_eq!(arrival.stop, Stop::Event { index: 0 });
    assert!(y[0] <= 0.5 && arrival.time > -7.0);
}

// Expected: one evaluation at the start and six for each step, the count of the method.
#[test]
fn a_given_first_step_costs_no_estimate() {
    let problem = plain(|_, y| -y);
    let options = Options::default();
    let mut y = [1.0];
    let free = advance(&problem, 0.0, &mut y, 0.5, None, &options).unwrap();
    let mut y = [1.0];
    let given = advance(&problem, 0.0, &mut y, 0.5, Some(0.02), &options).unwrap();
    assert_eq!((given.evaluations - 1) % 6, 0);
    assert_eq!((free.evaluations - 2) % 6, 0);
    assert_eq!(given.evaluations, 1 + 6 * given.steps);
    // The proposal is good: no rejection when the next segment begins with it, and the same
    // number of steps as without the stop.
    let mut t = 0.5;
    let mut step = given.next_step;
    for _ in 0..20 {
        let next = advance(&problem, t, &mut y, t + 0.3, Some(step), &options).unwrap();
        assert_eq!(next.evaluations, 1 + 6 * next.steps);
        (t, step) = (next.time, next.next_step);
    }
    let short = Options { max_step: Some(0.01), ..options };
    let mut y = [1.0];
    let arrival = advance(&problem, 0.0, &mut y, 0.5, Some(0.3), &short).unwrap();
    assert!(arrival.steps >= 50 && arrival.next_step <= 0.01);
}

// Expected: ode_solvers' own continuous output of the same single step.
#[test]
fn the_interpolant_is_the_solvers() {
    struct Swing;
    impl System<f64, DVector<f64>> for Swing {
        fn system(&self, t: f64, y: &DVector<f64>, dy: &mut DVector<f64>) {
            dy[0] = y[1];
            dy[1] = -y[0] + t.sin();
        }
    }
    struct Recorder<'a>(&'a std::cell::RefCell<Stages>);
    impl System<f64, DVector<f64>> for Recorder<'_> {
        fn system(&self, t: f64, y: &DVector<f64>, dy: &mut DVector<f64>) {
            Swing.system(t, y, dy);
            if t > 0.0 {
                let mut stages = self.0.borrow_mut();
                stages.next_stage().copy_from_slice(dy.as_slice());
            }
        }
    }
    let y0 = [1.0, 0.5];
    let h = 0.7;
    let stages = std::cell::RefCell::new(Stages::new(&y0, &[0.5, -1.0], h));
    let mut solver = Dopri5::from_param(
        Recorder(&stages),
        0.0,
        h,
        0.0,
        DVector::from_column_slice(&y0),
        1.0,
        1.0,
        0.9,
        0.04,
        0.2,
        10.0,
        h,
        h,
        10,
        1000,
        ode_solvers::OutputType::Continuous,
    );
    let mut model = ContinuousOutputModel::default();
    solver.integrate_with_continuous_output_model(&mut model).unwrap();
    let end = solver.y_out().last().unwrap();
    let mut dense = Dense::new(2);
    dense.set(&stages.borrow(), end.as_slice(), h);
    let mut y = [0.0; 2];
    for j in 0..=10 {
        let theta = f64::from(j) / 10.0;
        dense.evaluate(theta, &mut y);
        let expected = model.evaluate(theta * h).unwrap();
        close(y[0], expected[0], 1e-14);
        close(y[1], expected[1], 1e-14);
    }
}
