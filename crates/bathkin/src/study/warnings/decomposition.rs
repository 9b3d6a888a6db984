//! A bath near decomposition.

use crate::flag::Flag;
use crate::life::Life;
use crate::surface::Decomposition;
use crate::tank::Readings;
use bathkin_numerics::short;

const PLACE: &str = "decomposition";
const NEAR: &str = "the bath is near decomposition (an estimate for planning, no safety limit)";

/// The warning about a bath of which this share plates out.
pub(crate) fn warning(law: &Decomposition, share_pct: Option<f64>) -> Option<Flag> {
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

/// The warning about a life in whose table the share goes above its bound.
pub(crate) fn warning_of_life(law: &Decomposition, life: &Life) -> Option<Flag> {
    let bound = law.flag_above_pct;
    // Where nothing plates on the work, what plates out is beyond any share of it.
    let share = |row: &Readings| row.plate_out_pct.unwrap_or(f64::INFINITY);
    let row = life.rows.iter().find(|row| share(row) > bound)?;
    let what = format!(
        "plate-out is {:.3} % of the wanted rate, above {} %, at {:.1} turnovers: {NEAR}",
        share(row),
        short(bound),
        row.turnovers
    );
    Some(Flag { r#where: PLACE.to_owned(), what })
}
