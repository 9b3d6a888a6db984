//! Racks that run out before what is asked of them is done.

use crate::error::{Error, Place};
use crate::life::Life;
use crate::model::Model;
use crate::tank::Work;

/// Why a life on a calendar never comes to its end: after its last rack nothing moves the bath any more. `until`
/// says what was waited for. None where the racks are not the reason.
pub(crate) fn refusal(model: &Model, life: &Life, until: &str) -> Option<Error> {
    let Work::Loads(_) = &model.tank.operation.work else { return None };
    let last = life.loads.last().filter(|_| life.verdict.limit == "none")?;
    Some(Error::Recipe {
        place: Place::without_line("work"),
        key: "work.calendar or load".to_owned(),
        value: format!("racks until {:.1} h", last.out_h),
        expected: format!(
            "racks until {until}: they run out after {} racks, {:.4} m2 and {:.3} turnovers",
            life.loads.len(),
            life.verdict.area_m2,
            life.verdict.turnovers
        ),
        hint: Some(
            "work.calendar_repeat_h repeats a calendar, load.NAME.every_h with count a rack".to_owned(),
        ),
    })
}
