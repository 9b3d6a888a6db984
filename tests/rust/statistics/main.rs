//! Statistics without chemistry: fits, intervals, priors, rankings, designs.

mod asked_in_public;
mod bounds;
mod censored;
mod correlation;
mod coverage;
mod cross_validation;
mod design;
mod importance;
mod kalman;
mod line;
mod mixed;
mod nist;
mod optimise;
mod priors;
mod robust;
mod scipy;
mod sensitivity;
mod sobol;
mod straight;
mod streaming;
mod thresholds;
