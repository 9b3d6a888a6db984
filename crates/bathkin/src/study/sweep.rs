//! The same bath at many settings.

use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use crate::document::Value;
use crate::error::{Error, Result};
use crate::flag::Flag;
use crate::recipe::Recipe;
use crate::remark::Remark;
use crate::study::Bath;
use crate::study::bath::Rate;
use crate::study::reasons::Reasons;
use crate::study::unmoved::flag_unmoved;

/// One point of a sweep.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct SweepPoint {
    /// The varied paths and their values.
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, f64>")]
    pub settings: Vec<(String, f64)>,
    /// The rate there; `None` where it could not be computed.
    pub rate: Option<Rate>,
    /// Why there is no rate, such as a pH that its reagent does not reach.
    #[schemars(with = "Option<Remark>")]
    pub failure: Option<Error>,
    /// Warnings there, and which of the varied numbers change nothing anywhere.
    pub flags: Vec<Flag>,
    /// What changed the rate most since the first point with one, in words: factors of its law, or partial currents.
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
/// A point that cannot be computed keeps its place, with the reason.
///
/// # Errors
/// For a value that no bath can have, and when no point can be computed: the first error in the order of
/// the points.
///
/// ```
/// use bathkin::recipe::Recipe;
/// use bathkin::study::sweep;
/// let recipe = Recipe::built_in("nickel-acid")?;
/// let points = sweep(&recipe, &[("operation.ph".to_owned(), vec![4.4, 4.8, 5.2])])?;
/// let rate = |at: usize| points[at].rate.as_ref().expect("it plates");
/// assert!(rate(0).deposition_um_h < rate(2).deposition_um_h);
/// assert!(rate(0).alloy_wt_pct > rate(2).alloy_wt_pct);
/// let reason = points[2].reason.as_deref().expect("the pH changed");
/// assert_eq!(reason, "pH rises from 4.40 to 5.20 (hydrogen ion order): 2.172 times as fast");
/// let alloy = points[2].alloy_reason.as_deref().expect("the pH changed");
/// assert!(alloy.ends_with("0.802 times as much phosphorus per nickel"));
/// # Ok::<(), bathkin::Error>(())
/// ```
pub fn sweep(recipe: &Recipe, varied: &[(String, Vec<f64>)]) -> Result<Vec<SweepPoint>> {
    let count = varied.iter().map(|(_, values)| values.len()).product();
    // Every point is this recipe at other numbers: what they share is read once, where it can be.
    recipe.model().ok();
    let made_up = |settings: &[(String, f64)]| -> Result<Bath> {
        recipe.go_on()?;
        let set = |recipe: Recipe, (path, value): &(String, f64)| {
            recipe.with(path, Value::Number(*value), "the sweep")
        };
        settings.iter().fold(recipe.clone(), set).make_up()
    };
    let mut first = None;
    let mut failed: Option<Error> = None;
    for number in 0..count {
        match made_up(&settings_of(varied, number)).and_then(|bath| bath.surface_state()) {
            Ok(state) => {
                first = Some(state);
                break;
            }
            Err(error) if is_refused(&error, varied) => return Err(error),
            Err(error) => failed = failed.or(Some(error)),
        }
    }
    let Some(first) = first else { return failed.map_or_else(|| Ok(Vec::new()), Err) };
    let points: Vec<Result<SweepPoint>> = (0..count)
        .into_par_iter()
        .map(|number| {
            let settings = settings_of(varied, number);
            let point = made_up(&settings).and_then(|bath| {
                let Reasons { rate: reason, alloy: alloy_reason, free_metal: free_metal_reason } =
                    bath.reasons_since(&first)?;
                let (rate, flags, settings) = (Some(bath.rate()?), bath.flags()?, settings.clone());
                let failure = None;
                Ok(SweepPoint { settings, rate, failure, flags, reason, alloy_reason, free_metal_reason })
            });
            match point {
                Err(error) if !is_refused(&error, varied) => Ok(without_rate(settings, error)),
                done => done,
            }
        })
        .collect();
    // A point that was stopped may look like one that cannot be computed.
    recipe.go_on()?;
    let mut points = points.into_iter().collect::<Result<Vec<SweepPoint>>>()?;
    let rates: Vec<Option<&Rate>> = points.iter().map(|point| point.rate.as_ref()).collect();
    let unmoved = flag_unmoved(varied, &rates);
    for point in &mut points {
        point.flags.extend_from_slice(&unmoved);
    }
    Ok(points)
}

/// Whether a varied value itself is impossible or a name unknown: then the question is wrong, not a point.
fn is_refused(error: &Error, varied: &[(String, Vec<f64>)]) -> bool {
    match error {
        Error::Recipe { key, .. } => varied.iter().any(|(path, _)| path == key),
        Error::UnknownName { .. } | Error::Document { .. } | Error::Stopped => true,
        _ => false,
    }
}

fn without_rate(settings: Vec<(String, f64)>, error: Error) -> SweepPoint {
    SweepPoint {
        settings,
        rate: None,
        failure: Some(error),
        flags: Vec::new(),
        reason: None,
        alloy_reason: None,
        free_metal_reason: None,
    }
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
