//! A root of a function that changes sign between two points.
//!
//! Method: T. R. Chandrupatla, *A new hybrid quadratic/bisection algorithm for finding the zero
//! of a nonlinear function without using derivatives*, Advances in Engineering Software 28 (1997)
//! 145-149. Inverse quadratic interpolation is taken only where it is safe, bisection elsewhere.

use thiserror::Error;

/// Why no root was found.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum RootError<E> {
    /// The function has the same sign at both ends.
    #[error("no change of sign: f({low}) = {f_low} and f({high}) = {f_high}")]
    NotBracketed {
        /// First end.
        low: f64,
        /// Value at the first end.
        f_low: f64,
        /// Second end.
        high: f64,
        /// Value at the second end.
        f_high: f64,
    },
    /// An end or a function value is NaN or infinite.
    #[error("the function or its argument is not finite at {at}")]
    NotFinite {
        /// Argument at which it happened.
        at: f64,
    },
    /// The bracket was still too wide after the allowed number of evaluations.
    #[error("no root within {evaluations} evaluations; it lies between {low} and {high}")]
    TooManyEvaluations {
        /// Evaluations spent.
        evaluations: usize,
        /// Lower end of the remaining bracket.
        low: f64,
        /// Upper end of the remaining bracket.
        high: f64,
    },
    /// The function itself failed.
    #[error("the function whose root is sought failed")]
    Function(#[source] E),
}

/// Two points between which a function changes sign, with its values there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bracket {
    /// The end on the side of the first point given.
    pub low: f64,
    /// The end on the side of the second point given.
    pub high: f64,
    /// Value at `low`.
    pub f_low: f64,
    /// Value at `high`.
    pub f_high: f64,
}

/// A root of `f` between `low` and `high`.
///
/// Returns `x` with `f(x) = 0`, or the end with the smaller `|f|` of a bracket that holds a
/// change of sign and is no wider than `tolerance + 4 ε |x|` (`ε` = 2.2e-16). A tolerance of zero
/// asks for the rounding limit. `max_evaluations` counts the two ends. See the module source for
/// the method's reference (Chandrupatla 1997).
///
/// # Errors
///
/// [`RootError`]: no change of sign, something not finite, too many evaluations, or the
/// function's own error.
///
/// ```
/// use bathkin_numerics::bracketed_root;
/// use std::convert::Infallible;
///
/// let root = bracketed_root(|x| Ok::<_, Infallible>(x * x - 2.0), 0.0, 2.0, 1e-14, 100)?;
/// assert!((root - 2f64.sqrt()).abs() < 1e-14);
/// # Ok::<(), bathkin_numerics::RootError<Infallible>>(())
/// ```
pub fn bracketed_root<E>(
    mut f: impl FnMut(f64) -> Result<f64, E>,
    low: f64,
    high: f64,
    tolerance: f64,
    max_evaluations: usize,
) -> Result<f64, RootError<E>> {
    let f_low = value(&mut f, low)?;
    let f_high = value(&mut f, high)?;
    let bracket = Bracket { low, high, f_low, f_high };
    let end = narrow_bracket(f, bracket, tolerance, max_evaluations.saturating_sub(2))?;
    Ok(if end.f_low.abs() < end.f_high.abs() { end.low } else { end.high })
}

/// Narrows a bracket until it is no wider than `tolerance + 4 ε |x|`, keeping the sides apart.
///
/// `low` of the result lies on the side of the given `low` and `high` on the side of the given
/// `high`, so a caller who needs a point just before or just past the root can choose. When the
/// function is exactly zero somewhere, both ends are that point. `max_evaluations` counts only the
/// evaluations made here.
///
/// # Errors
///
/// As [`bracketed_root`].
pub fn narrow_bracket<E>(
    mut f: impl FnMut(f64) -> Result<f64, E>,
    bracket: Bracket,
    tolerance: f64,
    max_evaluations: usize,
) -> Result<Bracket, RootError<E>> {
    let Bracket { low, high, f_low, f_high } = bracket;
    for (at, f_at) in [(low, f_low), (high, f_high)] {
        if !(at.is_finite() && f_at.is_finite()) {
            return Err(RootError::NotFinite { at });
        }
    }
    for (at, f_at) in [(low, f_low), (high, f_high)] {
        if f_at == 0.0 {
            return Ok(meeting_at(at));
        }
    }
    if (f_low > 0.0) == (f_high > 0.0) {
        return Err(RootError::NotBracketed { low, f_low, high, f_high });
    }

    // The root lies between `near` (the newest point) and `far`; `old` is the point dropped last.
    let (mut near, mut f_near) = (low, f_low);
    let (mut far, mut f_far) = (high, f_high);
    let mut share = 0.5;
    let mut evaluations = 0;
    loop {
        let best = if f_near.abs() < f_far.abs() { near } else { far };
        // Halved because the loop ends when the bracket is narrower than twice this.
        let half = 0.5 * tolerance.max(0.0) + 2.0 * f64::EPSILON * best.abs();
        let least = half / (far - near).abs();
        if least > 0.5 || near == far {
            return Ok(ordered(f_low, (near, f_near), (far, f_far)));
        }
        if evaluations == max_evaluations {
            return Err(RootError::TooManyEvaluations {
                evaluations,
                low: near.min(far),
                high: near.max(far),
            });
        }
        evaluations += 1;

        let x = near + f64::clamp(share, least, 1.0 - least) * (far - near);
        let f_x = value(&mut f, x)?;
        if f_x == 0.0 {
            return Ok(meeting_at(x));
        }
        let (old, f_old);
        if (f_x > 0.0) == (f_near > 0.0) {
            (old, f_old) = (near, f_near);
        } else {
            (old, f_old) = (far, f_far);
            (far, f_far) = (near, f_near);
        }
        (near, f_near) = (x, f_x);

        // Chandrupatla's test: the inverse parabola through the three points is monotonic.
        let xi = (near - far) / (old - far);
        let phi = (f_near - f_far) / (f_old - f_far);
        share = 0.5;
        if phi * phi < xi && (1.0 - phi) * (1.0 - phi) < 1.0 - xi {
            let parabola = f_near / (f_far - f_near) * f_old / (f_far - f_old)
                + (old - near) / (far - near) * f_near / (f_old - f_near) * f_far / (f_old - f_far);
            if parabola.is_finite() {
                share = parabola;
            }
        }
    }
}

