//! Bleed and feed: the level a steady bleed ends at, and the least bleed that holds a limit for ever.
//!
//! With a part b of the bath bled off per turnover of plated metal and by-product made at m mol/L per
//! turnover, dc/dn = m - b c: the level ends at m/b, and holding a limit c_max needs b = m/c_max. What a
//! turnover makes changes a little with age, so the simulated level is what counts; the closed form stands
//! beside it.

use bathkin_numerics::{RootError, bracketed_root};
use schemars::JsonSchema;
use serde::Serialize;

use crate::document::Value;
use crate::error::{Error, Place, Result};
use crate::life::simulate::simulate_seeing;
use crate::life::{GivenLimit, Life, Limit, Settings};
use crate::recipe::Recipe;
use crate::tank::{Quantity, Readings, Tank};
use bathkin_numerics::short;

const BLEED: &str = "tank.bleed_per_turnover";
/// Name of the limit that ends a life which is looked at for so many turnovers.
const TO_THE_END: &str = "turnovers";

/// Where a steady bleed ends.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct SteadyBleed {
    /// Part of the bath bled off per turnover of plated metal.
    pub bleed_per_turnover: f64,
    /// Turnovers that were simulated to see it.
    pub turnovers: f64,
    /// Level of every column that settles, by the column's name.
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, f64>")]
    pub levels: Vec<(String, f64)>,
    /// By-product by the closed form m/b with what the fresh bath makes, mol/L.
    pub by_product_closed_form_mol_l: f64,
    /// What the bleed washes out for good, in sentences.
    pub warnings: Vec<String>,
}

impl SteadyBleed {
    /// The level of a column.
    pub fn level(&self, column: &str) -> Option<f64> {
        self.levels.iter().find(|(name, _)| name == column).map(|(_, level)| *level)
    }
}

/// The bleed a limit needs.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct BleedForLimit {
    /// Name of the limit.
    pub limit: String,
    /// Its bound.
    pub bound: f64,
    /// The same in the words and the unit it was set in.
    pub as_given: GivenLimit,
    /// Least part of the bath to bleed off per turnover of plated metal.
    pub bleed_per_turnover: f64,
    /// The same by the closed form, where the limit is on the by-product.
    pub closed_form: Option<f64>,
    /// Where that bleed ends.
    pub steady: SteadyBleed,
}

impl Recipe {
    /// The state a bleed ends at: a life of 6/b turnovers without limits, its last third taken on to
    /// infinity as a geometric series (Aitken), which is exact for a level that settles exponentially.
    ///
    /// # Errors
    /// [`Error::Recipe`] for a bleed of zero, and for racks that run out before it settles; as
    /// [`Recipe::simulate_life`].
    pub fn steady_bleed(&self, bleed_per_turnover: f64) -> Result<SteadyBleed> {
        self.bled(bleed_per_turnover, None).map(|(steady, _)| steady)
    }

