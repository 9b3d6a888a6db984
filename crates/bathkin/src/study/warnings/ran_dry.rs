//! A tank that ran dry: where its water went.

use crate::flag::Flag;
use crate::life::{BATH_USED_UP, Life, WATER_USED_UP};
use crate::model::Model;
use crate::tank::Volume;

/// The flag of a life that ended because the tank all but emptied or dried up.
pub(crate) fn warning_of_life(model: &Model, life: &Life) -> Option<Flag> {
    let verdict = &life.verdict;
    if ![BATH_USED_UP, WATER_USED_UP].contains(&verdict.limit.as_str()) {
        return None;
    }
    let last = life.rows.last()?;
    let out = [
        (Volume::Evaporated, "evaporated"),
        (Volume::DraggedOut, "went out with the work"),
        (Volume::Bled, "were bled or dumped"),
        (Volume::Overflowed, "went over the brim"),
    ];
    let losses: Vec<String> = out
        .into_iter()
        .filter(|(which, _)| last.volume(*which) > 0.0)
        .map(|(which, how)| format!("{:.1} L {how}", last.volume(which)))
        .collect();
    let what = format!(
        "the tank ran dry: {:.1} L of {} L are left at {:.2} h; {}; {:.1} L of solutions and {:.1} L of water came in. \
         Water is fed by tank.water = \"float\", or by hand every tank.water_interval_h",
        last.volume_l(),
        model.tank.plant.volume_l,
        verdict.clock_h,
        losses.join(", "),
        last.fed_l.iter().sum::<f64>(),
        last.volume(Volume::Water).max(0.0)
    );
    Some(Flag { r#where: "tank.level".to_owned(), what })
}
