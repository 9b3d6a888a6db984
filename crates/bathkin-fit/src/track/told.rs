//! What members and rows tell, in the words and columns of [`Track`](crate::track::Track).

use bathkin::Recipe;
use bathkin::constants::SECONDS_PER_HOUR;
use bathkin::model::{LogSettings, LoggedAdditions, PhReadings};
use bathkin_statistics::kalman::Belief;

use crate::error::DataError;
use crate::predict::dates::MadeUp;
use crate::predict::held::HeldNumber;
use crate::predict::spread::Spread;
use crate::track::held::{told, told_drawn, told_unmoving};
use crate::track::load::LoadAhead;
use crate::track::observed::ObservedLog;
use crate::track::passes::Passes;
use crate::track::rest::Member;
use crate::track::result::{
    BelowDetection, DrawnNumber, DumpDate, TrackedReading, TrackedRow, UnknownEstimate,
};
use crate::track::unknown::Kind;

/// End of each member, h from the first row.
pub(crate) fn ends(members: &[Member], now_h: f64, clock_s: f64) -> Vec<Option<f64>> {
    let end = |member: &Member| {
        let rest = member.ends.as_ref().ok().filter(|rest| rest.verdict.limit != "none")?;
        Some(now_h + (rest.verdict.clock_h - clock_s / SECONDS_PER_HOUR).max(0.0))
    };
    members.iter().map(end).collect()
}

pub(crate) fn dump(
    members: &[Member],
    ends: &[Option<f64>],
    now_h: f64,
    start: Option<&MadeUp>,
) -> Result<DumpDate, DataError> {
    let spread = |of: &dyn Fn(usize) -> Option<f64>| {
        let lived = (0..members.len()).filter(|at| members[*at].ends.is_ok());
        Spread::of(lived.map(|at| of(at).unwrap_or(f64::INFINITY)).collect())
    };
    let of_rest = |of: &dyn Fn(&bathkin::life::RestOfLife) -> f64| {
        spread(&|at| ends[at].and_then(|_| members[at].ends.as_ref().ok().map(of)))
    };
    let clock_h = spread(&|at| ends[at]);
    Ok(DumpDate {
        left_h: spread(&|at| ends[at].map(|end| end - now_h)),
        date: start.map(|start| start.spread(&clock_h)).transpose()?.unwrap_or_default(),
        turnovers: of_rest(&|rest| rest.verdict.turnovers),
        area_left_m2: of_rest(&|rest| rest.area_left_m2),
        clock_h,
    })
}

pub(crate) fn estimates(of: &Passes, belief: &Belief) -> Vec<UnknownEstimate> {
    /// A log that leaves less than this of a prior tells most of it.
    const TOLD: f64 = 0.5;
    of.unknowns
        .iter()
        .enumerate()
        .map(|(at, unknown)| {
            let place = of.coordinates.len() + at;
            let sd = belief.standard_deviation(place);
            UnknownEstimate {
                name: unknown.name.clone(),
                value: belief.mean[place],
                sd,
                prior_sd: unknown.prior,
                told: sd < TOLD * unknown.prior,
            }
        })
        .collect()
}

pub(crate) fn drawn(of: &Passes, load: &LoadAhead, numbers: &[DrawnNumber]) -> Vec<String> {
    let mut drawn = vec!["contents of the bath, as the log tells them".to_owned()];
    drawn.extend(of.never_analysed.iter().map(|name| format!("{name}, never analysed: as made up, to 10 %")));
    drawn.extend(of.unknowns.iter().map(|unknown| unknown.name.clone()));
    drawn.extend(told_drawn(numbers));
    drawn.extend(load.told());
    drawn
}

