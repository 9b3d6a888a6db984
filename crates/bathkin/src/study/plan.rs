//! The dosing plan of the coming shift, asked of a recipe.

use schemars::JsonSchema;
use serde::Serialize;

use crate::constants::SECONDS_PER_HOUR;
use crate::document::Value;
use crate::error::{Error, Place, Result};
use crate::flag::Flag;
use crate::life::plan::{Known, Shift, go_through, set_to_analyses, totals, totals_of_state_mol_l};
use crate::life::shift::{from_clock, racks};
use crate::life::simulate::fresh_state;
use crate::life::{PlannedAddition, ShiftRack, ShiftState, ShiftTotal, ShiftVolumes};
use crate::recipe::Recipe;
use crate::study::aged::aged;
use crate::study::analyses::Analyses;
use crate::study::off_set_point::{Odd, blamed, held_against};
use crate::tank::{Balances, MetalPolicy, Occasion, PhPolicy, Readings, Tank, Work};
use bathkin_numerics::short;

/// Longest shift planned, h: a week.
const LONGEST_H: f64 = 168.0;

/// What is asked of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanRequest {
    /// Length of the shift, h.
    pub shift_h: f64,
    /// What the bath is now, by name with unit: `ph`, `turnovers`, a component or a salt
    /// (`nickel_g_l`, `sodium_hypophosphite_monohydrate_g_l`; see [`crate::model::substance`]), `ph_25c` of a cooled
    /// sample, or per cent of a set-point (`nickel_pct_of_set_point`).
    pub now: Vec<(String, f64)>,
    /// Smallest step of the measure, mL; none: not rounded.
    pub round_ml: Option<f64>,
    /// Racks of the shift, a calendar file with hours from its start; none: the recipe's own work.
    pub calendar: Option<String>,
    /// Start of the shift by the clock on the wall, s from 1970-01-01 00:00: racks of the recipe's calendar are those from
    /// then on, where the calendar says when its clock is zero; none: the calendar begins with the shift.
    pub start_s: Option<f64>,
    /// Whether analyses far off their set-points are meant as they stand.
    pub sure: bool,
}

impl Default for PlanRequest {
    /// Eight hours of a fresh bath, not rounded.
    fn default() -> Self {
        PlanRequest {
            shift_h: 8.0,
            now: Vec::new(),
            round_ml: None,
            calendar: None,
            start_s: None,
            sure: false,
        }
    }
}

/// A bath in use: its tank as it is believed to be, and its (scaled) state.
#[derive(Debug, Clone)]
pub struct InUse {
    /// The tank.
    pub tank: Tank,
    /// The state.
    pub state: Vec<f64>,
}

/// A dosing plan.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Plan {
    /// Length of the shift, h.
    pub shift_h: f64,
    /// Smallest step of the measure, mL.
    pub round_ml: Option<f64>,
    /// The bath at the start of the shift.
    pub start: ShiftState,
    /// At its end, as planned.
    pub end: ShiftState,
    /// At its end, if nothing were rounded.
    pub end_exact: ShiftState,
    /// What to add, in order.
    pub additions: Vec<PlannedAddition>,
    /// What the shift takes of each solution.
    pub totals: Vec<ShiftTotal>,
    /// Water, and what leaves the tank.
    pub volumes: ShiftVolumes,
    /// Racks of a calendar that go in during the shift, or are in the tank at its start.
    pub racks: Vec<ShiftRack>,
    /// What has to be known with it; an empty plan says why.
    pub notes: Vec<String>,
    /// Warnings.
    pub flags: Vec<Flag>,
}

