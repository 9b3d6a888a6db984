//! What is kept of a stream of numbers: against all of them, and whatever the parts it came in.

use bathkin_statistics::distribution::Distribution;
use bathkin_statistics::exact_sum::ExactSum;
use bathkin_statistics::random::Stream;
use bathkin_statistics::streaming::{QUANTILE_ERROR, Summary};
use support::{assert_relative, assert_within};

fn numbers(count: usize) -> Vec<f64> {
    let spread = Distribution::named("lognormal", &[3.0, 0.8]).expect("there is one");
    let mut random = Stream::new(11, 0);
    let drawn = (0..count).map(|at| match at % 20 {
        0 => 0.0,
        1 => -spread.quantile(random.inside_unit()),
        _ => spread.quantile(random.inside_unit()),
    });
    drawn.collect()
}

fn summary(numbers: &[f64]) -> Summary {
    let mut summary = Summary::near(3.0);
    numbers.iter().for_each(|number| summary.add(*number));
    summary
}

#[test]
fn parts_in_any_order_come_to_the_same_bits() {
    let numbers = numbers(5000);
    let whole = summary(&numbers);
    for size in [1, 7, 640] {
        let parts: Vec<Summary> = numbers.chunks(size).map(summary).collect();
        let mut forward = Summary::near(3.0);
        parts.iter().for_each(|part| forward.merge(part));
        let mut backward = Summary::near(3.0);
        parts.iter().rev().for_each(|part| backward.merge(part));
        for found in [forward, backward] {
            let bits = |of: &Summary| {
                let ends = of.ends().expect("there are numbers");
                [of.mean(), of.standard_deviation(), of.quantile(0.3), Some(ends.0), Some(ends.1)]
                    .map(|value| value.expect("there is one").to_bits())
            };
            assert_eq!(bits(&found), bits(&whole), "parts of {size}");
        }
    }
}

#[test]
fn moments_and_quantiles_are_those_of_all_numbers() {
    let mut numbers = numbers(5001);
    let found = summary(&numbers);
    let mean = numbers.iter().sum::<f64>() / 5001.0;
    let squares: f64 = numbers.iter().map(|x| (x - mean).powi(2)).sum();
    assert_relative("mean", found.mean().expect("there is one"), mean, 1e-13);
    let deviation = found.standard_deviation().expect("there is one");
    assert_relative("standard deviation", deviation, (squares / 5000.0).sqrt(), 1e-12);
    numbers.sort_by(f64::total_cmp);
    for part in [0.0, 0.01, 0.06, 0.1, 0.5, 0.9, 0.999, 1.0] {
        let exact = numbers[(part * 5000.0) as usize];
        let off = 1.0001 * QUANTILE_ERROR * exact.abs();
        assert_within(format!("part {part}"), found.quantile(part).expect("there is one"), exact, off);
    }
}

/// A spread that is small against its middle loses no digits.
#[test]
fn a_narrow_spread_far_from_zero_keeps_its_standard_deviation() {
    let mut found = Summary::near(1e6);
    (0..1000).for_each(|at| found.add(1e6 + f64::from(at % 2) * 1e-3));
    let exact = 0.5e-3 * (1000.0_f64 / 999.0).sqrt();
    assert_relative("standard deviation", found.standard_deviation().expect("there is one"), exact, 1e-6);
}

#[test]
fn a_histogram_counts_every_number_once() {
    let numbers = numbers(3000);
    let (edges, counts) = summary(&numbers).histogram(17).expect("there are numbers");
    assert_eq!((edges.len(), counts.iter().sum::<u64>()), (18, 3000));
    let inside = |at: usize| numbers.iter().filter(|x| (edges[at]..edges[at + 1]).contains(*x)).count();
    assert!((0..16).all(|at| inside(at).abs_diff(counts[at] as usize) <= 2));
}

#[test]
fn what_is_no_number_is_counted_apart() {
    let found = summary(&[1.0, f64::NAN, f64::INFINITY]);
    assert_eq!((found.missing, found.count(), found.mean()), (2, 1, Some(1.0)));
    assert_eq!((summary(&[]).mean(), summary(&[]).quantile(0.5)), (None, None));
}

#[test]
fn sums_are_exact_from_the_least_to_the_greatest_number() {
    let of = |numbers: &[f64]| {
        let mut sum = ExactSum::default();
        numbers.iter().for_each(|number| sum.add(*number));
        sum.value()
    };
    assert_eq!(of(&[f64::MAX, -f64::MAX, f64::from_bits(1)]), f64::from_bits(1));
    assert_eq!(of(&[-1e300, 1e300, -2.5]), -2.5);
    assert_eq!(of(&[f64::MAX, f64::MAX, -f64::MAX]), f64::MAX);
    assert_eq!(of(&[-0.1; 10]), -1.0);
    assert_eq!(of(&[]), 0.0);
    // Ten tenths are 1 + 5.55e-17 exactly: the nearest number is 1, where adding one by one gives less.
    assert_eq!(of(&[0.1; 10]), 1.0);
    assert!([0.1; 10].iter().sum::<f64>() < 1.0);
}

/// Quantiles by scipy.stats 1.17.1: norm(4.8, 0.1), lognorm(0.2, scale=3), uniform, loguniform(0.1, 10), triang.
#[test]
fn quantiles_of_the_distributions_are_those_of_scipy() {
    let expected = [
        ("normal", &[4.8, 0.1][..], [4.490976769383218, 4.732551024980392, 5.109023230616781]),
        ("lognormal", &[3.0, 0.2][..], [1.616989080176468, 2.62141523673671, 5.565900296010531]),
        ("uniform", &[2.0, 5.0][..], [2.003, 2.75, 4.997]),
        ("loguniform", &[0.1, 10.0][..], [0.10046157902783955, 0.31622776601683805, 9.95405417351528]),
        ("triangular", &[1.0, 2.0, 5.0][..], [1.0632455532033676, 2.0, 4.890455488498967]),
    ];
    for (name, numbers, values) in expected {
        let spread = Distribution::named(name, numbers).expect("there is one");
        for (part, value) in [0.001, 0.25, 0.999].into_iter().zip(values) {
            assert_relative(format!("{name} {part}"), spread.quantile(part), value, 1e-13);
        }
    }
}

#[test]
fn what_is_no_distribution_is_none() {
    let nan = f64::NAN;
    for (name, numbers) in [
        ("normal", &[1.0][..]),
        ("normal", &[1.0, 0.0]),
        ("normal", &[nan, 1.0]),
        ("lognormal", &[-1.0, 0.1]),
        ("uniform", &[1.0, 1.0]),
        ("loguniform", &[0.0, 1.0]),
        ("triangular", &[0.0, 2.0, 1.0]),
        ("gauss", &[0.0, 1.0]),
    ] {
        assert_eq!(Distribution::named(name, numbers), None, "{name}{numbers:?}");
    }
}
