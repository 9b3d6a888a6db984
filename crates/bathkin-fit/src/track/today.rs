//! A bath today: everything of [`Track`].

use bathkin::constants::SECONDS_PER_HOUR;
use bathkin::life::SolverStatistics;
use bathkin::study::InUse;
use bathkin::tank::{Tank, Work};
use bathkin::{Flag, Recipe};
use bathkin_statistics::kalman::Belief;

use crate::data::logs::LogDoubt;
use crate::data::sheet::Sheet;
use crate::error::DataError;
use crate::predict::dates::{MadeUp, moment};
use crate::predict::spread::first_limits;
use crate::track::accept::{accepted, put_in};
use crate::track::alarms::alarms;
use crate::track::corrector::ph_corrector;
use crate::track::held::{drawn_numbers, held_numbers};
use crate::track::load::{LoadAhead, WorkAhead};
use crate::track::numbers::{Number, numbers};
use crate::track::observed::ObservedLog;
use crate::track::passes::{Passes, passes, with_form};
use crate::track::rest::{Member, Today};
use crate::track::result::{AgeingWeight, Track};
use crate::track::standing::{Shown, next_analyses, passed, standing};
use crate::track::start::Age;
use crate::track::told::{below_detection, drawn, dump, ends, estimates, held, tracked_rows};
use crate::track::unknown::{AgeingForm, tank_at};

/// How a bath is followed.
#[derive(Debug, Clone, PartialEq)]
pub struct TrackOptions {
    /// Members that go on to the dump.
    pub members: usize,
    /// Seed of their draws.
    pub seed: u64,
    /// How old the bath is at the first row.
    pub age: Age,
    /// When the first row was written, where the log has dates.
    pub start: Option<MadeUp>,
    /// Rows whose finding is put in: an addition nobody wrote down, or a slip.
    pub accept: Vec<usize>,
    /// Whether to tell what ten per cent of each number that was held would move.
    pub held_numbers: bool,
    /// Where the work to come is taken from.
    pub work: WorkAhead,
    /// Paths of numbers of the recipe, or of tables of them, that are held though they have a width.
    pub hold: Vec<String>,
    /// Paths of further ones with a range that are drawn.
    pub draw: Vec<String>,
    /// Forms of ageing followed side by side, weighted by their likelihood.
    pub ageing: Vec<AgeingForm>,
}

impl Default for TrackOptions {
    /// 500 members of a bath as old as its log says, ageing as its recipe has it.
    fn default() -> Self {
        TrackOptions {
            members: 500,
            seed: 1,
            age: Age::OfLog,
            start: None,
            accept: Vec::new(),
            held_numbers: true,
            work: WorkAhead::default(),
            hold: Vec::new(),
            draw: Vec::new(),
            ageing: vec![AgeingForm::OfRecipe],
        }
    }
}

/// A bath that was followed, with what a plan of its next shift needs.
#[derive(Debug, Clone)]
pub struct Tracked {
    /// What it tells.
    pub track: Track,
    /// The bath as it is believed to be after the last row and what was added there, by its own policies.
    pub in_use: InUse,
}

