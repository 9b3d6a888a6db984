//! Quantiles and tail probabilities, in one place.

use statrs::distribution::{ChiSquared, ContinuousCDF, FisherSnedecor, Normal, StudentsT};

/// Half-width of a two-sided interval of probability `level`, in standard errors: Student's t when the
/// standard error was estimated with `freedom` degrees of freedom, normal when it was known (`None`).
/// No value without a degree of freedom, or for a level outside 0-1.
///
/// ```
/// use bathkin_statistics::quantiles::two_sided;
///
/// assert!((two_sided(0.95, None).unwrap() - 1.959964).abs() < 1e-6);
/// assert!((two_sided(0.95, Some(3)).unwrap() - 3.182446).abs() < 1e-6);
/// assert_eq!(two_sided(0.95, Some(0)), None);
/// ```
pub fn two_sided(level: f64, freedom: Option<usize>) -> Option<f64> {
    if !(level > 0.0 && level < 1.0) {
        return None;
    }
    let probability = 0.5 + 0.5 * level;
    match freedom {
        Some(freedom) => StudentsT::new(0.0, 1.0, freedom as f64).ok().map(|t| t.inverse_cdf(probability)),
        None => Some(Normal::standard().inverse_cdf(probability)),
    }
}

/// The same for any number of degrees of freedom above zero; infinitely many are normal.
pub fn of_freedom(level: f64, freedom: f64) -> Option<f64> {
    // Beyond this Student's t is normal to rounding.
    const NORMAL: f64 = 1e9;
    if !(level > 0.0 && level < 1.0) || freedom.is_nan() || freedom <= 0.0 {
        return None;
    }
    if freedom > NORMAL {
        return two_sided(level, None);
    }
    StudentsT::new(0.0, 1.0, freedom).ok().map(|t| t.inverse_cdf(0.5 + 0.5 * level))
}

/// Probability of a deviation of at least |t| standard errors to either side: Student's t, or normal for `None`.
///
/// ```
/// use bathkin_statistics::quantiles::two_sided_tail;
///
/// assert!((two_sided_tail(-1.959964, None).unwrap() - 0.05).abs() < 1e-7);
/// assert!((two_sided_tail(3.182446, Some(3.0)).unwrap() - 0.05).abs() < 1e-7);
/// ```
pub fn two_sided_tail(t: f64, freedom: Option<f64>) -> Option<f64> {
    let tail = match freedom {
        Some(freedom) => StudentsT::new(0.0, 1.0, freedom).ok()?.sf(t.abs()),
        None => Normal::standard().sf(t.abs()),
    };
    (2.0 * tail).is_finite().then_some(2.0 * tail)
}

/// Probability that a sum of squares of so many standard normal deviations exceeds `squares`.
pub fn chi_squared_tail(squares: f64, freedom: usize) -> Option<f64> {
    ChiSquared::new(freedom as f64).ok().map(|chi| chi.sf(squares))
}

/// Probability that F with the given degrees of freedom exceeds `ratio`.
pub fn f_tail(ratio: f64, numerator: usize, denominator: usize) -> Option<f64> {
    FisherSnedecor::new(numerator as f64, denominator as f64).ok().map(|f| f.sf(ratio))
}

/// The value below which a part of ordered values lies, linear between them; they may end in infinities.
pub fn of_ordered(values: &[f64], part: f64) -> f64 {
    let place = part * (values.len() - 1) as f64;
    let below = place.floor() as usize;
    let (beyond, low) = (place - below as f64, values[below]);
    // Not past the last one, nor zero times infinity.
    if beyond == 0.0 { low } else { low + beyond * (values[below + 1] - low) }
}