fn value<E>(f: &mut impl FnMut(f64) -> Result<f64, E>, at: f64) -> Result<f64, RootError<E>> {
    if !at.is_finite() {
        return Err(RootError::NotFinite { at });
    }
    let value = f(at).map_err(RootError::Function)?;
    if value.is_finite() { Ok(value) } else { Err(RootError::NotFinite { at }) }
}

fn meeting_at(x: f64) -> Bracket {
    Bracket { low: x, high: x, f_low: 0.0, f_high: 0.0 }
}

/// Puts the point with the sign of `f_low` first.
fn ordered(f_low: f64, first: (f64, f64), second: (f64, f64)) -> Bracket {
    let (low, high) = if (first.1 > 0.0) == (f_low > 0.0) { (first, second) } else { (second, first) };
    Bracket { low: low.0, high: high.0, f_low: low.1, f_high: high.1 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::convert::Infallible;

    fn root(f: impl Fn(f64) -> f64, low: f64, high: f64) -> (f64, usize) {
        let mut count = 0;
        let counted = |x| {
            count += 1;
            Ok::<_, Infallible>(f(x))
        };
        let x = bracketed_root(counted, low, high, 1e-13, 200).unwrap();
        (x, count)
    }

    // Expected values: closed forms of each root.
    #[test]
    fn finds_known_roots_in_few_evaluations() {
        type Case<'a> = (&'a dyn Fn(f64) -> f64, f64, f64, f64, usize);
        let cases: [Case; 6] = [
            (&|x| x * x * x - 2.0 * x - 5.0, 2.0, 3.0, 2.094_551_481_542_326_5, 15),
            (&|x: f64| x.cos() - x, 0.0, 1.0, 0.739_085_133_215_160_6, 15),
            (&|x: f64| x.powi(9), -1.0, 1.5, 0.0, 80),
            (&|x: f64| (x - 1.0).cbrt(), -4.0, 3.0, 1.0, 80),
            (&|x: f64| if x < 0.3 { -1.0 } else { 1e6 }, 0.0, 1.0, 0.3, 80),
            (&|x: f64| 1.0 - x, 3.0, -1.0, 1.0, 5),
        ];
        for (f, low, high, expected, most) in cases {
            let (x, count) = root(f, low, high);
            assert!((x - expected).abs() < 2e-13, "{x} for {expected}");
            assert!(count <= most, "{count} evaluations for {expected}");
        }
    }

    #[test]
    fn the_sides_of_a_narrowed_bracket_stay_apart() {
        let f = |x: f64| 0.2 - x;
        let given = Bracket { low: 0.0, high: 1.0, f_low: f(0.0), f_high: f(1.0) };
        let end = narrow_bracket(|x| Ok::<_, Infallible>((f(x)).powi(3)), given, 1e-6, 100).unwrap();
        assert!(end.f_low >= 0.0 && end.f_high <= 0.0);
        assert!(end.low <= 0.2 && end.high >= 0.2 && end.high - end.low <= 1.0001e-6);
    }

    #[test]
    fn every_cause_has_its_error() {
        let fine = |x: f64| Ok::<_, &str>(x);
        assert_eq!(
            bracketed_root(fine, 1.0, 2.0, 0.0, 10),
            Err(RootError::NotBracketed { low: 1.0, f_low: 1.0, high: 2.0, f_high: 2.0 })
        );
        assert!(matches!(
            bracketed_root(fine, f64::NAN, 2.0, 0.0, 10),
            Err(RootError::NotFinite { at }) if at.is_nan()
        ));
        assert_eq!(
            bracketed_root(|x| Ok::<_, &str>(if x == 0.5 { f64::NAN } else { x - 0.1 }), 0.0, 1.0, 0.0, 10),
            Err(RootError::NotFinite { at: 0.5 })
        );
        assert!(matches!(
            bracketed_root(|x| Ok::<_, &str>(x - 0.3f64.exp()), 0.0, 1e9, 0.0, 2),
            Err(RootError::TooManyEvaluations { evaluations: 0, .. })
        ));
        assert_eq!(
            bracketed_root(|_| Err::<f64, _>("why"), 0.0, 1.0, 0.0, 10),
            Err(RootError::Function("why"))
        );
        assert_eq!(bracketed_root(fine, 0.0, 1.0, 0.0, 2), Ok(0.0));
    }
}
