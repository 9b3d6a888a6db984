//! Weights whose largest are smoothed, and what the shape of their tail says.
//!
//! The m = min(S/5, 3 √S) largest of S ratios, less the largest of the others, are taken as drawn from a generalised Pareto
//! distribution of shape k and scale σ; they are replaced by its quantiles at (j - ½)/m, cut at the largest ratio. With
//! k < ½ the weights have a variance; up to min(1 - 1/log10 S, 0.7) means converge at a usable speed; above that they do
//! not, and no number that rests on them is to be believed.
//!
//! k and σ by J. Zhang and M. A. Stephens, *A new and efficient estimation method for the generalized Pareto
//! distribution*, Technometrics 51 (2009) 316-325: with b = k/σ (their sign of k is the other one) the profile likelihood
//! over a grid of b is averaged. k is drawn to ½ as by ten more values (Vehtari and others, 2024).

/// Ratios turned into weights.
#[derive(Debug, Clone, PartialEq)]
pub struct Smoothed {
    /// Weights; they add up to one.
    pub weights: Vec<f64>,
    /// Shape of their tail: infinite where so few ratios stand out that it cannot be told, zero where the largest are alike.
    pub k: f64,
}

/// Above this shape the weights of so many draws are not to be trusted.
///
/// ```
/// use bathkin_statistics::importance::pareto::largest_trusted;
///
/// assert!((largest_trusted(100) - 0.5).abs() < 1e-12);
/// assert_eq!(largest_trusted(10_000), 0.7);
/// ```
pub fn largest_trusted(draws: usize) -> f64 {
    (1.0 - 1.0 / (draws as f64).log10()).min(0.7)
}

/// How many independent draws weights are worth: 1 over the sum of their squares.
pub fn effective(weights: &[f64]) -> f64 {
    1.0 / weights.iter().map(|weight| weight * weight).sum::<f64>()
}

/// Weights in proportion to ratios whose logarithms are given, the largest smoothed; `None` where every ratio is zero, or
/// one is not a number.
pub fn smoothed(ln_ratios: &[f64]) -> Option<Smoothed> {
    const FEWEST: usize = 5;
    let largest = ln_ratios.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if !largest.is_finite() || ln_ratios.iter().any(|ratio| ratio.is_nan()) {
        return None;
    }
    let draws = ln_ratios.len();
    let mut ratios: Vec<f64> = ln_ratios.iter().map(|ratio| (ratio - largest).exp()).collect();
    let tail = (draws as f64 / 5.0).min(3.0 * (draws as f64).sqrt()).ceil() as usize;
    let mut order: Vec<usize> = (0..draws).collect();
    order.sort_by(|a, b| ratios[*a].total_cmp(&ratios[*b]));
    let cut = if draws > tail { ratios[order[draws - 1 - tail]] } else { 0.0 };
    let first = order.partition_point(|at| ratios[*at] <= cut);
    let beyond = &order[first..];
    let k = if beyond.is_empty() {
        0.0
    } else if beyond.len() < FEWEST {
        f64::INFINITY
    } else {
        let over: Vec<f64> = beyond.iter().map(|at| ratios[*at] - cut).collect();
        match shape_and_scale(&over) {
            Some((k, scale)) => {
                for (place, at) in beyond.iter().enumerate() {
                    let part = (place as f64 + 0.5) / beyond.len() as f64;
                    ratios[*at] = (cut + quantile(part, k, scale)).min(1.0);
                }
                k
            }
            None => f64::INFINITY,
        }
    };
    let sum: f64 = ratios.iter().sum();
    Some(Smoothed { weights: ratios.iter().map(|ratio| ratio / sum).collect(), k })
}

/// Value below which a part of a generalised Pareto distribution lies.
fn quantile(part: f64, k: f64, scale: f64) -> f64 {
    let ln_rest = (-part).ln_1p();
    if k.abs() < f64::EPSILON { -scale * ln_rest } else { scale * (-k * ln_rest).exp_m1() / k }
}

/// Shape and scale of a generalised Pareto distribution, from values in rising order.
fn shape_and_scale(ordered: &[f64]) -> Option<(f64, f64)> {
    const PRIOR_VALUES: f64 = 10.0;
    const PRIOR_SHAPE: f64 = 0.5;
    const SPREAD: f64 = 3.0;
    const NEGLIGIBLE: f64 = 10.0 * f64::EPSILON;
    let n = ordered.len();
    let count = n as f64;
    let points = 30 + count.sqrt() as usize;
    let (last, quarter) = (ordered[n - 1], ordered[((count / 4.0 + 0.5) as usize).max(1) - 1]);
    // -k by the likelihood at b = -k/σ.
    let shape = |b: f64| ordered.iter().map(|value| (-b * value).ln_1p()).sum::<f64>() / count;
    let grid: Vec<f64> = (1..=points)
        .map(|j| {
            let stride = 1.0 - (points as f64 / (j as f64 - 0.5)).sqrt();
            1.0 / last + stride / (SPREAD * quarter)
        })
        .collect();
    let profile: Vec<f64> = grid
        .iter()
        .map(|b| {
            let k = shape(*b);
            count * ((-b / k).ln() - k - 1.0)
        })
        .collect();
    let weight = |at: f64| 1.0 / profile.iter().map(|other| (other - at).exp()).sum::<f64>();
    let weights: Vec<f64> = profile.iter().map(|at| weight(*at)).collect();
    let kept = || weights.iter().zip(&grid).filter(|(weight, _)| **weight >= NEGLIGIBLE);
    let sum: f64 = kept().map(|(weight, _)| weight).sum();
    let b = kept().map(|(weight, b)| weight * b).sum::<f64>() / sum;
    let k = shape(b);
    let scale = -k / b;
    let drawn_in = (count * k + PRIOR_VALUES * PRIOR_SHAPE) / (count + PRIOR_VALUES);
    (drawn_in.is_finite() && scale.is_finite()).then_some((drawn_in, scale))
}
