//! Integration against closed forms, and every way it may end.

use std::cell::Cell;

use nalgebra::DVector;
use ode_solvers::continuous_output_model::ContinuousOutputModel;
use ode_solvers::{Dopri5, System};

use crate::dense::Dense;
use crate::stages::Stages;
use crate::{Arrival, Crossing, IntegrationError, Options, Problem, Stop, advance};

/// One problem given by closures.
struct Closures<F, G> {
    n: usize,
    rate: F,
    events: Vec<Crossing>,
    event: G,
}

impl<F, G> Problem for Closures<F, G>
where
    F: Fn(f64, &[f64], &mut [f64]) -> Result<(), &'static str>,
    G: Fn(f64, &[f64], &mut [f64]) -> Result<(), &'static str>,
{
    type Error = &'static str;
    fn dimension(&self) -> usize {
        self.n
    }
    fn derivative(&self, t: f64, y: &[f64], dy: &mut [f64]) -> Result<(), &'static str> {
        (self.rate)(t, y, dy)
    }
    fn event_count(&self) -> usize {
        self.events.len()
    }
    fn event_values(&self, t: f64, y: &[f64], g: &mut [f64]) -> Result<(), &'static str> {
        (self.event)(t, y, g)
    }
    fn event_direction(&self, index: usize) -> Crossing {
        self.events[index]
    }
}

/// A scalar problem without events.
fn plain(rate: impl Fn(f64, f64) -> f64) -> impl Problem<Error = &'static str> {
    with_events(rate, vec![], |_, _, _| {})
}

/// A scalar problem with events.
fn with_events(
    rate: impl Fn(f64, f64) -> f64,
    events: Vec<Crossing>,
    event: impl Fn(f64, f64, &mut [f64]),
) -> impl Problem<Error = &'static str> {
    Closures {
        n: 1,
        rate: move |t: f64, y: &[f64], dy: &mut [f64]| {
            dy[0] = rate(t, y[0]);
            Ok(())
        },
        events,
        event: move |t: f64, y: &[f64], g: &mut [f64]| {
            event(t, y[0], g);
            Ok(())
        },
    }
}

fn run<P: Problem<Error = &'static str>>(
    problem: &P,
    start: f64,
    y: &mut f64,
    end: f64,
) -> Result<Arrival, IntegrationError<&'static str>> {
    advance(problem, start, std::slice::from_mut(y), end, None, &Options::default())
}

fn close(actual: f64, expected: f64, allowed: f64) {
    assert!((actual - expected).abs() <= allowed, "{actual} instead of {expected}");
}

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

#[test]
fn failures_surface_with_their_time_and_leave_the_state() {
    let fails_after = |limit: f64, value: Result<f64, &'static str>| Closures {
        n: 1,
        rate: move |t: f64, _: &[f64], dy: &mut [f64]| {
            dy[0] = if t > limit { value? } else { 1.0 };
            Ok(())
        },
        events: vec![],
        event: |_: f64, _: &[f64], _: &mut [f64]| Ok(()),
    };
    for limit in [-1.0f64, 0.0, 2.5] {
        let expected = limit.max(0.0);
        let mut y = 4.0;
        match run(&fails_after(limit, Err("broken")), 0.0, &mut y, 5.0) {
            Err(IntegrationError::RightHandSide { time, source }) => {
                close(time, expected, 1e-3);
                assert_eq!(source, "broken");
            }
            other => panic!("{other:?}"),
        }
        for value in [f64::NAN, f64::INFINITY] {
            match run(&fails_after(limit, Ok(value)), 0.0, &mut y, 5.0) {
                Err(IntegrationError::NotFinite { time }) => close(time, expected, 1e-3),
                other => panic!("{other:?}"),
            }
        }
        assert_eq!(y, 4.0);
    }
}

// Expected: exp(−10); a first step of 10 leads the trial states far below zero, where the rate
// fails, and shorter steps never do.
#[test]
fn a_failure_at_a_trial_state_is_recovered() {
    let failures = Cell::new(0);
    let problem = Closures {
        n: 1,
        rate: |_: f64, y: &[f64], dy: &mut [f64]| {
            if y[0] < -0.1 {
                failures.set(failures.get() + 1);
                return Err("negative");
            }
            dy[0] = -y[0];
            Ok(())
        },
        events: vec![],
        event: |_: f64, _: &[f64], _: &mut [f64]| Ok(()),
    };
    let mut y = [1.0];
    advance(&problem, 0.0, &mut y, 10.0, Some(10.0), &Options::default()).unwrap();
    assert!(failures.get() > 0);
    close(y[0], (-10f64).exp(), 1e-8);
}

