//! What is asked of each member: a quantity of the fresh bath, after some turnovers or at the end, or what ended the life.
//!
//! | name | what it is |
//! |---|---|
//! | `make_up.QUANTITY` | a quantity of the fresh bath |
//! | `turnover_3.QUANTITY` | the same after 3 turnovers; none of a life that ends before |
//! | `end.QUANTITY` | the same where the life ends |
//! | `least.QUANTITY`, `greatest.QUANTITY` | its least and greatest value over the rows of the life |
//! | `dump.clock_h`, `dump.area_m2` ... | the verdict of the life |
//! | `dump.cost`, `dump.cost_per_um_dm2` ... | what the life has cost, with prices |
//! | `dump.limit` | the first limit, in words |
//!
//! Quantities are those of a life's table and what else can be read off a bath.

use crate::error::{Error, Place, Result};
use crate::life::cost::points;
use crate::life::limits::TURNOVER_TOLERANCE;
use crate::life::{Life, Verdict};
use crate::tank::{CostPoint, Quantity, Readings, Tank};

/// An output, resolved against the tank of its recipe.
#[derive(Debug, Clone)]
pub struct Output {
    /// Its name.
    pub name: String,
    /// What is read.
    pub(super) read: Read,
}

/// What is read of a member.
#[derive(Debug, Clone, Copy)]
pub(super) enum Read {
    MakeUp(Quantity),
    After(u32, Quantity),
    End(Quantity),
    Least(Quantity),
    Greatest(Quantity),
    /// With its unit.
    Verdict(fn(&Verdict) -> f64, &'static str),
    Cost(fn(&CostPoint, &Verdict) -> f64),
    Limit,
}

const DUMP: [(&str, Read); 10] = [
    ("limit", Read::Limit),
    ("clock_h", Read::Verdict(|verdict| verdict.clock_h, "h")),
    ("plating_h", Read::Verdict(|verdict| verdict.plating_h, "h")),
    ("turnovers", Read::Verdict(|verdict| verdict.turnovers, "")),
    ("turnovers_plated", Read::Verdict(|verdict| verdict.turnovers_plated, "")),
    ("area_m2", Read::Verdict(|verdict| verdict.area_m2, "m2")),
    ("cost", Read::Cost(|point, _| point.cost)),
    ("cost_per_um_dm2", Read::Cost(|point, _| point.cost_per_um_dm2)),
    ("cost_per_m2", Read::Cost(|point, verdict| point.cost / verdict.area_m2)),
    ("cost_per_turnover", Read::Cost(|point, verdict| point.cost / verdict.turnovers)),
];

impl Output {
    /// The output of this name; `by` is the call that asks, named in messages.
    ///
    /// # Errors
    /// [`Error::UnknownName`] with the valid names; [`Error::Recipe`] for a cost without prices.
    pub fn named(tank: &Tank, name: &str, by: &str) -> Result<Self> {
        let unknown = || {
            let valid = Output::valid(tank, name);
            Error::unknown_name(Place::without_line(by), "output", name, valid.iter().map(String::as_str))
        };
        let (moment, what) = name.split_once('.').ok_or_else(unknown)?;
        let quantity = || readable(tank).find(|of| of.name(tank) == what).ok_or_else(unknown);
        let turnovers = moment.strip_prefix("turnover_").and_then(|number| number.parse().ok());
        let read = match (moment, turnovers) {
            ("make_up", _) => Read::MakeUp(quantity()?),
            ("end", _) => Read::End(quantity()?),
            ("least", _) => Read::Least(quantity()?),
            ("greatest", _) => Read::Greatest(quantity()?),
            ("dump", _) => DUMP.iter().find(|(known, _)| *known == what).ok_or_else(unknown)?.1,
            (_, Some(turnovers @ 1..)) => Read::After(turnovers, quantity()?),
            _ => return Err(unknown()),
        };
        if matches!(read, Read::Cost(_)) && tank.operation.cost.is_none() {
            return Err(refuse(by, "outputs", name, "a recipe with prices, [cost]"));
        }
        Ok(Output { name: name.to_owned(), read })
    }