impl Recipe {
    /// What to add in the coming shift, from the policies of the recipe and the bath as analysed.
    ///
    /// `turnovers` in [`PlanRequest::now`] (or else the by-product) ages the bath by its life up to there;
    /// contents and pH are then set to the analyses. An analysis a quarter off its set-point, or half a pH, is
    /// flagged; one at twice or below a fifth of it, or 1.5 pH off, is refused unless the author is `sure`.
    /// The shift begins where a day of the recipe's work begins, or at hour zero of the calendar.
    ///
    /// ```
    /// use bathkin::Recipe;
    /// use bathkin::study::PlanRequest;
    /// let low = PlanRequest { now: vec![("nickel_g_l".into(), 5.6)], round_ml: Some(50.0), ..PlanRequest::default() };
    /// let plan = Recipe::built_in("nickel-acid")?.plan(&low)?;
    /// assert_eq!(plan.additions[0].replenisher, "nickel replenisher");
    /// assert_eq!(plan.additions[0].volume_ml, 1600.0);
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// As [`Recipe::model`]; [`Error::UnknownName`] and [`Error::Recipe`] for what the bath cannot be;
    /// those of a life.
    pub fn plan(&self, request: &PlanRequest) -> Result<Plan> {
        self.plan_of(request, None)
    }

    /// The same of a bath in use, as a log tells of it; analyses in [`PlanRequest::now`] come on top of that.
    ///
    /// # Errors
    /// As [`Recipe::plan`].
    pub fn plan_of(&self, request: &PlanRequest, in_use: Option<&InUse>) -> Result<Plan> {
        let model = self.model()?;
        model.surface.start(&model.substrates)?;
        check(request)?;
        let now = Analyses::read(model, &request.now)?;
        let odd = held_against(model, &now, request.sure)?;
        let on_calendar = request
            .calendar
            .as_ref()
            .map(|file| self.with("work.calendar", Value::Text(file.clone()), "--calendar"));
        let planned = &on_calendar.as_ref().map_or(Ok(model), Recipe::model)?.tank;
        let mut tank = in_use.map_or(planned, |bath| &bath.tank).clone();
        tank.operation.work = planned.operation.work.clone();
        let mut notes = Vec::new();
        if let (Work::Loads(_), Some(start_s), None) =
            (&tank.operation.work, request.start_s, &request.calendar)
        {
            match model.calendar_zero {
                Some(zero) => {
                    tank.operation.work = from_clock(&tank.operation.work, (start_s - zero.seconds()).max(0.0));
                }
                None => notes.push(
                    "the racks are those from hour zero of the calendar: work.calendar_start says when that is"
                        .to_owned(),
                ),
            }
        }
        if !tank.operation.events.is_empty() {
            notes.push("declared events of the recipe are not part of a plan".to_owned());
            tank.operation.events.clear();
        }
        let totals_mol_l = &model.fresh_totals_mol_l;
        let balances = Balances::new(&tank, totals_mol_l);
        let fresh = fresh_state(&balances, totals_mol_l);
        let fresh_ph = balances.observe(&fresh, |observed, _, _| observed.ph)?;
        let mut state = match (in_use, now.age(model)) {
            (Some(bath), _) => bath.state.clone(),
            (None, Some(limit)) => aged(model, limit)?,
            (None, None) => fresh,
        };
        let contents = now.contents();
        if let Some(ph) = set_to_analyses(&balances, &mut state, &contents, now.ph())? {
            let expected = format!("contents with which this bath can have pH {ph:.2}");
            return Err(blamed(&odd, &now, &expected).unwrap_or_else(|| refuse("plan", "ph", ph, &expected)));
        }
        let readings = Readings::take(&balances, &state, fresh_ph)?;
        let past = model.limits.iter().filter(|limit| limit.margin(&tank, &readings) <= 0.0);
        notes.extend(past.map(|limit| format!("the bath is past {} of its recipe", limit.path)));

        let known = Known {
            contents: in_use.is_some()
                || contents.iter().any(|(slot, _)| {
                    [model.tank.bath.roles.metal, model.tank.bath.roles.reductant].contains(slot)
                }),
            ph: in_use.is_some() || now.ph().is_some(),
        };
        let through = |step_ml: Option<f64>| {
            go_through(&balances, state.clone(), fresh_ph, &model.settings, request.shift_h, step_ml, known)
                .map_err(|error| match error {
                    Error::Simulation { time_h, reason } if !odd.is_empty() => {
                        let what = format!("a bath that can be worked: after {time_h:.2} h {reason}");
                        blamed(&odd, &now, &what).unwrap_or(Error::Simulation { time_h, reason })
                    }
                    error @ Error::Convergence { .. } if !odd.is_empty() => {
                        let what = format!("a bath that can be worked: {error}");
                        blamed(&odd, &now, &what).unwrap_or(error)
                    }
                    error => error,
                })
        };
        let exact = through(None)?;
        let planned = if request.round_ml.is_some() { through(request.round_ml)? } else { exact.clone() };
        notes.extend(said_of(&tank, &planned, request.shift_h));
        let moments = [
            ("at the start of the shift", totals_of_state_mol_l(&balances, &state)),
            ("at its end", planned.end_mol_l.clone()),
        ];
        let mut flags = model.flags.clone();
        flags.extend(odd.iter().map(Odd::flag));
        flags.extend(model.drifted_at(&moments));
        Ok(Plan {
            shift_h: request.shift_h,
            round_ml: request.round_ml,
            start: planned.start,
            end: planned.end,
            end_exact: exact.end,
            totals: totals(&planned.additions, &exact.additions),
            additions: planned.additions,
            volumes: planned.volumes,
            racks: racks(&tank.operation.work, request.shift_h),
            notes,
            flags,
        })
    }
}

