//! A limit judged at a level that stands low.

use crate::flag::Flag;
use crate::life::Life;
use crate::model::Model;
use crate::tank::quantity::Level;

/// Which bath a limit on a content was judged by, where that is one that stands low and nobody fills up.
pub(crate) fn judged_low(model: &Model, life: &Life) -> Option<Flag> {
    const LOW: f64 = 0.99;
    let tank = &model.tank;
    let volume_l = life.rows.last()?.volume_l();
    let limit = model.limits.iter().find(|limit| limit.name == life.verdict.limit)?;
    if limit.quantity.entry().level == Level::AsItStands
        || volume_l > LOW * tank.plant.volume_l
        || tank.working_share(volume_l) != 1.0
    {
        return None;
    }
    let what = format!(
        "{} is reached at {volume_l:.1} L of {} L: nobody fills the tank up, so it is judged as it stands",
        limit.path, tank.plant.volume_l
    );
    Some(Flag { r#where: "tank.level".to_owned(), what })
}
