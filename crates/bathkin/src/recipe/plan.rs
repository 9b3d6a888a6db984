//! The dosing plan of the coming shift, asked of a recipe.

use serde::Serialize;

use super::model::Model;
use super::reader::Flag;
use super::{Recipe, Value};
use crate::constants::SECONDS_PER_HOUR;
use crate::error::{Error, Place, Result};
use crate::life::limits::LimitKind;
use crate::life::plan::{Known, Shift, go_through, set_to_analyses, totals};
use crate::life::simulate::{carry_on, fresh_state};
use crate::life::{Limit, PlannedAddition, Readings, ShiftTotal, Standing};
use crate::tank::{Balances, MetalPolicy, Occasion, PhPolicy, Tank};

/// Longest shift planned, h: a week.
const LONGEST_H: f64 = 168.0;

/// What is asked of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanRequest {
    /// Length of the shift, h.
    pub shift_h: f64,
    /// What the bath is now, by name with unit: `ph`, `turnovers`, a component or a salt
    /// (`nickel_g_l`, `sodium_hypophosphite_monohydrate_g_l`).
    pub now: Vec<(String, f64)>,
    /// Marks of the measure, mL; none: not rounded.
    pub round_ml: Option<f64>,
    /// Racks of the shift, a calendar file with hours from its start; none: the recipe's own work.
    pub calendar: Option<String>,
}

impl Default for PlanRequest {
    /// Eight hours of a fresh bath, not rounded.
    fn default() -> Self {
        PlanRequest { shift_h: 8.0, now: Vec::new(), round_ml: None, calendar: None }
    }
}

/// A dosing plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Plan {
    /// Length of the shift, h.
    pub shift_h: f64,
    /// Marks of the measure, mL.
    pub round_ml: Option<f64>,
    /// The bath at the start of the shift.
    pub start: Standing,
    /// At its end, as planned.
    pub end: Standing,
    /// At its end, if nothing were rounded.
    pub end_exact: Standing,
    /// What to add, in order.
    pub additions: Vec<PlannedAddition>,
    /// What the shift takes of each solution.
    pub totals: Vec<ShiftTotal>,
    /// What has to be known with it; an empty plan says why.
    pub notes: Vec<String>,
    /// Doubts.
    pub flags: Vec<Flag>,
}

/// The bath now, read from the names of a request.
#[derive(Debug, Default)]
struct Now {
    turnovers: Option<f64>,
    ph: Option<f64>,
    /// (slot, mol/L).
    contents: Vec<(usize, f64)>,
}

impl Recipe {
    /// What to add in the coming shift, from the policies of the recipe and the bath as analysed.
    ///
    /// `turnovers` in [`PlanRequest::now`] (or else the by-product) ages the bath by its life up to there;
    /// contents and pH are then set to the analyses. The shift begins where a day of the recipe's work
    /// begins, or at hour zero of the calendar.
    ///
    /// ```
    /// use bathkin::recipe::{PlanRequest, Recipe};
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
        let model = self.model()?;
        model.surface.start(&model.substrates)?;
        check(request)?;
        let now = Now::read(model, &request.now)?;
        let on_calendar = request
            .calendar
            .as_ref()
            .map(|file| self.with("work.calendar", Value::Text(file.clone()), "--calendar"));
        let mut tank = on_calendar.as_ref().map_or(Ok(model), Recipe::model)?.tank.clone();
        let mut notes = Vec::new();
        if !tank.events.is_empty() {
            notes.push("declared events of the recipe are not part of a plan".to_owned());
            tank.events.clear();
        }
        let totals_mol_l = &model.fresh_totals_mol_l;
        let balances = Balances::new(&tank, totals_mol_l);
        let fresh = fresh_state(&balances, totals_mol_l);
        let fresh_ph = balances.observe(&fresh, |observed, _, _| observed.ph)?;
        let mut state = match now.age(model) {
            Some(limit) => aged(model, limit)?,
            None => fresh,
        };
        set_to_analyses(&balances, &mut state, &now.contents, now.ph)?;
        let readings = Readings::take(&balances, &state, fresh_ph)?;
        let past = model.limits.iter().filter(|limit| limit.margin(&readings) <= 0.0);
        notes.extend(past.map(|limit| format!("the bath is past {} of its recipe", limit.path)));

