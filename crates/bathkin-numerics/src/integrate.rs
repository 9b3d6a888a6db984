//! Integration to an exact stop or to the first event.

use std::cell::RefCell;

use nalgebra::DVector;
use ode_solvers::dop_shared::IntegrationError as SolverError;
use ode_solvers::{Dopri5, OutputType, System};

use crate::dense::Dense;
use crate::events::{Found, ScanError, Watch};
use crate::inside_step::{InsideStep, event_values};
use crate::stages::{BETA, GROWTH_LIMIT, SAFETY, SHRINK_LIMIT, Stages};
use crate::{IntegrationError, Options, Problem};

/// Attempts at one step in which the right-hand side may fail; each is a fifth as long as the one
/// before, so that the last is some 1e-8 of the first.
const MAX_FAILED_ATTEMPTS: u32 = 12;

/// Accepted steps after which the solver looks for stiffness.
const STIFFNESS_TEST_EVERY: u32 = 1000;

/// Why the integration came to rest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stop {
    /// The end was reached.
    End,
    /// An event fired; the lowest index if several did at the same time.
    Event {
        /// Which.
        index: usize,
    },
}

/// Where and why the integration came to rest.
#[derive(Debug, Clone, PartialEq)]
pub struct Arrival {
    /// Time of the state returned; exactly the end asked for if no event came.
    pub time: f64,
    /// End or event.
    pub stop: Stop,
    /// Further events crossed at the returned state, at most `event_time_tolerance` apart from
    /// the first. They are past for a restart and would otherwise be lost.
    pub also_crossed: Vec<usize>,
    /// Evaluations of the right-hand side.
    pub evaluations: u64,
    /// Accepted steps.
    pub steps: u64,
    /// Step to begin the next segment with, as its `first_step`.
    pub next_step: f64,
}

/// Carries `state` from `start` to `end` or to the first event, whichever is earlier.
///
/// Method: explicit Runge-Kutta of Dormand and Prince, order 5(4), with its fourth-order
/// interpolant to look inside a step. `first_step` avoids the estimate of a first step, one
/// evaluation; give the `next_step` of the segment before. `None` or zero asks for the estimate.
///
/// An event is armed while its function is on the side it must come from (positive for
/// [`Falling`](crate::Crossing::Falling)) and fires when it reaches zero or passes it. One that is
/// past or at zero at `start` is not armed until it has come back. The state returned is on the
/// crossed side, so going on from it does not meet the same event again.
///
/// # Errors
///
/// [`IntegrationError`]; `state` is then unchanged.
///
/// ```
/// use bathkin_numerics::{Options, Problem, advance};
/// # use std::convert::Infallible;
/// struct Decay;
/// impl Problem for Decay {
///     type Error = Infallible;
///     fn dimension(&self) -> usize {
///         1
///     }
///     fn derivative(&self, _: f64, y: &[f64], dy: &mut [f64]) -> Result<(), Infallible> {
///         dy[0] = -0.1 * y[0];
///         Ok(())
///     }
/// }
/// let mut y = [1.0];
/// let arrival = advance(&Decay, 0.0, &mut y, 10.0, None, &Options::default())?;
/// assert_eq!(arrival.time, 10.0);
/// assert!((y[0] - (-1f64).exp()).abs() < 1e-8);
/// # Ok::<(), bathkin_numerics::IntegrationError<Infallible>>(())
/// ```
pub fn advance<P: Problem>(
    problem: &P,
    start: f64,
    state: &mut [f64],
    end: f64,
    first_step: Option<f64>,
    options: &Options,
) -> Result<Arrival, IntegrationError<P::Error>> {
    let mut first_step = first_step.unwrap_or(0.0);
    check(problem, start, state, end, first_step, options)?;
    if start == end {
        return Ok(Arrival {
            time: end,
            stop: Stop::End,
            also_crossed: Vec::new(),
            evaluations: 0,
            steps: 0,
            next_step: first_step,
        });
    }

    // Local time: the solver's smallest step is relative to its clock, which a late start would
    // make coarse.
    let length = end - start;
    let longest = options.max_step.unwrap_or(f64::MAX);
    first_step = first_step.min(longest);

    let y = DVector::from_column_slice(state);
    let mut derivative = vec![0.0; y.len()];
    problem
        .derivative(start, state, &mut derivative)
        .map_err(|source| IntegrationError::RightHandSide { time: start, source })?;
    if !finite(&derivative) {
        return Err(IntegrationError::NotFinite { time: start });
    }
    let run = RefCell::new(Run {
        stages: Stages::new(state, &derivative, first_step),
        lookout: Lookout::new(problem, start, state, options)?,
        evaluations: 1,
        steps: 0,
        failed_attempts: 0,
        failure: None,
        found: None,
    });
    let mut solver = Dopri5::from_param(
        Adapter { problem, start, end, length, options, run: &run },
        0.0,
        length,
        0.0, // grid of the output, unused in this mode
        y,
        options.relative_tolerance,
        options.absolute_tolerance,
        SAFETY,
        BETA,
        SHRINK_LIMIT,
        GROWTH_LIMIT,
        longest.min(length),
        first_step.min(length),
        options.max_steps,
        STIFFNESS_TEST_EVERY,
        OutputType::Sparse,
    );
    let result = solver.integrate();
    drop(solver);
    let run = run.into_inner();

    if let Some(failure) = run.failure {
        return Err(failure);
    }
    let limiting = run.stages.limiting();
    result.map_err(|error| match error {
        SolverError::MaxNumStepReached { x, .. } => {
            IntegrationError::TooManySteps { time: start + x, steps: options.max_steps, limiting }
        }
        SolverError::StepSizeUnderflow { x } => IntegrationError::StepTooSmall { time: start + x, limiting },
        SolverError::StiffnessDetected { x } => IntegrationError::Stiff { time: start + x, limiting },
    })?;
    let (time, stop, also_crossed) = match (run.found, &run.lookout) {
        (Some((time, found)), Some(lookout)) => {
            state.copy_from_slice(&lookout.state);
            (time, Stop::Event { index: found.index }, found.also)
        }
        _ => {
            state.copy_from_slice(run.stages.state());
            (end, Stop::End, Vec::new())
        }
    };
    Ok(Arrival {
        time,
        stop,
        also_crossed,
        evaluations: run.evaluations,
        steps: run.steps,
        next_step: run.stages.proposal().min(longest),
    })
}