    /// The same, with the least margin of a limit in the long run: at whatever hour it is least, as a life has it.
    fn bled(&self, bleed_per_turnover: f64, limit: Option<&Limit>) -> Result<(SteadyBleed, f64)> {
        // A bath is followed over six of its replacements.
        const LEAST: f64 = 1e-3;
        if bleed_per_turnover < LEAST {
            return Err(Error::Recipe {
                place: Place::without_line("bleed"),
                key: BLEED.to_owned(),
                value: bleed_per_turnover.to_string(),
                expected: format!("a bleed of {LEAST} per turnover or more: without one nothing settles"),
                hint: None,
            });
        }
        const STRETCHES: f64 = 3.0;
        const TURNOVER_TOLERANCE: f64 = 1e-6;
        let stretch = (2.0 / bleed_per_turnover).ceil().max(1.0);
        let turnovers = STRETCHES * stretch;
        let recipe = self.with(BLEED, Value::Number(bleed_per_turnover), "bleed");
        let model = recipe.model()?;
        let mut least = [f64::INFINITY; 3];
        let life = recipe.for_turnovers(turnovers, None, &mut |readings| {
            // The end of a stretch belongs to it, or the three would not lie a stretch apart.
            let at = (((readings.turnovers - TURNOVER_TOLERANCE) / stretch) as usize).min(least.len() - 1);
            if let Some(limit) = limit {
                least[at] = least[at].min(limit.margin(&model.tank, readings));
            }
        })?;
        if life.verdict.limit != TO_THE_END {
            return Err(crate::study::racks_out::refusal(model, &life, "the bleed has settled")
                .unwrap_or_else(|| {
                    let verdict = &life.verdict;
                    let reason = match verdict.limit.as_str() {
                        "none" => format!("only {:.3} turnovers are plated by then", verdict.turnovers),
                        ended => format!("{ended} at {:.3} turnovers", verdict.turnovers),
                    };
                    let reason = format!(
                        "{reason}, before the bleed of {} per turnover has settled",
                        short(bleed_per_turnover)
                    );
                    Error::Simulation { time_h: verdict.clock_h, reason }
                }));
        }
        let steady = SteadyBleed {
            bleed_per_turnover,
            turnovers,
            levels: settled(&model.tank, &life, stretch),
            warnings: model.depleted_by_drag_out(&life).into_iter().map(|flag| flag.what).collect(),
            by_product_closed_form_mol_l: made_per_turnover(&life, model) / bleed_per_turnover,
        };
        Ok((steady, limit_of(least)))
    }

    /// A life of so many turnovers, with at most one limit.
    fn for_turnovers(
        &self,
        turnovers: f64,
        limit: Option<&Limit>,
        see: &mut dyn FnMut(&Readings),
    ) -> Result<Life> {
        let model = self.model()?;
        let to_the_end = Limit::on(&model.tank, Quantity::TURNOVERS, turnovers);
        let limits: Vec<Limit> = limit.into_iter().cloned().chain([to_the_end]).collect();
        const FOR_EVER_H: f64 = 1e7;
        let settings = Settings { longest_clock_h: FOR_EVER_H, ..model.settings.clone() };
        simulate_seeing(&model.tank, &model.fresh_totals_mol_l, &limits, &settings, see)
    }

    /// True when a life with this bleed does not reach the limit while its level settles to a ten thousandth, nor
    /// for as long again: where racks and doses fall out of step its highest level comes late.
    fn holds(&self, bleed_per_turnover: f64, limit: &Limit) -> Result<bool> {
        const SETTLED: f64 = 18.0;
        let recipe = self.with(BLEED, Value::Number(bleed_per_turnover), "bleed");
        let life = recipe.for_turnovers(SETTLED / bleed_per_turnover, Some(limit), &mut |_| ())?;
        Ok(life.verdict.limit == TO_THE_END)
    }

