//! The minimum of a function inside an interval, and whether it dips to zero there.

/// Ratio of the golden section, `(√5 − 1)/2`.
const GOLDEN: f64 = 0.618_033_988_749_894_9;

/// Golden-section search (Kiefer 1953) for the minimum of `f` in `(low, high)`, ended as soon as
/// a point with `f ≤ 0` is met.
///
/// Returns that point, or `None` when the interval has shrunk to `tolerance` with `f` positive.
pub(crate) fn dip_to_zero<E>(
    mut f: impl FnMut(f64) -> Result<f64, E>,
    mut low: f64,
    mut high: f64,
    tolerance: f64,
) -> Result<Option<f64>, E> {
    let mut left = high - GOLDEN * (high - low);
    let mut f_left = f(left)?;
    if f_left <= 0.0 {
        return Ok(Some(left));
    }
    let mut right = low + GOLDEN * (high - low);
    let mut f_right = f(right)?;
    // Near a minimum the values differ by less than rounding once the width is about √ε.
    let enough = tolerance.max(1e-8 * (high - low));
    while f_right > 0.0 && f_left > 0.0 {
        if high - low <= enough {
            return Ok(None);
        }
        if f_left < f_right {
            high = right;
            (right, f_right) = (left, f_left);
            left = high - GOLDEN * (high - low);
            f_left = f(left)?;
        } else {
            low = left;
            (left, f_left) = (right, f_right);
            right = low + GOLDEN * (high - low);
            f_right = f(right)?;
        }
    }
    Ok(Some(if f_left <= 0.0 { left } else { right }))
}

/// Golden-section search (Kiefer 1953) for the minimum of `f` in `(low, high)`: the point and its value.
///
/// It ends when the interval is no wider than `tolerance` times its upper end, at best about √ε of it, since values differ by
/// less than rounding nearer to the minimum. Of several minima inside it finds one.
///
/// ```
/// use bathkin_numerics::minimum_within;
///
/// let (x, value) = minimum_within(|x| (x - 0.3).powi(2) + 1.0, 0.0, 1.0, 1e-8);
/// assert!((x - 0.3).abs() < 1e-7 && value == 1.0);
/// ```
pub fn minimum_within(mut f: impl FnMut(f64) -> f64, low: f64, high: f64, tolerance: f64) -> (f64, f64) {
    let (mut low, mut high) = (low, high);
    let mut left = high - GOLDEN * (high - low);
    let mut right = low + GOLDEN * (high - low);
    let (mut f_left, mut f_right) = (f(left), f(right));
    let enough = tolerance.max(1.5e-8) * low.abs().max(high.abs());
    while high - low > enough {
        if f_left < f_right {
            high = right;
            (right, f_right) = (left, f_left);
            left = high - GOLDEN * (high - low);
            f_left = f(left);
        } else {
            low = left;
            (left, f_left) = (right, f_right);
            right = low + GOLDEN * (high - low);
            f_right = f(right);
        }
    }
    if f_left < f_right { (left, f_left) } else { (right, f_right) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::convert::Infallible;

    // Expected: the parabola (x − 0.3)² − d has its minimum −d at 0.3.
    #[test]
    fn a_dip_is_found_only_where_there_is_one() {
        let search = |depth: f64| {
            dip_to_zero(|x| Ok::<_, Infallible>((x - 0.3).powi(2) - depth), 0.0, 1.0, 1e-12).unwrap()
        };
        let x = search(1e-12).unwrap();
        assert!((x - 0.3).abs() <= 1e-6);
        assert!(search(0.1).is_some());
        assert_eq!(search(-1e-12), None);
    }
}
