//! Numbers in sentences.

/// A number with so many significant digits, as people write it: by powers of ten only where it is very large
/// or small.
pub(crate) fn number(value: f64, digits: usize) -> String {
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

/// The same without zeros at the end of its decimals.
pub(crate) fn brief(value: f64, digits: usize) -> String {
    let text = number(value, digits);
    let is_plain = text.contains('.') && !text.contains('e');
    if is_plain { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A probability: `p = 0.003`, `p = 2e-9`.
pub(crate) fn probability(p: f64) -> String {
    const LEAST: f64 = 1e-300;
    if p < LEAST {
        return "p < 1e-300".to_owned();
    }
    if p >= 1e-3 { format!("p = {}", number(p, if p < 0.1 { 1 } else { 2 })) } else { format!("p = {p:.0e}") }
}

#[cfg(test)]
mod tests {
    use super::{number, probability};

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

    #[test]
    fn probabilities_are_short() {
        let all = [(0.003_04, "p = 0.003"), (0.42, "p = 0.42"), (2.4e-9, "p = 2e-9"), (0.0, "p < 1e-300")];
        for (p, text) in all {
            assert_eq!(probability(p), text);
        }
    }
}
