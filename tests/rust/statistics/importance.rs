//! Draws from a density by importance sampling, and the diagnostic that says whether they can be trusted.

use bathkin_statistics::error::FitError;
use bathkin_statistics::importance::pareto::{effective, smoothed};
use bathkin_statistics::importance::{Proposal, Sampled, SamplingOptions, marginal, resampled, sample};
use nalgebra::{DMatrix, DVector};

use support::assert_within;

/// Ratios with a tail of shape `a`, in no order.
fn ln_ratios(count: usize, a: f64) -> Vec<f64> {
    let of = |i: usize| {
        let part = (i as f64 * 0.618_033_988_749_894_9) % 1.0;
        -a * (-part).ln_1p() + 0.1 * (i as f64).sin()
    };
    (0..count).map(of).collect()
}

/// Producer: `psislw` of ArviZ 0.23.4 on the same ratios; 1e-9 relative. Shape, effective draws, then the first, the
/// largest, the fifth largest weight and the median one.
#[test]
fn smoothed_weights_are_those_of_another_program() {
    for (count, a, k, worth, expected) in [
        (
            400,
            0.3,
            0.367_267_895_613_914,
            333.793_257_486_986,
            [
                0.001_744_538_982_119_73,
                0.013_176_937_436_557_3,
                0.006_919_941_564_369_93,
                0.002_170_839_495_579_11,
            ],
        ),
        (
            1000,
            0.8,
            0.955_307_075_449_132,
            49.225_923_697_133_9,
            [
                0.000_235_064_757_532_898,
                0.117_099_350_590_682,
                0.018_558_128_550_443_9,
                0.000_411_571_922_660_449,
            ],
        ),
        (
            100,
            0.0,
            -0.834_459_081_204,
            99.499_603_661_681_4,
            [
                0.009_969_020_006_363_44,
                0.011_017_373_885_304,
                0.011_017_373_885_304,
                0.009_986_682_719_505_11,
            ],
        ),
    ] {
        let found = smoothed(&ln_ratios(count, a)).expect("weights");
        assert_within(format!("k of {a}"), found.k, k, 1e-9);
        assert_within(format!("effective of {a}"), effective(&found.weights), worth, 1e-7);
        let mut ordered = found.weights.clone();
        ordered.sort_by(f64::total_cmp);
        let these = [found.weights[0], ordered[count - 1], ordered[count - 5], ordered[count / 2]];
        for (one, other) in these.iter().zip(expected) {
            assert_within(format!("a weight of {a}"), *one, other, 1e-9 * other);
        }
    }
}

#[test]
fn ratios_without_a_tail_are_weights_as_they_are() {
    let found = smoothed(&[0.5; 40]).expect("weights");
    assert_eq!((found.k, found.weights.len()), (0.0, 40));
    assert_within("a weight", found.weights[7], 0.025, 1e-15);
    // One that stands out of many that are nothing.
    let mut ratios = vec![f64::NEG_INFINITY; 40];
    assert_eq!(smoothed(&ratios), None);
    ratios[3] = -2.0;
    assert_eq!(smoothed(&ratios).expect("weights").k, f64::INFINITY);
    ratios[4] = f64::NAN;
    assert_eq!(smoothed(&ratios), None);
}

/// All correlations 0.9, standard deviations from 1e-2 to 1e2.
fn correlated(count: usize) -> DMatrix<f64> {
    let sd = |at: usize| 10_f64.powf(-2.0 + 4.0 * at as f64 / (count - 1) as f64);
    DMatrix::from_fn(count, count, |a, b| sd(a) * sd(b) * if a == b { 1.0 } else { 0.9 })
}

fn drawn(ln_density: &(dyn Fn(&[f64]) -> f64 + Sync), scatter: &DMatrix<f64>, seed: u64) -> Sampled {
    let count = scatter.nrows();
    let start = Proposal::new(vec![0.0; count], scatter.clone(), 7).expect("a covariance");
    let options = SamplingOptions { effective: 4000, most: 50_000, seed };
    sample(ln_density, start, &options, &|| false, &|_| {}).expect("draws")
}

fn normal(covariance: &DMatrix<f64>) -> impl Fn(&[f64]) -> f64 + Sync {
    let information = covariance.clone().try_inverse().expect("regular");
    move |at: &[f64]| {
        let x = DVector::from_row_slice(at);
        -0.5 * (&information * &x).dot(&x)
    }
}

