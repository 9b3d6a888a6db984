//! A quadratic term in 1/T.

use crate::format::{number, probability};
use crate::report::remark::Remark;
use crate::report::thresholds::{MAY_MISS, MISSES};

/// What a quadratic term in 1/T says of an Arrhenius law.
pub(crate) fn curved(of: &str, t: f64, p_value: f64) -> Option<Remark> {
    let found =
        format!("of {of}, a quadratic term in 1/T has t = {}, {}", number(t, 3), probability(p_value));
    if p_value < MISSES {
        return Some(Remark { code: "curved", text: format!("{found}: not Arrhenius over this range") });
    }
    let text = format!("{found}: it may be curved; measure at more temperatures before you state an energy");
    (p_value < MAY_MISS).then_some(Remark { code: "may-be-curved", text })
}
