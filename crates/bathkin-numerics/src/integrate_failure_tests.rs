//! Every way an integration may fail, and what it recovers from.

use std::cell::Cell;

use crate::error::Limiting;
use crate::test_problems::{Closures, close, plain, run, with_events};
use crate::{Crossing, IntegrationError, Options, advance};

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
    let (IntegrationError::StepTooSmall { time, .. } | IntegrationError::NotFinite { time }) = error else {
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
        Err(IntegrationError::TooManySteps { steps: 3, time, limiting: Some(Limiting { slot: 0, error }) })
            if time > 0.0 && error > 0.0 && error <= 1.0
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
