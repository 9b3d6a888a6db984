//! A tank that ran dry: where its water went.

use crate::flag::Flag;
use crate::life::{BATH_USED_UP, Life, WATER_USED_UP};
use crate::model::Model;

/// The flag of a life that ended because the tank all but emptied or dried up.
pub(crate) fn doubt_of_life(model: &Model, life: &Life) -> Option<Flag> {
    let verdict = &life.verdict;
    if ![BATH_USED_UP, WATER_USED_UP].contains(&verdict.limit.as_str()) {
        return None;
    }
    let last = |name: &str| life.table.column(name).and_then(|column| column.last().copied()).unwrap_or(0.0);
    let out = [
        ("evaporated_l", "evaporated"),
        ("drag_out_l", "went out with the work"),
        ("bled_l", "were bled or dumped"),
        ("overflow_l", "went over the brim"),
    ];
    let losses: Vec<String> = out
        .into_iter()
        .filter(|(column, _)| last(column) > 0.0)
        .map(|(column, how)| format!("{:.1} L {how}", last(column)))
        .collect();
    let what = format!(
        "the tank ran dry: {:.1} L of {} L are left at {:.2} h; {}; {:.1} L of solutions and {:.1} L of water came in. \
         Water is fed by tank.water = \"float\", or by hand every tank.water_interval_h",
        last("volume_l"),
        model.tank.volume_l,
        verdict.clock_h,
        losses.join(", "),
        last("solutions_l"),
        last("water_l").max(0.0)
    );
    Some(Flag { r#where: "tank.level".to_owned(), what })
}
