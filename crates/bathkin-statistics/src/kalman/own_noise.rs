//! What a kind of reading scatters by, from its own innovations.
//!
//! An innovation of a reading has the variance S: a part that is believed of the state, and the noise s² that was assumed
//! for its kind, whether as an error of its own or as a correlated component of the state. So
//!
//! s² ← (1.4826 med|ν|)² - (mean S - s²),
//!
//! with the median, which slips and jumps do not shift; repeated with the new s until it stays, two rounds or three.
//! Source: R. K. Mehra, *IEEE Trans. Autom. Control* 15 (1970) 175 (noise from innovations; from memory); the median:
//! P. J. Rousseeuw and A. M. Leroy, *Robust Regression and Outlier Detection*, Wiley 1987.

use super::filter::{FilteredRow, Innovation};
use crate::quantiles::of_ordered;
use crate::robust::OF_NORMAL;

/// Fewest readings that tell a scatter.
const FEWEST: usize = 8;

/// Standard deviation of a kind of reading, where `assumed` was assumed, at least `least`; `None` with too few readings.
pub fn own_noise(rows: &[FilteredRow], channel: usize, assumed: f64, least: f64) -> Option<f64> {
    let of_channel = rows.iter().flat_map(|row| &row.readings).filter(|one| one.channel == channel);
    // The first rows tell the start.
    let settled: Vec<_> = of_channel.skip(1).filter(|one| one.standardised != 0.0).collect();
    if settled.len() < FEWEST {
        return None;
    }
    let mut sizes: Vec<f64> = settled.iter().map(|one| one.difference.abs()).collect();
    sizes.sort_by(f64::total_cmp);
    let seen = (OF_NORMAL * of_ordered(&sizes, 0.5)).powi(2);
    let expected = |one: &&Innovation| (one.difference / one.standardised).powi(2);
    let mean = settled.iter().map(expected).sum::<f64>() / settled.len() as f64;
    Some((seen - (mean - assumed * assumed)).max(least * least).sqrt())
}
