//! How good forecasts were.
//!
//! The continuous ranked probability score of members x_i against what came, y,
//!
//! CRPS = mean |x_i - y| - 1/2 mean |x_i - x_j|,
//!
//! in the unit of y: the absolute error of a forecast of one number, and less for a spread that is honest.
//! Source: T. Gneiting and A. E. Raftery, *J. Am. Stat. Assoc.* 102 (2007) 359, equation 21 (from memory).

/// CRPS of members; `NaN` without any.
///
/// ```
/// use bathkin_statistics::scores::crps;
/// // One member: the absolute error. Producer of the second: by hand, (1 + 1)/2 - (2 + 2)/(2·4).
/// assert_eq!(crps(&[3.0], 5.0), 2.0);
/// assert_eq!(crps(&[4.0, 6.0], 5.0), 0.5);
/// ```
pub fn crps(members: &[f64], came: f64) -> f64 {
    let mut ordered = members.to_vec();
    ordered.sort_by(f64::total_cmp);
    let count = ordered.len() as f64;
    let off = ordered.iter().map(|member| (member - came).abs()).sum::<f64>() / count;
    // Of ordered members the sum over pairs is one over ranks.
    let ranked = |(at, member): (usize, &f64)| member * (2.0 * at as f64 - count + 1.0);
    off - ordered.iter().enumerate().map(ranked).sum::<f64>() / (count * count)
}

/// Where a straight line through points, by least squares, comes to a bound; `None` where it never does after `from`.
///
/// ```
/// use bathkin_statistics::scores::line_reaches;
/// assert_eq!(line_reaches(&[(0.0, 1.0), (1.0, 3.0), (2.0, 5.0)], 9.0, 2.0), Some(4.0));
/// assert_eq!(line_reaches(&[(0.0, 1.0), (1.0, 3.0)], 0.0, 1.0), None);
/// ```
pub fn line_reaches(points: &[(f64, f64)], bound: f64, from: f64) -> Option<f64> {
    let count = points.len() as f64;
    let mean = |of: fn(&(f64, f64)) -> f64| points.iter().map(of).sum::<f64>() / count;
    let (x, y) = (mean(|point| point.0), mean(|point| point.1));
    let across: f64 = points.iter().map(|point| (point.0 - x) * (point.1 - y)).sum();
    let along: f64 = points.iter().map(|point| (point.0 - x).powi(2)).sum();
    let slope = across / along;
    let at = x + (bound - y) / slope;
    (points.len() > 1 && at.is_finite() && at >= from).then_some(at)
}
