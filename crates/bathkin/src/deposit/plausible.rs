//! What no electroless bath does: bounds of plausible rates and compositions, entered or computed.

/// Fastest deposition, um/h, that is believed: these deposits grow at some 1 to 30 um/h.
///
/// Source: common practice, no source for the bound itself.
pub const FASTEST_UM_H: f64 = 100.0;

/// Richest content of phosphorus or boron, wt%, that is believed: some 15 wt% P and 10 wt% B are reached.
///
/// Source: from memory.
pub const RICHEST_METALLOID_WT_PCT: f64 = 25.0;

/// The warning about a computed rate, um/h.
///
/// ```
/// assert!(bathkin::deposit::warning_of_rate(20.0).is_none());
/// assert!(bathkin::deposit::warning_of_rate(9291.0).is_some_and(|what| what.contains("implausible")));
/// ```
pub fn warning_of_rate(um_h: f64) -> Option<String> {
    (um_h > FASTEST_UM_H).then(|| {
        format!(
            "{um_h:.0} um/h is implausible: no electroless bath is known to deposit above {FASTEST_UM_H} um/h; the law is \
             read far from where it holds"
        )
    })
}

/// The warning about a computed content of phosphorus or boron, wt%.
pub fn warning_of_metalloid(wt_pct: f64) -> Option<String> {
    (wt_pct > RICHEST_METALLOID_WT_PCT).then(|| {
        format!(
            "{wt_pct:.1} wt% is implausible: deposits of phosphorus or boron above {RICHEST_METALLOID_WT_PCT} wt% are not \
             known; the selectivity is read far from where it holds"
        )
    })
}
