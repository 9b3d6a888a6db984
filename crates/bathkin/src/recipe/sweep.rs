//! The same bath at many settings.

use rayon::prelude::*;

use super::bath::Rate;
use super::reader::Flag;
use super::reasons::Reasons;
use super::{Recipe, Value};
use crate::error::Result;

/// One point of a sweep.
#[derive(Debug, Clone, PartialEq)]
pub struct SweepPoint {
    /// The varied paths and their values.
    pub settings: Vec<(String, f64)>,
    /// The rate there.
    pub rate: Rate,
    /// Doubts there.
    pub flags: Vec<Flag>,
    /// What changed the rate most since the first point, in words: factors of its law, or branches.
    pub reason: Option<String>,
    /// The same for the alloying element per metal; `None` for a pure metal too.
    pub alloy_reason: Option<String>,
    /// What holds the metal now in place of the first point's, in words.
    pub free_metal_reason: Option<String>,
}

/// Rates of the fresh bath at every combination of the values of each path, the last path fastest.
///
/// Points run in parallel; results come in order and do not depend on the number of threads.
///
/// # Errors
/// The first error in the order of the points.
///
/// ```
/// use bathkin::recipe::{Recipe, sweep};
/// let recipe = Recipe::built_in("nickel-acid")?;
/// let points = sweep(&recipe, &[("operation.ph".to_owned(), vec![4.4, 4.8, 5.2])])?;
/// assert!(points[0].rate.deposition_um_h < points[2].rate.deposition_um_h);
/// assert!(points[0].rate.alloy_wt_pct > points[2].rate.alloy_wt_pct);
/// let reason = points[2].reason.as_deref().expect("the pH changed");
/// assert_eq!(reason, "pH rises from 4.40 to 5.20 (hydrogen ion order): 1.905 times as fast");
/// let alloy = points[2].alloy_reason.as_deref().expect("the pH changed");
/// assert!(alloy.ends_with("0.802 times as much phosphorus per nickel"));
/// # Ok::<(), bathkin::Error>(())
/// ```
pub fn sweep(recipe: &Recipe, varied: &[(String, Vec<f64>)]) -> Result<Vec<SweepPoint>> {
    let count = varied.iter().map(|(_, values)| values.len()).product();
    let made_up = |number| {
        let settings = settings_of(varied, number);
        let of = settings.iter().fold(recipe.clone(), |recipe, (path, value)| {
            recipe.with(path, Value::Number(*value), "the sweep")
        });
        Ok((of.make_up()?, settings))
    };
    if count == 0 {
        return Ok(Vec::new());
    }
    let first = made_up(0)?.0.surface_state()?;
    (0..count)
        .into_par_iter()
        .map(|number| {
            let (bath, settings) = made_up(number)?;
            let Reasons { rate: reason, alloy: alloy_reason, free_metal: free_metal_reason } =
                bath.reasons_since(&first)?;
            let (rate, flags) = (bath.rate()?, bath.flags()?);
            Ok(SweepPoint { settings, rate, flags, reason, alloy_reason, free_metal_reason })
        })
        .collect::<Vec<Result<SweepPoint>>>()
        .into_iter()
        .collect()
}

fn settings_of(varied: &[(String, Vec<f64>)], mut number: usize) -> Vec<(String, f64)> {
    let mut settings: Vec<(String, f64)> = varied
        .iter()
        .rev()
        .map(|(path, values)| {
            let value = values[number % values.len()];
            number /= values.len();
            (path.clone(), value)
        })
        .collect();
    settings.reverse();
    settings
}
