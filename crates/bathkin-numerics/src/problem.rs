//! What the integrator asks of a problem.

/// Which way an event function must pass zero to count.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Crossing {
    /// From positive to zero or below.
    Falling,
    /// From negative to zero or above.
    Rising,
    /// Either of the two.
    Either,
}

/// An initial value problem `dy/dt = f(t, y)` with event functions `g(t, y)`.
///
/// All methods take `&self`; scratch space goes into a `Cell` or `RefCell` of the implementer.
///
/// ```
/// use bathkin_numerics::{Options, Problem, Stop, advance};
/// use std::convert::Infallible;
///
/// /// A body falling from rest: height and speed, event when the height passes zero.
/// struct Fall;
/// impl Problem for Fall {
///     type Error = Infallible;
///     fn dimension(&self) -> usize {
///         2
///     }
///     fn derivative(&self, _: f64, y: &[f64], dy: &mut [f64]) -> Result<(), Infallible> {
///         dy[0] = y[1];
///         dy[1] = -9.81;
///         Ok(())
///     }
///     fn event_count(&self) -> usize {
///         1
///     }
///     fn event_values(&self, _: f64, y: &[f64], g: &mut [f64]) -> Result<(), Infallible> {
///         g[0] = y[0];
///         Ok(())
///     }
/// }
///
/// let mut y = [2.0, 0.0];
/// let arrival = advance(&Fall, 0.0, &mut y, 10.0, None, &Options::default())?;
/// assert_eq!(arrival.stop, Stop::Event { index: 0 });
/// assert!((arrival.time - (2.0f64 * 2.0 / 9.81).sqrt()).abs() < 1e-8);
/// # Ok::<(), bathkin_numerics::IntegrationError<Infallible>>(())
/// ```
pub trait Problem {
    /// What the problem's own functions may fail with.
    type Error;

    /// Number of states.
    fn dimension(&self) -> usize;

    /// Writes `dy/dt` at `time` and `state` into `derivative`.
    ///
    /// The integrator also asks at trial states that it may discard. A failure or a value that is
    /// not finite makes it try again with a shorter step; only when that does not help is the
    /// failure reported. States handed in are always finite.
    ///
    /// # Errors
    ///
    /// Whatever the problem needs; see [`IntegrationError::RightHandSide`](crate::IntegrationError).
    fn derivative(&self, time: f64, state: &[f64], derivative: &mut [f64]) -> Result<(), Self::Error>;

    /// Number of event functions.
    fn event_count(&self) -> usize {
        0
    }

    /// Writes the event functions at `time` and `state` into `values`, which must all be finite.
    ///
    /// Called at accepted states and at interpolated states between them.
    ///
    /// # Errors
    ///
    /// Whatever the problem needs; reported at once as
    /// [`IntegrationError::EventFunction`](crate::IntegrationError).
    fn event_values(&self, time: f64, state: &[f64], values: &mut [f64]) -> Result<(), Self::Error> {
        let _ = (time, state, values);
        Ok(())
    }

    /// One event function at `time` and `state`: what [`event_values`](Self::event_values) writes at `index`.
    ///
    /// Asked for while a crossing is narrowed down; worth its own implementation where one function costs less than
    /// all. `values` is memory for all of them.
    ///
    /// # Errors
    ///
    /// As [`event_values`](Self::event_values).
    fn event_value(
        &self,
        index: usize,
        time: f64,
        state: &[f64],
        values: &mut [f64],
    ) -> Result<f64, Self::Error> {
        self.event_values(time, state, values)?;
        Ok(values[index])
    }

    /// Which way event `index` must pass zero.
    fn event_direction(&self, index: usize) -> Crossing {
        let _ = index;
        Crossing::Falling
    }
}