fn check<P: Problem>(
    problem: &P,
    start: f64,
    state: &[f64],
    end: f64,
    first_step: f64,
    options: &Options,
) -> Result<(), IntegrationError<P::Error>> {
    options.check()?;
    let bad = |what, value| Err(IntegrationError::BadOptions { what, value });
    if !start.is_finite() {
        return bad("start", start);
    }
    // The length must be finite too, which two finite times do not guarantee.
    if !(end >= start && (end - start).is_finite()) {
        return bad("end", end);
    }
    if !(first_step >= 0.0 && first_step.is_finite()) {
        return bad("first_step", first_step);
    }
    if problem.dimension() == 0 || state.len() != problem.dimension() {
        return bad("length of the state", state.len() as f64);
    }
    if !finite(state) {
        return Err(IntegrationError::NotFinite { time: start });
    }
    Ok(())
}

fn finite(values: &[f64]) -> bool {
    values.iter().all(|value| value.is_finite())
}

/// What is remembered during a run.
struct Run<E> {
    stages: Stages,
    /// Absent when the problem has no events.
    lookout: Option<Lookout>,
    evaluations: u64,
    steps: u64,
    /// Attempts at the present step that failed in the right-hand side.
    failed_attempts: u32,
    /// Why the present step failed last; counts only if no later attempt succeeds.
    failure: Option<IntegrationError<E>>,
    found: Option<(f64, Found)>,
}

/// What is needed to look for events.
struct Lookout {
    watch: Watch,
    dense: Dense,
    /// State between the ends of a step.
    state: Vec<f64>,
}

impl Lookout {
    fn new<P: Problem>(
        problem: &P,
        start: f64,
        state: &[f64],
        options: &Options,
    ) -> Result<Option<Self>, IntegrationError<P::Error>> {
        let count = problem.event_count();
        if count == 0 {
            return Ok(None);
        }
        let directions = (0..count).map(|i| problem.event_direction(i)).collect();
        let mut values = vec![0.0; count];
        event_values(problem, start, state, &mut values)?;
        Ok(Some(Self {
            watch: Watch::new(directions, values, options.samples_per_step),
            dense: Dense::new(state.len()),
            state: state.to_vec(),
        }))
    }
}

