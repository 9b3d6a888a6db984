//! Analyses held against the set-points: what is far off is doubted or refused, with the slip it may be.

use crate::constants::REFERENCE_TEMPERATURE_K;
use crate::error::{Error, Result};
use crate::flag::Flag;
use crate::model::Model;
use crate::model::substance::{Name, OF_SET_POINT, Unit, figures, readings};
use crate::study::analyses::{Analyses, Analysis, What, refuse};
use bathkin_numerics::short;

/// Warned about from here on, as a part of the set-point; common practice, no source: baths are held within 10 %.
const WARNED: f64 = 0.25;
/// Refused from here on: twice the set-point.
const TWICE: f64 = 2.0;
/// Refused below: a fifth of it.
const A_FIFTH: f64 = 0.2;
/// Warned about from here on; common practice, no source: pH is held within 0.1 to 0.2.
const WARNED_PH: f64 = 0.5;
/// Refused from here on.
const REFUSED_PH: f64 = 1.5;
/// Ratios are judged in whole per cent: 12 g/L of 6.0001 are twice.
const HALF_A_PER_CENT: f64 = 0.005;
const PH_TOLERANCE: f64 = 1e-9;
/// US ounces per gallon, g/L: 28.349523 g in 3.785411784 L.
const OUNCES_GALLON_G_L: f64 = 7.489151707;

/// An analysis far from its set-point.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Odd {
    pub(crate) name: String,
    pub(crate) value: f64,
    /// How far, and the slip it may be, in a sentence.
    pub(crate) what: String,
    /// How far beyond the bound of a warning; the largest is the oddest.
    size: f64,
    refused: bool,
}

impl Odd {
    pub(crate) fn flag(&self) -> Flag {
        Flag {
            r#where: format!("now.{}", self.name),
            what: format!("{} is {}", short(self.value), self.what),
        }
    }
}

/// The analyses that are far from their set-points, the oddest first.
///
/// # Errors
/// [`crate::Error::Recipe`] for one that no bath in work has, unless the author is `sure`.
pub(crate) fn held_against(model: &Model, now: &Analyses, sure: bool) -> Result<Vec<Odd>> {
    let mut found = Vec::new();
    for analysis in &now.all {
        found.extend(match analysis.what {
            What::Turnovers => None,
            What::Ph { temperature_k } => odd_ph(model, analysis, temperature_k)?,
            What::Content { slot, mol_l } => odd_content(model, analysis, slot, mol_l),
        });
    }
    found.sort_by(|a: &Odd, b: &Odd| b.size.total_cmp(&a.size));
    match found.iter().find(|odd| odd.refused && !sure) {
        Some(odd) => {
            let expected = format!("a reading nearer to the set-point: it is {}", odd.what);
            let hint = "if it is right as it stands, say so: --sure, sure=True".to_owned();
            Err(refuse(&odd.name, odd.value, &expected, Some(hint)))
        }
        None => Ok(found),
    }
}

/// The error of a plan that cannot start from its analyses: the odd one is named, not what could not follow.
pub(crate) fn blamed(odd: &[Odd], now: &Analyses, what: &str) -> Option<Error> {
    let analysis = now.all.iter().find(|analysis| analysis.what != What::Turnovers)?;
    let (name, value, how) = match odd.first() {
        Some(odd) => (&odd.name, odd.value, format!("; it is {}", odd.what)),
        None => (&analysis.name, analysis.value, String::new()),
    };
    Some(refuse(name, value, &format!("{what}{how}"), None))
}

fn odd_content(model: &Model, analysis: &Analysis, slot: usize, mol_l: f64) -> Option<Odd> {
    let set_point = model.tank.content_set_point(slot)?;
    let ratio = analysis.value * mol_l / set_point;
    let off = (ratio - 1.0).abs();
    if off < WARNED - HALF_A_PER_CENT {
        return None;
    }
    let refused = !(A_FIFTH - HALF_A_PER_CENT..TWICE - HALF_A_PER_CENT).contains(&ratio);
    let unit = Name::split(&analysis.name).map_or("%", |name| name.unit.text());
    let held = format!("{:.0} % of the set-point, {} {unit}", 100.0 * ratio, figures(set_point / mol_l));
    let what = with_slips(held, content_slips(model, analysis, slot, mol_l, set_point));
    // In the logarithm a tenth is as odd as ten times.
    let size = (ratio.max(f64::MIN_POSITIVE).ln() / TWICE.ln()).abs();
    Some(Odd { name: analysis.name.clone(), value: analysis.value, what, size, refused })
}

