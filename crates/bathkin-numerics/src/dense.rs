//! The solution between the ends of a step.
//!
//! The solver's own continuous output is not used: it is complete only after the run, allocates
//! for every interval and every evaluation, and files its intervals under the absolute value of
//! time. The same polynomial is built here from the remembered stages, into one buffer.

use crate::stages::Stages;

/// Coefficients of the fourth-order interpolant of the Dormand-Prince pair
/// (Hairer, Nørsett, Wanner, *Solving Ordinary Differential Equations I*, II.6, code DOPRI5).
const DENSE: [f64; 7] = [
    -12_715_105_075.0 / 11_282_082_432.0,
    0.0,
    87_487_479_700.0 / 32_700_410_799.0,
    -10_690_763_975.0 / 1_880_347_072.0,
    701_980_252_875.0 / 199_316_789_632.0,
    -1_453_857_185.0 / 822_651_844.0,
    69_997_945.0 / 29_380_423.0,
];

/// The interpolant `r0 + θ (r1 + θ' (r2 + θ (r3 + θ' r4)))` with `θ' = 1 − θ`, `θ` from 0 to 1
/// over the step.
pub(crate) struct Dense {
    coefficients: Vec<[f64; 5]>,
}

impl Dense {
    pub(crate) fn new(n: usize) -> Self {
        Self { coefficients: vec![[0.0; 5]; n] }
    }

    /// Takes the step from the remembered start to `state`, `h` long.
    pub(crate) fn set(&mut self, stages: &Stages, state: &[f64], h: f64) {
        let k: [&[f64]; 7] = std::array::from_fn(|s| stages.stage(s));
        let start = stages.state();
        for (i, r) in self.coefficients.iter_mut().enumerate() {
            let rise = state[i] - start[i];
            let bend = h * k[0][i] - rise;
            let mut correction = 0.0;
            for (s, coefficient) in DENSE.iter().enumerate() {
                correction += coefficient * k[s][i];
            }
            *r = [start[i], rise, bend, rise - h * k[6][i] - bend, h * correction];
        }
    }

    pub(crate) fn evaluate(&self, theta: f64, state: &mut [f64]) {
        let rest = 1.0 - theta;
        for (value, r) in state.iter_mut().zip(&self.coefficients) {
            *value = r[0] + theta * (r[1] + rest * (r[2] + theta * (r[3] + rest * r[4])));
        }
    }
}