/// Producer: the normal distribution itself; five standard errors. Its share of effective draws with this proposal is 0.83
/// with 6 numbers and 0.68 with 17.
#[test]
fn a_normal_density_is_drawn_as_it_is() {
    for (count, least) in [(6, 0.75), (17, 0.6)] {
        let covariance = correlated(count);
        let found = drawn(&normal(&covariance), &covariance, 3);
        assert!(found.is_trusted() && found.mended == 0, "k = {}", found.k);
        let share = found.effective / found.points.len() as f64;
        assert!(share > least, "{share} of the draws count");
        assert!(found.effective >= 4000.0);
        let error = 5.0 / found.effective.sqrt();
        for at in 0..count {
            let values: Vec<f64> = found.points.iter().map(|point| point[at]).collect();
            let of = marginal("a number", &values, &found.weights);
            let sd = covariance[(at, at)].sqrt();
            assert_within("mean", of.mean / sd, 0.0, error);
            assert_within("standard deviation", of.standard_deviation / sd, 1.0, error);
            assert_within("median", of.median / sd, 0.0, 1.5 * error);
            // A density of 0.058 at the ends of the middle 95 %.
            for (end, expected) in of.interval95.iter().zip([-1.959_964, 1.959_964]) {
                assert_within("an end", end / sd, expected, 3.0 * error);
            }
        }
    }
}

/// A fit that is off: the proposal is mended before anything is drawn for good. Producer: the normal distribution.
#[test]
fn a_proposal_that_is_off_is_mended() {
    let covariance = correlated(4);
    let exact = normal(&covariance);
    let off = DMatrix::from_diagonal(&covariance.diagonal().map(|variance| 0.04 * variance));
    let moved = move |at: &[f64]| {
        let shifted: Vec<f64> = at.iter().zip([0.02, 0.1, 2.0, 150.0]).map(|(x, by)| x - by).collect();
        exact(&shifted)
    };
    let found = drawn(&moved, &off, 5);
    assert!(found.mended > 0 && found.is_trusted(), "k = {} after {}", found.k, found.mended);
    let values: Vec<f64> = found.points.iter().map(|point| point[3]).collect();
    let of = marginal("last", &values, &found.weights);
    let error = 5.0 / found.effective.sqrt();
    assert_within("mean", (of.mean - 150.0) / 100.0, 0.0, error);
    assert_within("standard deviation", of.standard_deviation / 100.0, 1.0, error);
}

/// A funnel, whose narrow end no bell covers: said, not hidden. (R. M. Neal, *Slice sampling*, Annals of Statistics 31
/// (2003) 705-767.)
#[test]
fn a_density_that_no_bell_covers_is_not_trusted() {
    let funnel = |at: &[f64]| {
        let width: f64 = at[0];
        at[1..].iter().fold(-width * width / 18.0, |sum, x| sum - 0.5 * width - 0.5 * x * x * (-width).exp())
    };
    let found = drawn(&funnel, &DMatrix::identity(10, 10), 2);
    assert!(!found.is_trusted(), "k = {} with {} trusted", found.k, found.largest_trusted_k);
}

#[test]
fn the_draws_are_the_same_for_any_number_of_threads_and_end_when_asked() {
    let covariance = correlated(3);
    let by = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
        pool.install(|| drawn(&normal(&covariance), &covariance, 9))
    };
    assert_eq!(by(1), by(3));
    let start = Proposal::new(vec![0.0; 3], covariance.clone(), 7).expect("a covariance");
    let options = SamplingOptions { effective: 100, most: 1000, seed: 1 };
    let density = normal(&covariance);
    assert_eq!(sample(&density, start.clone(), &options, &|| true, &|_| {}), Err(FitError::Stopped));
    let nothing = |_: &[f64]| f64::NEG_INFINITY;
    let error = sample(&nothing, start, &options, &|| false, &|_| {}).unwrap_err();
    assert!(error.to_string().contains("0 draws where the posterior is above zero"), "{error}");
    assert!(Proposal::new(vec![0.0; 2], DMatrix::from_element(2, 2, 1.0), 7).is_none());
    assert!(Proposal::new(vec![0.0], DMatrix::from_element(1, 1, 1.0), 0).is_none());
}

/// Equal weights: the usual quantiles; NumPy 2.4.6, `quantile` of [3, 1, 4, 1.5, 9, 2.6] at 0.025, 0.5, 0.975.
#[test]
fn marginals_of_equal_weights_and_draws_of_equal_weight() {
    let of = marginal("x", &[3.0, 1.0, 4.0, 1.5, 9.0, 2.6], &[1.0 / 6.0; 6]);
    for (found, expected) in
        [(of.interval95[0], 1.0625), (of.median, 2.8), (of.interval95[1], 8.375), (of.mean, 21.1 / 6.0)]
    {
        assert_within("a part", found, expected, 1e-12);
    }
    let weights = [0.5, 0.0, 0.3, 0.2];
    let mut times = [0; 4];
    resampled(&weights, 1000, 4).into_iter().for_each(|at| times[at] += 1);
    for (count, weight) in times.iter().zip(weights) {
        assert_within("times", f64::from(*count), 1000.0 * weight, 1.0);
    }
}