    /// The least bleed that holds the limit of this name for ever: to 1e-4 relative where the level settles, and on
    /// the side that holds, which a life with it confirms. Where nights, racks and events make it rise and fall it is
    /// the highest that counts.
    ///
    /// # Errors
    /// [`Error::UnknownName`] for no such limit or one that a bleed cannot hold, [`Error::Simulation`] when
    /// no bleed up to five baths per turnover does, and as [`Recipe::steady_bleed`].
    pub fn bleed_for_limit(&self, name: &str) -> Result<BleedForLimit> {
        let model = self.model()?;
        let settles = |limit: &&Limit| !limit.quantity.entry().counts;
        let known: Vec<&Limit> = model.limits.iter().filter(settles).collect();
        let limit = known.iter().find(|limit| limit.name == name).copied().ok_or_else(|| {
            let place = Place::without_line("bleed");
            let valid = known.iter().map(|limit| limit.name.as_str());
            Error::unknown_name(place, "limit that a bleed can hold", name, valid)
        })?;
        let margin = |bleed: f64| self.bled(bleed, Some(limit)).map(|(_, margin)| margin);
        const LEAST: f64 = 5e-3;
        const MOST: f64 = 5.0;
        let first = self.steady_bleed(1.0)?;
        let by_product = Quantity::component(model.tank.bath.roles.by_product);
        let closed = (limit.quantity == by_product && !limit.floor)
            .then(|| first.by_product_closed_form_mol_l / limit.bound);
        // Down from a bleed that holds it to one that does not, or up the other way.
        let mut at = closed.map_or(0.5, |closed| closed.clamp(0.02, MOST));
        let mut here = margin(at)?;
        let holds = here > 0.0;
        const FACTOR: f64 = 1.3;
        let (other, there) = loop {
            let next = if holds { at / FACTOR } else { at * FACTOR };
            if !(LEAST..=MOST).contains(&next) {
                return Err(Error::Simulation {
                    time_h: 0.0,
                    reason: format!("no bleed between {LEAST} and {MOST} per turnover ends at {name}"),
                });
            }
            let found = margin(next)?;
            if (found > 0.0) != holds {
                break (next, found);
            }
            (at, here) = (next, found);
        };
        let (low, high) = if at < other { (at, other) } else { (other, at) };
        let ends = [(at, here), (other, there)];
        const TOLERANCE: f64 = 1e-4;
        let known_end = |bleed: f64| ends.iter().find(|(end, _)| *end == bleed).map(|(_, margin)| *margin);
        let seek = |bleed: f64| known_end(bleed).map_or_else(|| margin(bleed), Ok);
        let mut bleed_per_turnover =
            bracketed_root(seek, low, high, TOLERANCE * low, 40).map_err(|error| match error {
                RootError::Function(error) => error,
                other => Error::Simulation { time_h: 0.0, reason: other.to_string() },
            })?;
        // Onto the side that holds: a step of the tolerance does it where the level settles, a few where it ripples.
        let mut step = TOLERANCE;
        while !self.holds(bleed_per_turnover, limit)? {
            bleed_per_turnover *= 1.0 + step;
            step *= 2.0;
            if bleed_per_turnover > MOST {
                let reason = format!("no bleed up to {MOST} per turnover holds {name} in a life");
                return Err(Error::Simulation { time_h: 0.0, reason });
            }
        }
        Ok(BleedForLimit {
            limit: name.to_owned(),
            bound: limit.bound,
            as_given: limit.as_given(None),
            bleed_per_turnover,
            closed_form: closed,
            steady: self.steady_bleed(bleed_per_turnover)?,
        })
    }
}

/// By-product made by a turnover of plated metal, mol/L, as the first turnover has it: from the balance of
/// the by-product over it, m = b c/(1 - exp(-b n)).
fn made_per_turnover(life: &Life, model: &crate::model::Model) -> f64 {
    let by_product = model.tank.bath.roles.by_product;
    let [first, second, ..] = life.rows.as_slice() else { return 0.0 };
    let gained = second.totals_mol_l[by_product] - first.totals_mol_l[by_product];
    let (bleed, plated) = (model.tank.operation.bleed_per_turnover, second.turnovers_plated);
    bleed * gained / -(-bleed * plated).exp_m1()
}

/// The levels of the columns that settle, from three rows a stretch of turnovers apart.
fn settled(tank: &Tank, life: &Life, stretch: f64) -> Vec<(String, f64)> {
    let nearest = |wanted: f64| {
        let off = |row: &Readings| (row.turnovers - wanted).abs();
        life.rows.iter().min_by(|a, b| off(a).total_cmp(&off(b)))
    };
    let [Some(first), Some(second), Some(third)] = [1.0, 2.0, 3.0].map(|times| nearest(times * stretch))
    else {
        return Vec::new();
    };
    let columns = Quantity::columns(tank).into_iter().filter(|column| !column.entry().counts);
    let level = |column: Quantity| limit_of([first, second, third].map(|row| column.value(tank, row)));
    columns.map(|column| (column.name(tank), level(column))).collect()
}

/// Aitken's limit of three terms; the last where they do not shrink like a geometric series.
fn limit_of([first, second, third]: [f64; 3]) -> f64 {
    let (before, now) = (second - first, third - second);
    let ratio = now / before;
    if ratio > 0.0 && ratio < 0.5 { third + now * ratio / (1.0 - ratio) } else { third }
}