/// Readings of the same digits that come near the set-point, as (how near, in words).
fn content_slips(
    model: &Model,
    analysis: &Analysis,
    slot: usize,
    mol_l: f64,
    set_point: f64,
) -> Vec<(f64, String)> {
    let value = analysis.value;
    let component = &model.tank.bath.equilibrium.component_names()[slot];
    let mut slips = Vec::new();
    let mut add = |as_mol_l: f64, words: String| slips.push((as_mol_l / set_point, words));
    for factor in [0.1, 10.0, 0.01, 100.0, 1e-3, 1e3] {
        add(value * factor * mol_l, format!("a slip of the decimal point, {}", figures(value * factor)));
    }
    let name = Name::split(&analysis.name);
    if name.is_some() {
        let substance = name.map_or("", |name| name.substance);
        add(value / 100.0 * set_point, format!("per cent of the set-point, {substance}{OF_SET_POINT}"));
    }
    if name.is_none_or(|name| name.unit.is_mass()) {
        add(value, format!("mol/L, {component}_mol_l"));
    }
    let index = model.chemistry.component(component);
    let in_grams = index.map(|index| readings(&model.chemistry, &model.own(), index, Unit::Grams, value));
    for reading in in_grams.unwrap_or_default() {
        add(reading.mol_l, format!("g/L, {}", reading.name));
    }
    let metal_g_l = model.tank.bath.metal_g_l(1.0);
    if slot == model.tank.bath.roles.metal {
        add(value / metal_g_l, format!("g/L, {component}_g_l"));
    }
    if name.is_some_and(|name| name.unit == Unit::Grams) {
        add(
            value * OUNCES_GALLON_G_L * mol_l,
            format!("oz/gal, \"{}={} oz/gal\"", analysis.name, short(value)),
        );
    }
    slips.retain(|(ratio, words)| {
        (ratio - 1.0).abs() <= WARNED && !words.ends_with(&format!(", {}", analysis.name))
    });
    slips.sort_by(|a, b| (a.0 - 1.0).abs().total_cmp(&(b.0 - 1.0).abs()));
    slips.into_iter().map(|(ratio, words)| (ratio, format!("{words} ({:.0} %)", 100.0 * ratio))).collect()
}

fn odd_ph(model: &Model, analysis: &Analysis, temperature_k: f64) -> Result<Option<Odd>> {
    let tank = &model.tank;
    let set_point = ph_of_make_up(model, temperature_k)?;
    let off = (analysis.value - set_point).abs();
    if off < WARNED_PH - PH_TOLERANCE {
        return Ok(None);
    }
    let mut slips = Vec::new();
    for factor in [0.1, 10.0] {
        let value = analysis.value * factor;
        slips.push((value - set_point, format!("a slip of the decimal point, {}", figures(value))));
    }
    // The same digits read off a sample at the other temperature.
    let cold = temperature_k == REFERENCE_TEMPERATURE_K;
    let (other_k, words) = if cold {
        (tank.operation.temperature_k, "read in the hot bath".to_owned())
    } else {
        (REFERENCE_TEMPERATURE_K, "that of a cooled sample, ph_25c".to_owned())
    };
    let there = ph_of_make_up(model, other_k)?;
    if (analysis.value - there).abs() < off {
        slips.push((
            analysis.value - there,
            format!("{words} (at its set-point this bath reads {there:.2} there)"),
        ));
    }
    slips.retain(|(off, _)| off.abs() < WARNED_PH);
    slips.sort_by(|a, b| a.0.abs().total_cmp(&b.0.abs()));
    let held = format!("{:+.2} pH off the set-point, {set_point:.2}", analysis.value - set_point);
    Ok(Some(Odd {
        name: analysis.name.clone(),
        value: analysis.value,
        what: with_slips(held, slips),
        size: off / WARNED_PH,
        refused: off >= REFUSED_PH - PH_TOLERANCE,
    }))
}

/// The pH of the fresh bath at a temperature: its set-point, as read there.
fn ph_of_make_up(model: &Model, temperature_k: f64) -> Result<f64> {
    if temperature_k == model.tank.operation.set_points.ph_temperature_k {
        return Ok(model.tank.operation.set_points.ph);
    }
    let mut speciation = model.tank.bath.equilibrium.speciation();
    speciation.solve(&model.tank.bath.equilibrium, &model.fresh_totals_mol_l, temperature_k)?;
    Ok(speciation.ph())
}

fn with_slips(held: String, slips: Vec<(f64, String)>) -> String {
    const MOST: usize = 3;
    let words: Vec<String> = slips.into_iter().take(MOST).map(|(_, words)| words).collect();
    if words.is_empty() { held } else { format!("{held}; perhaps {}", words.join(", or ")) }
}
