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
/// stops all.
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
