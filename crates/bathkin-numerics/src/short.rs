//! Numbers in sentences.

/// A number as a sentence has it: at most six significant digits, by powers of ten where it is very large or
/// small.
///
/// ```
/// use bathkin_numerics::short;
/// assert_eq!([short(87.777_777_777_777_77), short(190.0), short(1e300)], ["87.7778", "190", "1e300"]);
/// ```
pub fn short(number: f64) -> String {
    const PLAIN: std::ops::Range<f64> = 1e-5..1e9;
    // Rounded by writing it, so that its shortest digits are few.
    let rounded = format!("{number:.5e}").parse().unwrap_or(number);
    if rounded == 0.0 || !f64::is_finite(rounded) || PLAIN.contains(&f64::abs(rounded)) {
        format!("{rounded}")
    } else {
        format!("{rounded:e}")
    }
}
