//! Several initial value problems integrated side by side, with the same steps.

use crate::{Crossing, Problem};

/// Problems of one dimension as one: their states stand one behind the other, the first one's events count.
///
/// Why: a derivative of a solution by a parameter taken as the difference of two separate adaptive runs
/// carries the noise of two step histories, about the tolerance over the step of the difference. Run with the
/// same steps, the difference is that of one smooth map, and its error is that of the difference formula:
/// *internal numerical differentiation*, H. G. Bock, in K. H. Ebert, P. Deuflhard, W. Jäger (eds.),
/// *Modelling of Chemical Reaction Systems*, Springer 1981, pages 102-125.
///
/// Valid while the members stay close to the first one: the steps suit all of them, an event of the first
/// stops all; [`Lockstep::delays`] tells when it comes to the others.
///
/// ```
/// use bathkin_numerics::{Lockstep, Options, Problem, advance};
/// # use std::convert::Infallible;
/// struct Decay(f64);
/// impl Problem for Decay {
///     type Error = Infallible;
///     fn dimension(&self) -> usize {
///         1
///     }
///     fn derivative(&self, _: f64, y: &[f64], dy: &mut [f64]) -> Result<(), Infallible> {
///         dy[0] = -self.0 * y[0];
///         Ok(())
///     }
/// }
/// // dy(t)/dk of y = exp(-k t) at k = 0.1, t = 10 is -10 exp(-1), at a tolerance a thousand times coarser.
/// let h = 1e-4;
/// let members = [Decay(0.1), Decay(0.1 - h), Decay(0.1 + h)];
/// let options = Options { relative_tolerance: 1e-6, absolute_tolerance: 1e-8, ..Options::default() };
/// let mut y = [1.0; 3];
/// advance(&Lockstep::new(&members), 0.0, &mut y, 10.0, None, &options)?;
/// let slope = (y[2] - y[1]) / (2.0 * h);
/// assert!((slope + 10.0 * (-1f64).exp()).abs() < 1e-5);
/// # Ok::<(), bathkin_numerics::IntegrationError<Infallible>>(())
/// ```
#[derive(Debug)]
pub struct Lockstep<'a, P> {
    members: &'a [P],
}

impl<'a, P: Problem> Lockstep<'a, P> {
    /// Problems side by side. They share one dimension.
    pub fn new(members: &'a [P]) -> Self {
        Lockstep { members }
    }

    fn each(&self) -> usize {
        self.members.first().map_or(0, Problem::dimension)
    }

    /// How much later than to the first an event comes to each member, in first order: δt = -(g - g_1)/(dg_1/dt), where
    /// `flow` is dy/dt of the first before the event. `None` where the first does not move.
    ///
    /// Where an event of the first stops all, a member is to be carried by δt along the flow before it, and where they
    /// go on, back by δt along the flow after it; without that the derivative lacks the shift of the event. For a jump of the
    /// flow this is the jump condition of sensitivities: E. N. Rozenvasser, *General sensitivity equations of
    /// discontinuous systems*, Automation and Remote Control 28 (1967) (from memory).
    ///
    /// # Errors
    /// Those of the problem.
    pub fn delays(
        &self,
        time: f64,
        state: &[f64],
        event: usize,
        flow: &[f64],
    ) -> Result<Option<Vec<f64>>, P::Error> {
        // Short against all that happens, long against rounding.
        const A_MOMENT: f64 = 1e-3;
        let Some(first) = self.members.first() else { return Ok(None) };
        let mut values = vec![0.0; first.event_count()];
        let mut at = |member: &P, time: f64, state: &[f64]| -> Result<f64, P::Error> {
            member.event_values(time, state, &mut values)?;
            Ok(values[event])
        };
        let each = self.each();
        let here = at(first, time, &state[..each])?;
        let soon: Vec<f64> = state[..each].iter().zip(flow).map(|(y, f)| y + A_MOMENT * f).collect();
        let falls = (at(first, time + A_MOMENT, &soon)? - here) / A_MOMENT;
        if falls == 0.0 {
            return Ok(None);
        }
        let members = self.members.iter().zip(state.chunks_exact(each));
        let delays = members.map(|(member, state)| Ok((here - at(member, time, state)?) / falls));
        delays.collect::<Result<Vec<f64>, P::Error>>().map(Some)
    }