        let known = Known {
            contents: now
                .contents
                .iter()
                .any(|(slot, _)| [model.tank.roles.metal, model.tank.roles.reductant].contains(slot)),
            ph: now.ph.is_some(),
        };
        let through = |step_ml: Option<f64>| {
            go_through(&balances, state.clone(), fresh_ph, &model.settings, request.shift_h, step_ml, known)
        };
        let exact = through(None)?;
        let planned = if request.round_ml.is_some() { through(request.round_ml)? } else { exact.clone() };
        notes.extend(said_of(&tank, &planned, request.shift_h));
        Ok(Plan {
            shift_h: request.shift_h,
            round_ml: request.round_ml,
            start: planned.start,
            end: planned.end,
            end_exact: exact.end,
            totals: totals(&planned.additions, &exact.additions),
            additions: planned.additions,
            notes,
            flags: model.flags.clone(),
        })
    }
}

fn refuse(file: &str, key: &str, value: f64, expected: &str) -> Error {
    Error::Recipe {
        place: Place { file: file.to_owned(), line: None },
        key: key.to_owned(),
        value: value.to_string(),
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

impl Now {
    fn read(model: &Model, given: &[(String, f64)]) -> Result<Self> {
        let mut now = Now::default();
        for (name, value) in given {
            let wrong = |expected: &str| Err(refuse("now", name, *value, expected));
            if !(value.is_finite() && *value >= 0.0) {
                return wrong("a number, zero or more");
            }
            match name.as_str() {
                "turnovers" => now.turnovers = Some(*value),
                "ph" if *value > 14.0 => return wrong("a pH between 0 and 14"),
                "ph" => now.ph = Some(*value),
                _ => now.contents.push(content(model, name, *value)?),
            }
        }
        Ok(now)
    }

    /// How far the bath has to be aged before it is what it is now.
    fn age(&self, model: &Model) -> Option<(LimitKind, f64)> {
        let by_product = model.tank.roles.by_product;
        let of_by_product = self.contents.iter().find(|(slot, _)| *slot == by_product);
        match (self.turnovers, of_by_product) {
            (Some(turnovers), _) => (turnovers > 0.0).then_some((LimitKind::Turnovers, turnovers)),
            (None, Some((_, mol_l))) => {
                (*mol_l > model.fresh_totals_mol_l[by_product]).then_some((LimitKind::ByProduct, *mol_l))
            }
            (None, None) => None,
        }
    }
}

/// Slot and mol/L of a content by name.
fn content(model: &Model, name: &str, value: f64) -> Result<(usize, f64)> {
    let tank = &model.tank;
    let components = tank.equilibrium.component_names();
    const UNITS: [(&str, Option<f64>); 3] = [("_mg_l", Some(1e-3)), ("_g_l", Some(1.0)), ("_mol_l", None)];
    for (ending, grams) in UNITS {
        let Some(substance) = name.strip_suffix(ending) else { continue };
        let mol_l = |g_mol: f64| grams.map_or(value, |grams| value * grams / g_mol);
        if let Some(slot) = components.iter().position(|known| known == substance) {
            return Ok((slot, mol_l(tank.liquid_g_mol[slot])));
        }
        if let Some(reagent) = model.chemistry.reagent(substance) {
            for slot in [tank.roles.metal, tank.roles.reductant] {
                let is_it = |index: usize| model.chemistry.components[index].name == components[slot];
                if let Some((_, moles)) = reagent.gives.iter().find(|(index, _)| is_it(*index)) {
                    return Ok((slot, moles * mol_l(reagent.molar_mass_g_mol)));
                }
            }
        }
    }
    let place = Place { file: "now".to_owned(), line: None };
    let mut valid = vec!["ph".to_owned(), "turnovers".to_owned()];
    for unit in ["g_l", "mol_l"] {
        valid.extend(components.iter().map(|component| format!("{component}_{unit}")));
    }
    Err(Error::unknown_name(place, "analysis", name, valid.iter().map(String::as_str)))
}

/// The (scaled) state of a bath aged by its life to turnovers or by-product.
fn aged(model: &Model, (kind, bound): (LimitKind, f64)) -> Result<Vec<f64>> {
    let balances = Balances::new(&model.tank, &model.fresh_totals_mol_l);
    let fresh = fresh_state(&balances, &model.fresh_totals_mol_l);
    let name = if kind == LimitKind::Turnovers { "turnovers" } else { "by-product mol/L" };
    let limit = Limit {
        name: name.to_owned(),
        path: name.to_owned(),
        kind,
        bound,
        substrate: None,
        place: Place { file: "now".to_owned(), line: None },
    };
    let (life, state) = carry_on(
        &balances,
        fresh,
        &model.fresh_totals_mol_l,
        &[limit],
        &model.settings,
        &mut |_| true,
        &mut |_| (),
    )?;
    if life.verdict.limit == name {
        return Ok(state);
    }
    let expected =
        format!("an age this bath gets to: its work ends at {:.2} turnovers", life.verdict.turnovers);
    Err(refuse("now", name, bound, &expected))
}

/// What has to be known with a plan.
fn said_of(tank: &Tank, shift: &Shift, shift_h: f64) -> Vec<String> {
    let mut notes = Vec::new();
    if let Some((what, at_h)) = &shift.dry {
        notes.push(format!("{what} after {at_h:.2} h: the plan ends there"));
    }
    for (solution, occasion) in tank.occasions() {
        if let Occasion::Clock { every_s, .. } = occasion
            && every_s > shift_h * SECONDS_PER_HOUR
        {
            notes.push(format!(
                "{} goes in every {} h: counted from the start of the shift none falls in it",
                tank.replenishers[solution].name,
                every_s / SECONDS_PER_HOUR
            ));
        }
    }
    if !shift.additions.is_empty() {
        return notes;
    }
    if shift.plating_h == 0.0 {
        notes.push(format!("nothing to add: no work is in the tank in these {shift_h} h"));
        return notes;
    }
    let metal = &tank.equilibrium.component_names()[tank.roles.metal];
    let (from, to) = (shift.start, shift.end);
    let set_point = tank.metal_g_l(tank.set_points.metal_mol_l);
    let by = match tank.policies.metal {
        MetalPolicy::Threshold { fraction } => format!("is added at {:.3} g/L", fraction * set_point),
        MetalPolicy::AtAnalysis(analysis) => {
            format!("is added after an analysis, every {} h", analysis.interval_s / SECONDS_PER_HOUR)
        }
        MetalPolicy::Continuous => "is pumped".to_owned(),
    };
    notes.push(format!(
        "nothing to add: {metal} goes from {:.3} to {:.3} g/L and {by}",
        from.metal_g_l, to.metal_g_l
    ));
    let by = match tank.policies.ph {
        PhPolicy::DeadBand { width, .. } => format!("is corrected at {:.2}", tank.set_points.ph - width),
        PhPolicy::Interval { interval_s, .. } => {
            format!("is corrected every {} h", interval_s / SECONDS_PER_HOUR)
        }
        PhPolicy::Continuous => "is held by a pump".to_owned(),
        PhPolicy::Off => "is left alone".to_owned(),
    };
    notes.push(format!("pH goes from {:.2} to {:.2} and {by}", from.ph, to.ph));
    notes
}
