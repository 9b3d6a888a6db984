//! A bath near decomposition.

use crate::flag::Flag;
use crate::life::Life;
use crate::surface::Decomposition;
use bathkin_numerics::short;

const PLACE: &str = "decomposition";
const NEAR: &str = "the bath is near decomposition (an estimate for planning, no safety limit)";

/// The doubt about a bath of which this share plates out.
pub(crate) fn doubt(law: &Decomposition, share_pct: Option<f64>) -> Option<Flag> {
    let bound = law.flag_above_pct;
    let what = match share_pct {
        Some(share) if share <= bound => return None,
        Some(share) => {
            format!("plate-out is {share:.3} % of the wanted rate, above {} %: {NEAR}", short(bound))
        }
        None => "nothing plates on the work, so all that plates out is unwanted".to_owned(),
    };
    Some(Flag { r#where: PLACE.to_owned(), what })
}

/// The doubt about a life in whose table the share goes above its bound.
pub(crate) fn doubt_of_life(law: &Decomposition, life: &Life) -> Option<Flag> {
    let bound = law.flag_above_pct;
    let rows = life.table.column("plate_out_pct")?.iter().zip(life.table.column("turnovers")?);
    let (share, turnovers) = rows.into_iter().find(|(share, _)| **share > bound)?;
    let what = format!(
        "plate-out is {share:.3} % of the wanted rate, above {} %, at {turnovers:.1} turnovers: {NEAR}",
        short(bound)
    );
    Some(Flag { r#where: PLACE.to_owned(), what })
}
