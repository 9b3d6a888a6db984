//! What asks for somebody now, by `[alarms]` of the recipe ([`bathkin::model::Alarms`]).

use bathkin::Recipe;
use bathkin::solution::Role;
use bathkin::tank::Quantity;

use crate::error::DataError;
use crate::format::number;
use crate::track::finding::{Finding, Grade, MISREAD, OUTLYING};
use crate::track::observed::ObservedLog;
use crate::track::rest::Member;
use crate::track::result::Alarm;
use crate::track::standing::Shown;

/// The alarms of a bath today.
pub(crate) fn alarms(
    recipe: &Recipe,
    shown: &Shown,
    ends: &[Option<f64>],
    members: &[Member],
    now_h: f64,
    findings: &[Finding],
    log: &ObservedLog,
) -> Result<Vec<Alarm>, DataError> {
    let model = recipe.model()?;
    let (when, tank) = (&model.alarms, &shown.tank);
    let names = tank.bath.equilibrium.component_names();
    let title = |slot: usize| Quantity::component(slot).title(tank);
    let mut found = Vec::new();
    let totals = &shown.at_mean.totals_mol_l;
    let metal = tank.bath.roles.metal;
    let metal_pct = 100.0 * totals[metal] / model.tank.operation.set_points.metal_mol_l;
    if metal_pct < when.metal_pct_of_set_point_min {
        found.push(Alarm {
            code: "metal_low",
            of: names[metal].clone(),
            value: Some(metal_pct),
            bound: Some(when.metal_pct_of_set_point_min),
            text: format!(
                "{} is at {} % of its set-point, below {} %: add, and analyse again",
                title(metal),
                number(metal_pct, 3),
                number(when.metal_pct_of_set_point_min, 3)
            ),
        });
    }
    for limit in &model.limits {
        let value = limit.value(tank, &shown.at_mean);
        if limit.margin_of(value) <= 0.0 {
            let side = if limit.floor { "below" } else { "above" };
            let given = limit.as_given(None);
            found.push(Alarm {
                code: "past_limit",
                of: limit.name.clone(),
                value: Some(value),
                bound: Some(limit.bound),
                text: format!(
                    "{} is {} {}, {side} its limit of {}",
                    given.words,
                    number(value / limit.wording.factor, 4),
                    given.unit,
                    number(given.bound, 4)
                )
                .replace(" ,", ","),
            });
        }
        let lived = members.iter().filter(|member| member.ends.is_ok()).count().max(1);
        let near = members.iter().zip(ends).filter(|(member, end)| {
            let own = matches!(&member.ends, Ok(rest) if rest.verdict.limit == limit.name);
            own && end.is_some_and(|end| end - now_h <= when.within_h)
        });
        let probability = 100.0 * near.count() as f64 / lived as f64;
        if limit.margin_of(value) > 0.0 && probability >= when.probability_pct.max(f64::MIN_POSITIVE) {
            found.push(Alarm {
                code: "limit_near",
                of: limit.name.clone(),
                value: Some(probability),
                bound: Some(when.probability_pct),
                text: format!(
                    "{} reaches its limit within {} h with a probability of {probability:.0} %",
                    limit.wording.words,
                    number(when.within_h, 3)
                ),
            });
        }
    }
    for (role, code, [low, high]) in [
        (Role::Stabilizer, "stabilizer", when.stabilizer_pct_of_fresh),
        (Role::Complexant, "complexant", when.complexant_pct_of_fresh),
    ] {
        for (slot, roles) in model.roles.iter().enumerate().filter(|(_, roles)| roles.contains(&role)) {
            let fresh = model.fresh_totals_mol_l[slot];
            let pct = 100.0 * totals[slot] / fresh;
            if fresh > 0.0 && !roles.is_empty() && !(low..=high).contains(&pct) {
                found.push(Alarm {
                    code,
                    of: names[slot].clone(),
                    value: Some(pct),
                    bound: Some(if pct < low { low } else { high }),
                    text: format!(
                        "{}, {code}, is at {} % of the make-up, outside {} to {} %",
                        title(slot),
                        number(pct, 3),
                        number(low, 3),
                        number(high, 3)
                    ),
                });
            }
        }
    }
    let last = log.rows.last().copied();
    for finding in findings {
        let wild = finding.code == OUTLYING && finding.grade == Grade::Finding;
        if finding.code == MISREAD || (wild && finding.row == last) {
            let text = format!("{}: analyse again before you dose", finding.text);
            let (of, value) = (finding.of.clone(), finding.size);
            found.push(Alarm { code: "reading", of, value, bound: None, text });
        }
    }
    Ok(found)
}