    /// Adds δt d to the state of each member.
    pub fn shift(&self, state: &mut [f64], delays: &[f64], direction: &[f64]) {
        for (state, delay) in state.chunks_exact_mut(self.each()).zip(delays) {
            state.iter_mut().zip(direction).for_each(|(y, d)| *y += delay * d);
        }
    }
}

impl<P: Problem> Problem for Lockstep<'_, P> {
    type Error = P::Error;

    fn dimension(&self) -> usize {
        self.members.iter().map(Problem::dimension).sum()
    }

    fn derivative(&self, time: f64, state: &[f64], derivative: &mut [f64]) -> Result<(), P::Error> {
        let each = self.each();
        let states = state.chunks_exact(each).zip(derivative.chunks_exact_mut(each));
        self.members
            .iter()
            .zip(states)
            .try_for_each(|(member, (state, derivative))| member.derivative(time, state, derivative))
    }

    fn event_count(&self) -> usize {
        self.members.first().map_or(0, Problem::event_count)
    }

    fn event_values(&self, time: f64, state: &[f64], values: &mut [f64]) -> Result<(), P::Error> {
        self.members.first().map_or(Ok(()), |first| first.event_values(time, &state[..self.each()], values))
    }

    fn event_direction(&self, index: usize) -> Crossing {
        self.members.first().map_or(Crossing::Falling, |first| first.event_direction(index))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Options, Stop, advance};
    use std::convert::Infallible;

    /// y' = -k y^0.8, z' = 1, until y falls to a half: z then is the time that took.
    struct Falling(f64);

    impl Problem for Falling {
        type Error = Infallible;
        fn dimension(&self) -> usize {
            2
        }
        fn derivative(&self, _: f64, y: &[f64], dy: &mut [f64]) -> Result<(), Infallible> {
            (dy[0], dy[1]) = (-self.0 * y[0].powf(0.8), 1.0);
            Ok(())
        }
        fn event_count(&self) -> usize {
            1
        }
        fn event_values(&self, _: f64, y: &[f64], values: &mut [f64]) -> Result<(), Infallible> {
            values[0] = y[0] - 0.5;
            Ok(())
        }
    }

    /// Producer: the closed form, t = 5 (1 - 0.5^0.2)/k, so dt/dk = -t/k; without the delay the difference is zero.
    #[test]
    fn the_event_comes_to_each_at_its_own_time() {
        let (k, h) = (0.1, 1e-6);
        let members = [Falling(k), Falling(k - h), Falling(k + h)];
        let lockstep = Lockstep::new(&members);
        let mut y = [1.0, 0.0, 1.0, 0.0, 1.0, 0.0];
        let options = Options { relative_tolerance: 1e-10, absolute_tolerance: 1e-12, ..Options::default() };
        let arrival = advance(&lockstep, 0.0, &mut y, 100.0, None, &options).expect("arrives");
        assert_eq!(arrival.stop, Stop::Event { index: 0 });
        assert_eq!(y[5] - y[3], 0.0);
        let mut flow = [0.0; 2];
        members[0].derivative(arrival.time, &y[..2], &mut flow).expect("a flow");
        let delays = lockstep.delays(arrival.time, &y, 0, &flow).expect("delays").expect("it moves");
        lockstep.shift(&mut y, &delays, &flow);
        let (slope, expected) = ((y[5] - y[3]) / (2.0 * h), -5.0 * (1.0 - 0.5_f64.powf(0.2)) / k / k);
        assert!((slope / expected - 1.0).abs() < 1e-6, "{slope} {expected}");
    }
}
