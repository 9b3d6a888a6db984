//! Analyses typed at the start of a shift, held against the bath as its log tells of it.
//!
//! z = (value - expected) / sqrt(s² + r²): s the spread of what is believed (P90 - P10 is 2.563 of it), r the error of such
//! a reading. Hours have passed since the last row, so that what is refused is far off: beyond 3.3 where a moved point or two
//! swapped digits explain it, beyond 8 in any case (on a normal distribution neither comes by chance in a year of shifts).

use bathkin::error::{Error, Place};
use bathkin::tank::Quantity;
use bathkin::tank::quantity::UsualError;
use bathkin::{Flag, Recipe};
use bathkin_numerics::short;

use crate::error::DataError;
use crate::format::number;
use crate::track::findings::meant;
use crate::track::result::{Standing, Track};

/// Beyond this a slip is looked for.
const DOUBTED: f64 = 3.3;
/// Beyond this no bath goes between two rows.
const REFUSED: f64 = 8.0;
/// P90 - P10 of a normal distribution, in standard deviations.
const DECILES: f64 = 2.563;

/// What is doubtful in analyses; what is refused unless the author is `sure` is doubtful then.
///
/// # Errors
/// [`DataError::Recipe`] with the value that is expected and the slip it may be.
pub fn held_against(
    recipe: &Recipe,
    track: &Track,
    now: &[(String, f64)],
    sure: bool,
) -> Result<Vec<Flag>, DataError> {
    let mut flags = Vec::new();
    for (name, value) in now {
        let Some((expected, sd)) = expected(recipe, track, name, *value)? else { continue };
        let off = (value - expected).abs() / sd;
        if off <= DOUBTED {
            continue;
        }
        let slip = meant(*value, expected, sd);
        let how =
            slip.map_or(String::new(), |(meant, how)| format!("; {how} it would be {}", number(meant, 4)));
        let expected = format!(
            "about {} (+- {}), as the log to row {} tells{how}",
            number(expected, 4),
            number(2.0 * sd, 2),
            track.rows.last().map_or(0, |row| row.row)
        );
        if !sure && (slip.is_some() || off > REFUSED) {
            return Err(DataError::Recipe {
                place: String::new(),
                error: Error::Recipe {
                    place: Place { file: "now".to_owned(), line: None },
                    key: name.clone(),
                    value: short(*value),
                    expected,
                    hint: Some(
                        "analyse again; if it is right as it stands, say so: --sure, sure=True".to_owned(),
                    ),
                },
            });
        }
        flags.push(Flag {
            r#where: format!("now.{name}"),
            what: format!("{} is {off:.1} standard deviations off: {expected}", short(*value)),
        });
    }
    Ok(flags)
}

/// What an analysis is expected to be, and its standard deviation, in its own unit; none for what nothing is known of.
fn expected(recipe: &Recipe, track: &Track, name: &str, value: f64) -> Result<Option<(f64, f64)>, DataError> {
    let model = recipe.model()?;
    let tank = &model.tank;
    let (quantity, per) = match name {
        "ph" => (Quantity::PH, 1.0),
        "ph_25c" => (Quantity::PH_25C, 1.0),
        _ => match model.content_or_share(name, value) {
            Some(Ok((slot, mol_l))) if mol_l > 0.0 => (Quantity::component(slot), mol_l),
            // What it cannot be is told by the plan.
            _ => return Ok(None),
        },
    };
    let own = quantity.name(tank);
    let Some(now) = track.standing.iter().find(|one| one.name == own) else { return Ok(None) };
    let reading = error_of(track, quantity, now, tank.bath.roles.metal);
    Ok(Some((now.value / per, ((now.p90 - now.p10) / DECILES).hypot(reading) / per)))
}

/// Standard deviation of a reading, in the unit of its standing.
fn error_of(track: &Track, quantity: Quantity, now: &Standing, metal: usize) -> f64 {
    if quantity == Quantity::component(metal) {
        return 0.01 * track.titration_noise_pct * now.value;
    }
    match quantity.entry().error {
        UsualError::Absolute(sd, _) => sd,
        UsualError::Relative(part, _) => part * now.value.abs(),
    }
}
