//! What is remembered of a step: its stage derivatives, hence its error and the next step.
//!
//! The solver hands out neither the step it would take next nor, while it runs, a way to look
//! inside the step just taken. Both follow from the stage derivatives, and those pass through the
//! right-hand side anyway.

use crate::Options;
use crate::error::Limiting;

/// Error coefficients of the Dormand-Prince pair 5(4): `e = h Σ E_i k_i`
/// (Hairer, Nørsett, Wanner, *Solving Ordinary Differential Equations I*, II.5).
const ERROR: [f64; 7] =
    [71.0 / 57600.0, 0.0, -71.0 / 16695.0, 71.0 / 1920.0, -17253.0 / 339200.0, 22.0 / 525.0, -1.0 / 40.0];

/// Constants of the solver's step control, handed to it and repeated in the proposal.
pub(crate) const SAFETY: f64 = 0.9;
pub(crate) const BETA: f64 = 0.04;
pub(crate) const SHRINK_LIMIT: f64 = 0.2;
pub(crate) const GROWTH_LIMIT: f64 = 10.0;

/// Evaluations of the right-hand side in one attempted step (the first stage is the last of the
/// step before).
const STAGES: usize = 6;

pub(crate) struct Stages {
    n: usize,
    /// Seven stage derivatives, one after the other.
    k: Vec<f64>,
    /// State at the start of the step.
    state: Vec<f64>,
    /// Local time at the start of the step.
    x: f64,
    /// Calls since the last accepted step.
    calls: usize,
    /// Error of the last accepted step, not below 1e-4 (memory of the step control).
    last_error: f64,
    /// What the last accepted step was shortest for.
    limiting: Option<Limiting>,
    /// Step proposed after the last accepted step; zero when unknown.
    proposal: f64,
}

impl Stages {
    pub(crate) fn new(state: &[f64], first_derivative: &[f64], first_step: f64) -> Self {
        let n = state.len();
        let mut k = vec![0.0; 7 * n];
        k[..n].copy_from_slice(first_derivative);
        let state = state.to_vec();
        Self { n, k, state, x: 0.0, calls: 0, last_error: 1e-4, limiting: None, proposal: first_step }
    }

    pub(crate) fn x(&self) -> f64 {
        self.x
    }

    pub(crate) fn state(&self) -> &[f64] {
        &self.state
    }

    pub(crate) fn limiting(&self) -> Option<Limiting> {
        self.limiting
    }

    pub(crate) fn proposal(&self) -> f64 {
        self.proposal
    }

    pub(crate) fn stage(&self, index: usize) -> &[f64] {
        &self.k[index * self.n..(index + 1) * self.n]
    }

    /// The solver asks for the derivative at the start: the stages count from here.
    pub(crate) fn at_start(&mut self) -> &[f64] {
        self.calls = 0;
        &self.k[..self.n]
    }

    /// Place for the derivative of the next stage.
    pub(crate) fn next_stage(&mut self) -> &mut [f64] {
        let stage = self.calls % STAGES + 1;
        self.calls += 1;
        &mut self.k[stage * self.n..(stage + 1) * self.n]
    }

    /// Length of the step that ends at `x`.
    pub(crate) fn length(&self, x: f64) -> f64 {
        x - self.x
    }

    /// Closes an accepted step that ends in `state` at `x`.
    pub(crate) fn accept(&mut self, x: f64, state: &[f64], options: &Options) {
        let h = self.length(x);
        let error = self.error(h, state, options);
        // Same rule as the solver's (PI controller of Hairer, Nørsett, Wanner, II.4).
        let factor = error.powf(0.2 - 0.75 * BETA) * self.last_error.powf(-BETA) / SAFETY;
        let rejected = self.calls > STAGES;
        let mut next = h / factor.clamp(1.0 / GROWTH_LIMIT, 1.0 / SHRINK_LIMIT);
        if rejected {
            next = next.min(h);
        } else if h < 0.99 * self.proposal {
            // The step was cut to end in time, not for its error: the longer one still stands.
            next = next.max(self.proposal);
        }
        self.proposal = next;
        self.last_error = error.max(1e-4);
        self.x = x;
        self.state.copy_from_slice(state);
        self.k.copy_within(6 * self.n.., 0);
        self.calls = 0;
    }

    fn error(&mut self, h: f64, state: &[f64], options: &Options) -> f64 {
        let n = self.n;
        let mut sum = 0.0;
        let mut limiting = Limiting { slot: 0, error: 0.0 };
        for (i, (before, after)) in self.state.iter().zip(state).enumerate() {
            let mut error = 0.0;
            for (s, coefficient) in ERROR.iter().enumerate() {
                error += coefficient * self.k[s * n + i];
            }
            let scale =
                options.absolute_tolerance + options.relative_tolerance * before.abs().max(after.abs());
            let error = (h * error / scale).abs();
            if error > limiting.error {
                limiting = Limiting { slot: i, error };
            }
            sum += error.powi(2);
        }
        self.limiting = Some(limiting);
        (sum / n as f64).sqrt()
    }
}
