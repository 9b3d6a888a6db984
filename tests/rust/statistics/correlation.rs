//! Rank correlations against SciPy.

use bathkin_statistics::correlation::rank_correlation;
use support::assert_within;

/// scipy.stats.spearmanr 1.17.1 of the same columns, with ties and a row without a number.
#[test]
fn rank_correlation_is_that_of_scipy() {
    let first = [1.0, 2.0, 2.0, 4.0, 5.0, 7.0, 7.0, f64::NAN];
    let second = [3.0, 1.0, 4.0, 4.0, 9.0, 2.0, 6.0, 5.0];
    let found = rank_correlation(&first, &second).expect("there is one");
    assert_within("rank correlation", found, SPEARMAN, 1e-12);
    let turned = second.map(|value: f64| -value.powi(3));
    assert_within("turned", rank_correlation(&first, &turned).expect("there is one"), -SPEARMAN, 1e-12);
}

const SPEARMAN: f64 = 0.3578132236660672;

#[test]
fn what_does_not_vary_goes_with_nothing() {
    assert_eq!(rank_correlation(&[1.0, 2.0], &[1.0, 2.0]), None);
    assert_eq!(rank_correlation(&[1.0, 2.0, 3.0], &[4.0, 4.0, 4.0]), None);
    assert_eq!(rank_correlation(&[f64::NAN; 4], &[1.0, 2.0, 3.0, 4.0]), None);
}
