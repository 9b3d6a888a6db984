//! Numbers in sentences.

/// A number with so many significant digits, as people write it: by powers of ten only where it is very large
/// or small.
pub(super) fn number(value: f64, digits: usize) -> String {
    // As the tables of results are written.
    const PLAIN: std::ops::Range<f64> = 1e-4..1e6;
    if value == 0.0 || !value.is_finite() {
        return format!("{value}");
    }
    let rounded = format!("{value:.*e}", digits.saturating_sub(1));
    // Rounding may bring the next power: 9.9996 is 10.00.
    let exponent: i32 = rounded.split_once('e').and_then(|(_, power)| power.parse().ok()).unwrap_or(0);
    if !PLAIN.contains(&value.abs()) {
        return rounded;
    }
    let decimals = i32::try_from(digits).unwrap_or(i32::MAX) - 1 - exponent;
    format!("{value:.*}", usize::try_from(decimals).unwrap_or(0))
}

#[cfg(test)]
mod tests {
    use super::number;

    #[test]
    fn digits_count_from_the_first() {
        let all = [(60.4685, "60.47"), (9.9996, "10.00"), (5.937e-4, "0.0005937"), (-2.93, "-2.930")];
        for (value, text) in all {
            assert_eq!(number(value, 4), text);
        }
        assert_eq!(number(12345.6, 2), "12346");
        assert_eq!(number(1.2345e-7, 3), "1.23e-7");
        assert_eq!(number(f64::INFINITY, 3), "inf");
    }
}