    /// Every valid name, of turnovers those after as many as `like` asks for, or after one.
    fn valid(tank: &Tank, like: &str) -> Vec<String> {
        let moment = like.split('.').next().filter(|moment| {
            moment.strip_prefix("turnover_").is_some_and(|number| number.parse::<u32>().is_ok_and(|n| n > 0))
        });
        let quantities: Vec<String> = readable(tank).map(|of| of.name(tank)).collect();
        let of_dump = DUMP.iter().map(|(what, _)| format!("dump.{what}"));
        let moments = ["make_up", moment.unwrap_or("turnover_1"), "end", "least", "greatest"];
        let of_moments = moments
            .iter()
            .flat_map(|moment| quantities.iter().map(move |quantity| format!("{moment}.{quantity}")));
        of_dump.chain(of_moments).collect()
    }

    /// Whether it is a word and no number.
    pub fn is_limit(&self) -> bool {
        matches!(self.read, Read::Limit)
    }

    /// The unit, empty for a pure number and for a limit; of a cost its currency.
    pub fn unit(&self, tank: &Tank) -> String {
        match self.read {
            Read::MakeUp(of) | Read::After(_, of) | Read::End(of) | Read::Least(of) | Read::Greatest(of) => {
                of.entry().unit.to_owned()
            }
            Read::Cost(_) => {
                tank.operation.cost.as_ref().map_or_else(String::new, |cost| cost.currency.clone())
            }
            Read::Verdict(_, unit) => unit.to_owned(),
            Read::Limit => String::new(),
        }
    }

    /// Its value of a fresh bath; none of what takes a life.
    pub(super) fn of_fresh(&self, tank: &Tank, fresh: &Readings) -> Option<f64> {
        match self.read {
            Read::MakeUp(of) => Some(of.value(tank, fresh)),
            _ => None,
        }
    }

    /// Its value of a life; `NaN` where the life has none, and of a limit.
    pub(super) fn of_life(&self, tank: &Tank, life: &Life) -> f64 {
        let value = |of: Quantity, row: Option<&Readings>| row.map_or(f64::NAN, |row| of.value(tank, row));
        match self.read {
            Read::MakeUp(of) => value(of, life.rows.first()),
            Read::After(turnovers, of) => {
                let done = f64::from(turnovers) - TURNOVER_TOLERANCE;
                value(of, life.rows.iter().find(|row| row.turnovers >= done))
            }
            Read::End(of) => value(of, life.rows.last()),
            Read::Least(of) => life.rows.iter().map(|row| of.value(tank, row)).fold(f64::NAN, f64::min),
            Read::Greatest(of) => life.rows.iter().map(|row| of.value(tank, row)).fold(f64::NAN, f64::max),
            Read::Verdict(of, _) => of(&life.verdict),
            Read::Cost(of) => {
                let cost = tank.operation.cost.as_ref();
                let end = cost.and_then(|cost| points(cost, tank, &life.table).last().copied());
                end.map_or(f64::NAN, |end| of(&end, &life.verdict))
            }
            Read::Limit => f64::NAN,
        }
    }
}

/// Turnovers after which no output looks at a life any more; `None` where one looks at its end.
pub(super) fn looked_to(outputs: &[Output]) -> Option<u32> {
    let last = |output: &Output| match output.read {
        Read::MakeUp(_) => Some(0),
        Read::After(turnovers, _) => Some(turnovers),
        _ => None,
    };
    outputs.iter().map(last).try_fold(0, |most, one| one.map(|one| most.max(one)))
}

/// What can be read off a bath.
fn readable(tank: &Tank) -> impl Iterator<Item = Quantity> {
    Quantity::all(tank).into_iter().filter(|of| !of.is_of_piece_alone())
}

/// A refusal of something that a call was asked.
pub(in crate::study) fn refuse(
    by: &str,
    key: &str,
    value: impl Into<String>,
    expected: impl Into<String>,
) -> Error {
    let (value, expected) = (value.into(), expected.into());
    Error::Recipe { place: Place::without_line(by), key: key.to_owned(), value, expected, hint: None }
}
