//! What one segment costs beside the right-hand side: 30 states of first-order decay, carried
//! through many segments of about two steps each, without and with event functions.
//!
//! Run with `cargo run --release -p bathkin-numerics --example segment_cost`.

use std::convert::Infallible;
use std::time::Instant;

use bathkin_numerics::{IntegrationError, Options, Problem, advance};

const STATES: usize = 30;
const SEGMENTS: u32 = 20_000;

struct Decay {
    events: usize,
}

impl Problem for Decay {
    type Error = Infallible;

    fn dimension(&self) -> usize {
        STATES
    }

    fn derivative(&self, _: f64, y: &[f64], dy: &mut [f64]) -> Result<(), Infallible> {
        for (rate, y) in dy.iter_mut().zip(y) {
            *rate = -y;
        }
        Ok(())
    }

    fn event_count(&self) -> usize {
        self.events
    }

    fn event_values(&self, _: f64, y: &[f64], values: &mut [f64]) -> Result<(), Infallible> {
        for (value, y) in values.iter_mut().zip(y) {
            *value = y - 0.2;
        }
        Ok(())
    }
}

fn main() -> Result<(), IntegrationError<Infallible>> {
    for events in [0, 4] {
        let problem = Decay { events };
        let options = Options::default();
        let mut best = f64::INFINITY;
        let (mut steps, mut evaluations) = (0, 0);
        for _ in 0..5 {
            let clock = Instant::now();
            (steps, evaluations) = (0, 0);
            let mut next_step = None;
            for segment in 0..SEGMENTS {
                let mut y = [1.0; STATES];
                let start = f64::from(segment);
                let arrival = advance(&problem, start, &mut y, start + 0.12, next_step, &options)?;
                steps += arrival.steps;
                evaluations += arrival.evaluations;
                next_step = Some(arrival.next_step);
            }
            best = best.min(clock.elapsed().as_secs_f64());
        }
        let per_segment = |total: f64| total / f64::from(SEGMENTS);
        println!(
            "{events} events: {:.2} µs, {:.2} steps, {:.1} evaluations per segment",
            1e6 * per_segment(best),
            per_segment(steps as f64),
            per_segment(evaluations as f64),
        );
    }
    Ok(())
}