// Expected: y' = y², y(0) = 1 has its pole at t = 1.
#[test]
fn a_pole_is_never_a_success() {
    let mut y = 1.0;
    let error = run(&plain(|_, y| y * y), 0.0, &mut y, 2.0).unwrap_err();
    let (IntegrationError::StepTooSmall { time } | IntegrationError::NotFinite { time }) = error else {
        panic!("{error:?}");
    };
    close(time, 1.0, 1e-6);
    assert_eq!(y, 1.0);
}

#[test]
fn other_causes() {
    let options = Options::default();
    let decay = plain(|_, y| -y);
    let mut y = [1.0];
    let few = Options { max_steps: 3, ..options.clone() };
    assert!(matches!(
        advance(&decay, 0.0, &mut y, 100.0, None, &few),
        Err(IntegrationError::TooManySteps { steps: 3, time }) if time > 0.0
    ));
    assert!(matches!(
        advance(&plain(|t, y| 1e6 * (t.sin() - y)), 0.0, &mut y, 10.0, None, &options),
        Err(IntegrationError::Stiff { .. })
    ));
    let events = |value: f64| {
        with_events(
            |_, _| 1.0,
            vec![Crossing::Falling],
            move |t, _, g| {
                g[0] = if t > 0.5 { value } else { 1.0 };
            },
        )
    };
    assert!(matches!(
        advance(&events(f64::NAN), 0.0, &mut y, 1.0, None, &options),
        Err(IntegrationError::EventNotFinite { index: 0, time }) if time > 0.5
    ));
    let failing = Closures {
        n: 1,
        rate: |_: f64, _: &[f64], dy: &mut [f64]| {
            dy[0] = 1.0;
            Ok(())
        },
        events: vec![Crossing::Falling],
        event: |t: f64, _: &[f64], g: &mut [f64]| {
            g[0] = 1.0;
            if t > 0.5 { Err("event") } else { Ok(()) }
        },
    };
    assert!(matches!(
        advance(&failing, 0.0, &mut y, 1.0, None, &options),
        Err(IntegrationError::EventFunction { source: "event", time }) if time > 0.5
    ));

    let bad = |start, end, step, options: &Options, expected| {
        let mut y = [1.0];
        match advance(&decay, start, &mut y, end, step, options) {
            Err(IntegrationError::BadOptions { what, .. }) => assert_eq!(what, expected),
            other => panic!("{other:?}"),
        }
    };
    bad(1.0, 0.0, None, &options, "end");
    bad(0.0, f64::NAN, None, &options, "end");
    bad(f64::INFINITY, 1.0, None, &options, "start");
    bad(0.0, 1.0, Some(-1.0), &options, "first_step");
    let change = |f: fn(&mut Options)| {
        let mut changed = Options::default();
        f(&mut changed);
        changed
    };
    bad(0.0, 1.0, None, &change(|o| o.relative_tolerance = 0.0), "relative_tolerance");
    bad(0.0, 1.0, None, &change(|o| o.absolute_tolerance = f64::NAN), "absolute_tolerance");
    bad(0.0, 1.0, None, &change(|o| o.event_time_tolerance = -1.0), "event_time_tolerance");
    bad(0.0, 1.0, None, &change(|o| o.max_steps = 0), "max_steps");
    bad(0.0, 1.0, None, &change(|o| o.max_step = Some(0.0)), "max_step");
    assert_eq!(y, [1.0]);
    assert!(matches!(
        advance(&decay, 0.0, &mut [1.0, 2.0], 1.0, None, &options),
        Err(IntegrationError::BadOptions { what: "length of the state", .. })
    ));
    assert_eq!(
        advance(&decay, 2.0, &mut [f64::NAN], 3.0, None, &options),
        Err(IntegrationError::NotFinite { time: 2.0 })
    );
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