/// The problem as the solver sees it. The solver owns it and knows no errors, hence the cell.
struct Adapter<'a, P: Problem> {
    problem: &'a P,
    start: f64,
    end: f64,
    length: f64,
    options: &'a Options,
    run: &'a RefCell<Run<P::Error>>,
}

impl<P: Problem> Adapter<'_, P> {
    /// Time on the caller's clock; the solver's last step may miss its end by a rounding error.
    fn time(&self, x: f64) -> f64 {
        if x >= self.length * (1.0 - 4.0 * f64::EPSILON) { self.end } else { (self.start + x).min(self.end) }
    }

    /// Looks for events in the step that ends in `state` at `x`.
    fn look(
        &self,
        stages: &Stages,
        lookout: &mut Lookout,
        x: f64,
        state: &[f64],
    ) -> Result<Option<(f64, Found)>, IntegrationError<P::Error>> {
        let Lookout { watch, dense, state: between } = lookout;
        let from = stages.x();
        let h = stages.length(x);
        dense.set(stages, state, h);
        let time = |theta: f64| self.time(if theta < 1.0 { from + theta * h } else { x });
        let mut step = InsideStep { problem: self.problem, time, dense, end: state, between };
        let resolution = f64::EPSILON * self.end.abs().max(self.start.abs());
        let tolerance = self.options.event_time_tolerance.max(resolution) / h;
        // The scan evaluates last at the event, so `between` is left as the state there.
        match watch.scan(&mut step, tolerance) {
            Ok(found) => Ok(found.map(|found| (time(found.theta), found))),
            Err(ScanError::Function(error)) => Err(error),
            Err(ScanError::NotLocated { index, theta }) => {
                Err(IntegrationError::EventNotLocated { index, time: time(theta) })
            }
        }
    }
}

impl<P: Problem> System<f64, DVector<f64>> for Adapter<'_, P> {
    fn system(&self, x: f64, y: &DVector<f64>, dy: &mut DVector<f64>) {
        let (y, dy) = (y.as_slice(), dy.as_mut_slice());
        let mut run = self.run.borrow_mut();
        let given_up = run.failed_attempts >= MAX_FAILED_ATTEMPTS;
        if x == 0.0 && !given_up {
            // Known already; the solver asks once for its steps and once for the first step.
            dy.copy_from_slice(run.stages.at_start());
            return;
        }
        if given_up || !finite(y) {
            // A NaN state comes from an earlier stage that failed. The NaN makes the solver
            // reject the step, and end with an underflow if that goes on.
            run.stages.next_stage();
            dy.fill(f64::NAN);
            return;
        }
        run.evaluations += 1;
        drop(run);
        let time = self.time(x);
        let result = self.problem.derivative(time, y, dy);
        let run = &mut *self.run.borrow_mut();
        let stage = run.stages.next_stage();
        run.failure = match result {
            Ok(()) if finite(dy) => {
                stage.copy_from_slice(dy);
                return;
            }
            Ok(()) => Some(IntegrationError::NotFinite { time }),
            Err(source) => Some(IntegrationError::RightHandSide { time, source }),
        };
        run.failed_attempts += 1;
        dy.fill(f64::NAN);
    }

    fn solout(&mut self, x: f64, y: &DVector<f64>, _: &DVector<f64>) -> bool {
        let y = y.as_slice();
        let run = &mut *self.run.borrow_mut();
        run.steps += 1;
        run.failed_attempts = 0;
        run.failure = None;
        if !finite(y) {
            // The solver's error norm can overlook an overflow.
            run.failure = Some(IntegrationError::NotFinite { time: self.time(x) });
            return true;
        }
        if let Some(lookout) = &mut run.lookout {
            match self.look(&run.stages, lookout, x, y) {
                Ok(found) => run.found = found,
                Err(error) => run.failure = Some(error),
            }
        }
        run.stages.accept(x, y, self.options);
        run.found.is_some() || run.failure.is_some()
    }
}
