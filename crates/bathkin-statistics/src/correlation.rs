//! How far one column of numbers goes with another.

/// Spearman's rank correlation, of rows in which both numbers are finite; equal numbers share the mean of their ranks. None
/// with fewer than three such rows, or where all numbers of a column are equal.
///
/// Its square is the part of the spread of one that goes with the other, whatever the shape of a rising or falling line.
/// Source: C. Spearman, American Journal of Psychology 15 (1904) 72-101.
///
/// ```
/// use bathkin_statistics::correlation::rank_correlation;
///
/// let rising = [0.0_f64, 1.0, 2.0, 3.0];
/// let curved = rising.map(f64::exp);
/// assert!((rank_correlation(&rising, &curved).expect("there is one") - 1.0).abs() < 1e-12);
/// assert_eq!(rank_correlation(&rising, &[5.0; 4]), None);
/// ```
pub fn rank_correlation(first: &[f64], second: &[f64]) -> Option<f64> {
    let rows = first.iter().zip(second).filter(|(a, b)| a.is_finite() && b.is_finite());
    let (first, second): (Vec<f64>, Vec<f64>) = rows.map(|(a, b)| (*a, *b)).unzip();
    const LEAST: usize = 3;
    if first.len() < LEAST {
        return None;
    }
    let (first, second) = (ranks(&first), ranks(&second));
    let product = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    let found = product(&first, &second) / (product(&first, &first) * product(&second, &second)).sqrt();
    found.is_finite().then_some(found)
}

/// Ranks less their mean.
fn ranks(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    let middle = 0.5 * (values.len() - 1) as f64;
    let mut ranks = vec![0.0; values.len()];
    for equal in order.chunk_by(|a, b| values[*a] == values[*b]) {
        let before = order.partition_point(|one| values[*one].total_cmp(&values[equal[0]]).is_lt());
        let rank = before as f64 + 0.5 * (equal.len() - 1) as f64 - middle;
        equal.iter().for_each(|one| ranks[*one] = rank);
    }
    ranks
}