pub(crate) fn held(
    of: &Passes,
    load: &LoadAhead,
    numbers: &[HeldNumber],
    LogSettings { additions, ph, .. }: &LogSettings,
    widths: &[DrawnNumber],
) -> Vec<String> {
    let mut held = vec![
        "laws and equilibria of the recipe but for their factors".to_owned(),
        "limits, set-points and policies".to_owned(),
    ];
    if load.told().is_none() {
        held.push("the work to come, as the recipe plans it".to_owned());
    }
    if !of.unknowns.iter().any(|unknown| unknown.kind == Kind::DragOut) {
        held.push("drag-out: the recipe has none".to_owned());
    }
    if *ph == PhReadings::AsMeasured {
        held.push("pH of the log: straight between its readings, which are not compared (log.ph)".to_owned());
    }
    if *additions == LoggedAdditions::SinceTheRowBefore {
        held.push("additions of the log: each evenly since the row before (log.additions)".to_owned());
    }
    held.extend(told_unmoving(widths));
    held.extend(told(numbers));
    held
}

/// What was made of the readings below detection, by columns.
pub(crate) fn below_detection(log: &ObservedLog, of: &Passes) -> Vec<BelowDetection> {
    let of_column = |(column, name): (usize, &String)| {
        let below = |row: usize| log.of_row(row).iter().filter(move |one| one.below && one.column == column);
        let compared = |row: usize| of.rows[row].readings.iter().any(|one| one.channel == column);
        let less = |row: usize| below(row).count() * usize::from(compared(row));
        let rows = 0..of.rows.len();
        let readings: usize = rows.clone().map(|row| below(row).count()).sum();
        let less_than_expected = rows.map(less).sum();
        (readings > 0).then(|| BelowDetection { column: name.clone(), readings, less_than_expected })
    };
    log.columns.iter().enumerate().filter_map(of_column).collect()
}

pub(crate) fn tracked_rows(
    recipe: &Recipe,
    log: &ObservedLog,
    of: &Passes,
    hours: &[f64],
) -> Result<Vec<TrackedRow>, DataError> {
    let tank = &of.tank;
    let totals = &recipe.model()?.fresh_totals_mol_l;
    let balances = bathkin::tank::Balances::new(tank, totals);
    let rate = of.place(Kind::Rate);
    of.rows
        .iter()
        .zip(&of.states)
        .enumerate()
        .map(|(at, (row, state))| {
            let volume_l = balances.volume_l(state);
            let content = |slot: usize| row.belief.mean[slot] / volume_l;
            let deviation = |slot: usize| row.belief.standard_deviation(slot) / volume_l;
            let (metal, by_product) = (tank.bath.roles.metal, tank.bath.roles.by_product);
            let readings = row.readings.iter().filter_map(|one| {
                let observed = log.of_row(at).iter().find(|observed| observed.column == one.channel)?;
                Some(TrackedReading {
                    column: log.columns[one.channel].clone(),
                    component: observed
                        .reading
                        .content(tank)
                        .map(|(slot, _)| tank.bath.equilibrium.component_names()[slot].clone()),
                    value: observed.value,
                    expected: observed.expected(one).0,
                    standardised: one.standardised,
                    taken: one.taken,
                })
            });
            let added = of.after_additions(at, log, totals)?;
            let after = of.coordinates.read(&added)[metal] / balances.volume_l(&added);
            Ok(TrackedRow {
                row: log.rows[at],
                time_h: hours.get(at).copied().unwrap_or(f64::NAN),
                metal_g_l: tank.bath.metal_g_l(content(metal)),
                metal_sd_g_l: tank.bath.metal_g_l(deviation(metal)),
                metal_after_additions_g_l: tank.bath.metal_g_l(after),
                by_product_mol_l: content(by_product),
                by_product_sd_mol_l: deviation(by_product),
                ln_rate: rate.map_or(0.0, |place| row.belief.mean[place]),
                ln_rate_sd: rate.map_or(0.0, |place| row.belief.standard_deviation(place)),
                turnovers: bathkin::tank::readings::turnovers(&balances, state).0,
                ph_corrector_l: None,
                ph_corrector_logged_l: None,
                readings: readings.collect(),
            })
        })
        .collect()
}