fn refuse(file: &str, key: &str, value: f64, expected: &str) -> Error {
    Error::Recipe {
        place: Place { file: file.to_owned(), line: None },
        key: key.to_owned(),
        value: short(value),
        expected: expected.to_owned(),
        hint: None,
    }
}

fn check(request: &PlanRequest) -> Result<()> {
    if !(request.shift_h > 0.0 && request.shift_h <= LONGEST_H) {
        let expected = format!("hours above zero, up to {LONGEST_H}");
        return Err(refuse("plan", "shift_h", request.shift_h, &expected));
    }
    match request.round_ml {
        Some(step) if !(step.is_finite() && step > 0.0) => {
            Err(refuse("plan", "round_ml", step, "a number of mL above zero"))
        }
        _ => Ok(()),
    }
}

/// What has to be known with a plan.
fn said_of(tank: &Tank, shift: &Shift, shift_h: f64) -> Vec<String> {
    let mut notes = Vec::new();
    if let Some((what, at_h)) = &shift.dry {
        notes.push(format!("{what} after {at_h:.2} h: the plan ends there"));
    }
    for (solution, occasion) in tank.operation.occasions() {
        if let Occasion::Clock { every_s, .. } = occasion
            && every_s > shift_h * SECONDS_PER_HOUR
        {
            notes.push(format!(
                "{} goes in every {} h: counted from the start of the shift none falls in it",
                tank.operation.replenishers[solution].name,
                every_s / SECONDS_PER_HOUR
            ));
        }
    }
    if !shift.additions.is_empty() {
        return notes;
    }
    if shift.plating_h == 0.0 {
        notes.push(format!("nothing to add: no work is in the tank in these {} h", short(shift_h)));
        return notes;
    }
    let metal = &tank.bath.equilibrium.component_names()[tank.bath.roles.metal];
    let (from, to) = (shift.start, shift.end);
    let set_point = tank.bath.metal_g_l(tank.operation.set_points.metal_mol_l);
    let by = match tank.operation.policies.metal {
        MetalPolicy::Threshold { fraction } => format!("is added at {:.3} g/L", fraction * set_point),
        MetalPolicy::AtAnalysis(analysis) => {
            format!("is added after an analysis, every {} h", short(analysis.interval_s / SECONDS_PER_HOUR))
        }
        MetalPolicy::Continuous => "is pumped".to_owned(),
    };
    notes.push(format!(
        "nothing to add: {metal} goes from {:.3} to {:.3} g/L and {by}",
        from.metal_g_l, to.metal_g_l
    ));
    let by = match tank.operation.policies.ph {
        PhPolicy::DeadBand { width, .. } => {
            format!("is corrected at {:.2}", tank.operation.set_points.ph - width)
        }
        PhPolicy::Interval { interval_s, .. } => {
            format!("is corrected every {} h", short(interval_s / SECONDS_PER_HOUR))
        }
        PhPolicy::Continuous => "is held by a pump".to_owned(),
        PhPolicy::Off => "is left alone".to_owned(),
    };
    notes.push(format!("pH goes from {:.2} to {:.2} and {by}", from.ph, to.ph));
    notes
}