/// Follows a bath along its log, and members of it to their first limit; the same for any number of threads. `report` hears
/// how many members are done; `false` from it stops the work.
///
/// # Errors
/// [`DataError`]: a log that cannot be read; a model that fails on its way; an age that this bath does not get to; a row to
/// accept without a finding; a number to hold or to draw that is none or has no width; work that was stopped.
pub fn track(
    recipe: &Recipe,
    log: &Sheet,
    options: &TrackOptions,
    report: &(dyn Fn(usize) -> bool + Sync),
) -> Result<Tracked, DataError> {
    let mut observed = ObservedLog::read(recipe, log)?;
    let forms = if options.ageing.is_empty() { &[AgeingForm::OfRecipe] } else { options.ageing.as_slice() };
    let mut told = Vec::new();
    if !options.accept.is_empty() {
        let first = passes(recipe, &observed, options.age, forms[0], true)?;
        let accepted = accepted(log, &observed, &first, &options.accept)?;
        told = put_in(&mut observed, recipe, &accepted)?;
    }
    let followed = forms
        .iter()
        .map(|form| passes(recipe, &observed, options.age, *form, *form == forms[0]))
        .collect::<Result<Vec<Passes>, DataError>>()?;
    let weights = weights(&followed);
    let clock_s = clock_s(recipe, log, &observed)?;
    let totals = &recipe.model()?.fresh_totals_mol_l;
    let mut members = Vec::new();
    let (mut never_measured, mut drawn_each) = (Vec::new(), Vec::new());
    let numbers = numbers(recipe, &followed[0].unknowns, &options.hold, &options.draw)?;
    let mut main: Option<(Belief, Vec<f64>, Tank)> = None;
    let (mut shown, mut load): (Option<Shown>, Option<LoadAhead>) = (None, None);
    for ((of_form, weight), form) in followed.iter().zip(&weights).zip(forms) {
        let tank = with_form(recipe.model()?.tank.clone(), *form, totals)?;
        let (belief, state) = last(of_form, &observed, totals)?;
        let values = &belief.mean.as_slice()[of_form.coordinates.len()..];
        let own = tank_at(&tank, &of_form.unknowns, values);
        let of_form_load = LoadAhead::after(recipe, &observed, of_form, &own, clock_s, options.work)?;
        let today = Today {
            recipe,
            model: recipe.model()?,
            form: *form,
            tank: &tank,
            coordinates: &of_form.coordinates,
            unknowns: &of_form.unknowns,
            belief: &belief,
            state: &state,
            clock_s,
            load: &of_form_load,
            limits: &recipe.model()?.limits,
        };
        let count = (weight * options.members as f64).round() as usize;
        if count == 0 && main.is_some() {
            continue;
        }
        let before = members.len();
        let at_mean = today.at_mean()?;
        if main.is_none() {
            drawn_each = drawn_numbers(&today, &at_mean, &numbers, &options.draw)?;
        }
        let drawn: Vec<&Number> = numbers
            .iter()
            .filter(|number| drawn_each.iter().any(|one| one.drawn && one.path == number.path))
            .collect();
        let of_form_members =
            today.members(&at_mean, count.max(1), options.seed, &drawn, &|done| report(before + done))?;
        if shown.is_none() {
            shown = Some(Shown::of(&today, &of_form_members, &observed)?);
        }
        if main.is_none() && options.held_numbers {
            never_measured = held_numbers(&today, &at_mean, &numbers)?;
        }
        members.extend(of_form_members);
        main.get_or_insert((belief, state, own));
        load.get_or_insert(of_form_load);
    }
    let (Some((belief, state, tank)), Some(shown), Some(load)) = (main, shown, load) else {
        return Err(log.problem(crate::error::SheetProblem::NothingMeasured { columns: log.names() }));
    };
    let of = &followed[0];
    let now_h = observed.times_h().last().copied().unwrap_or(0.0);
    let date = |hours: f64| options.start.as_ref().map(|start| moment(start.at_s + SECONDS_PER_HOUR * hours));
    let ends = ends(&members, now_h, clock_s);
    let dump = dump(&members, &ends, now_h, options.start.as_ref())?;
    let next_analysis = next_analyses(&shown, &ends, &dump);
    let mut findings = of.findings.clone();
    let hours = observed.times_h();
    for finding in &mut findings {
        let at = finding.row.and_then(|row| observed.rows.iter().position(|known| *known == row));
        finding.at_h = at.map(|at| hours[at]);
        finding.date = finding.at_h.and_then(date);
    }
    let mut rows = tracked_rows(recipe, &observed, of, &hours)?;
    let ph_corrector = ph_corrector(&observed, of, recipe.model()?.log.additions, &mut rows);
    let failed = members.iter().filter(|member| member.ends.is_err()).count();
    let beyond =
        members.iter().filter(|member| matches!(&member.ends, Ok(rest) if rest.verdict.limit == "none"));
    let alarms = alarms(recipe, &shown, &ends, &members, now_h, &findings, &observed)?;
    let effort = effort(&members);
    let lived = members.iter().filter_map(|member| member.ends.as_ref().ok());
    let track = Track {
        now_h,
        alarms,
        now: date(now_h),
        standing: standing(recipe, &shown)?,
        findings,
        smallest_seen: of.smallest_seen.clone(),
        below_detection: below_detection(&observed, of),
        unknowns: estimates(of, &belief),
        titration_noise_pct: 100.0 * of.titration,
        noise_is_estimated: of.noise_is_estimated,
        first_limit: first_limits(lived.map(|rest| rest.verdict.limit.as_str())),
        passed: passed(recipe, of, &observed, &shown, &date)?,
        next_analysis,
        members: members.len(),
        beyond: beyond.count(),
        failed,
        effort,
        first_failure: members.iter().find_map(|member| member.ends.as_ref().err().map(DataError::remark)),
        ends_h: ends,
        dump,
        drawn: drawn(of, &load, &drawn_each),
        held: held(of, &load, &never_measured, &recipe.model()?.log, &drawn_each),
        drawn_numbers: drawn_each,
        held_numbers: never_measured,
        rows,
        ph_corrector,
        ageing_forms: forms
            .iter()
            .zip(&followed)
            .zip(&weights)
            .map(|((form, of), weight)| AgeingWeight {
                form: match form {
                    AgeingForm::OfRecipe => "of_recipe",
                    AgeingForm::Exponential => "exponential",
                },
                ln_likelihood: of.ln_likelihood,
                weight: *weight,
            })
            .collect(),
        accepted: told,
        flags: flags(recipe, log, &observed)?,
    };
    Ok(Tracked { track, in_use: InUse { tank, state } })
}

/// Work of the lives of members.
fn effort(members: &[Member]) -> SolverStatistics {
    let each = || members.iter().filter_map(|member| member.ends.as_ref().ok()).map(|rest| &rest.effort);
    SolverStatistics {
        right_hand_sides: each().map(|of| of.right_hand_sides).sum(),
        stops: each().map(|of| of.stops).sum(),
    }
}

/// What is doubtful of the recipe and of the log.
fn flags(recipe: &Recipe, log: &Sheet, observed: &ObservedLog) -> Result<Vec<Flag>, DataError> {
    let of_log = |doubt: &LogDoubt| Flag { r#where: log.file.clone(), what: doubt.to_string() };
    Ok(recipe.model()?.flags.iter().cloned().chain(observed.bath.doubts.iter().map(of_log)).collect())
}

/// Weights of the forms by their likelihood, each as likely as another before.
fn weights(followed: &[Passes]) -> Vec<f64> {
    let best = followed.iter().map(|of| of.ln_likelihood).fold(f64::NEG_INFINITY, f64::max);
    let each: Vec<f64> = followed.iter().map(|of| (of.ln_likelihood - best).exp()).collect();
    let sum: f64 = each.iter().sum();
    each.into_iter().map(|one| one / sum).collect()
}

/// Belief and (scaled) state after the last row and what was added there.
fn last(of: &Passes, log: &ObservedLog, totals: &[f64]) -> Result<(Belief, Vec<f64>), DataError> {
    let Some(row) = of.rows.last() else {
        return Ok((Belief::independent(&[], &[]), Vec::new()));
    };
    let mut belief = row.belief.clone();
    let state = of.after_additions(of.rows.len() - 1, log, totals)?;
    let contents = of.coordinates.len();
    belief.mean.as_mut_slice()[..contents].copy_from_slice(&of.coordinates.read(&state));
    Ok((belief, state))
}

/// Clock time of the recipe's schedule at the last row, s: by the calendar of its racks, or with the first Monday of the
/// log as the first day, and the earliest time of the day written as the start of the day.
fn clock_s(recipe: &Recipe, log: &Sheet, observed: &ObservedLog) -> Result<f64, DataError> {
    const DAY_S: f64 = 24.0 * SECONDS_PER_HOUR;
    let since_first_s = observed.bath.course.last().map_or(0.0, |segment| segment.until_s);
    let Some(start_s) = log.start_s else {
        let first_s = log.cell("time_h", 0).unwrap_or(0.0) * SECONDS_PER_HOUR;
        return Ok(first_s + since_first_s);
    };
    let model = recipe.model()?;
    if let (Work::Loads(_), Some(zero)) = (&model.tank.operation.work, model.calendar_zero) {
        return Ok((start_s + since_first_s - zero.seconds()).max(0.0));
    }
    let of_day = |hours: f64| (start_s + hours * SECONDS_PER_HOUR).rem_euclid(DAY_S);
    let earliest = observed.times_h().into_iter().map(of_day).fold(f64::INFINITY, f64::min);
    // 1970-01-01 was a Thursday.
    let days = (start_s / DAY_S).floor() + 3.0;
    let monday_s = (days - days.rem_euclid(7.0) - 3.0) * DAY_S;
    Ok((start_s + since_first_s - monday_s - earliest).max(0.0))
}
