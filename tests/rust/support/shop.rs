//! Simulated shops: baths whose truth is not the recipe's model, run by a rule on readings with error, and their logs.
//!
//! All invented. The bath is nickel-acid in a tank of 400 L with some drag-out; four rows a shift of eight hours, five days a
//! week. What the recipe does not know (1 sd): rate 8 %, ageing constant 20 %, by-product per metal 5 %, strengths 2 % each,
//! drag-out 50 %, titration bias 0.7 %, electrode 0.03. Readings: nickel each row (noise correlated by 0.23),
//! hypophosphite 3 %, pH 0.04, orthophosphite each tenth row (5 % and 0.02 mol/L), a coupon every second (4 %). Jugs are
//! off by 1.5 %, the hung area by 4 %.

use bathkin::life::{LoggedPh, LoggedSegment, Member, Plates, RowByRow, replayed};
use bathkin::tank::{AlsoRead, METAL, PH, REDUCTANT, Ramp, Readings, Tank};
use bathkin::{Recipe, document::Value};
use bathkin_fit::Sheet;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use std::borrow::Cow;
use std::sync::Arc;

use crate::random::normal;

/// In what the truth differs from the recipe beyond numbers.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Truth {
    /// Ageing by an exponential, and a further 1.2 % per turnover on the rate.
    pub law: bool,
    /// The level stands up to 5 % low in three weeks of five, unseen.
    pub evaporation: bool,
    /// Each row with 5 %: 1.5 L of the metal replenisher that nobody writes down.
    pub unlogged: bool,
    /// Both strengths 3 % off.
    pub strength: bool,
    /// The electrode goes off by 0.05 pH in ten rows.
    pub drift: bool,
    /// One decimal slip.
    pub slip: bool,
    /// Weeks are busier and less busy than the plan, by 12 %.
    pub weeks: bool,
    /// Metal replenisher poured in after a row (counted from 0), L, that nobody writes down.
    pub dose: Option<(usize, f64)>,
}

impl Truth {
    /// Everything wrong at once.
    pub const ALL: Truth = Truth {
        law: true,
        evaporation: true,
        unlogged: true,
        strength: true,
        drift: true,
        slip: true,
        weeks: false,
        dose: None,
    };
}

/// A simulated shop.
#[derive(Debug, Clone)]
pub struct Shop {
    pub recipe: Recipe,
    /// Its whole log.
    pub log: Sheet,
    /// When the bath reaches its first limit, h from the first row.
    pub dump_h: f64,
    /// True nickel at each row before its additions, g/L.
    pub nickel_g_l: Vec<f64>,
}

/// Hours between rows of a shift.
const ROWS_H: f64 = 2.0;
/// Hours of work on a day, as it really is: one less between rows than there are rows.
pub const WORKED_H: f64 = ROWS_H * (ROWS_A_DAY - 1) as f64;
const ROWS_A_DAY: usize = 4;
/// Most rows of a life.
const MOST_ROWS: usize = 160;
/// Area in the tank, m².
const AREA_M2: f64 = 2.0;
/// A base is reckoned by this, mol/L per pH.
const BUFFER: f64 = 0.10;

/// The recipe all of them start from.
pub fn recipe() -> Recipe {
    let set = |recipe: Recipe, path: &str, value: f64| recipe.with(path, Value::Number(value), "test");
    let recipe = Recipe::built_in("nickel-acid").expect("built in");
    let recipe = set(recipe, "tank.drag_out_l_m2", 0.05);
    let recipe = set(recipe, "limits.phosphorus_wt_pct_max", 13.0);
    set(recipe, "work.hours_per_day", ROWS_H * ROWS_A_DAY as f64)
}

/// A shop by its number: the same for the same number. Titrations of nickel scatter by `noise`.
pub fn shop(truth: Truth, noise: f64, number: u64) -> Shop {
    let recipe = recipe();
    let mut random = ChaCha8Rng::seed_from_u64(number);
    let mut draw = |sd: f64| sd * normal(&mut random);
    let (rate, ageing, side) = (draw(0.08).exp(), draw(0.20).exp(), draw(0.075).exp());
    let strengths = if truth.strength {
        [0.03 * draw(1.0).signum(), 0.03 * draw(1.0).signum()]
    } else {
        [draw(0.02), draw(0.02)]
    };
    let (drag, bias, mut electrode) = (draw(0.5).exp(), draw(0.007), draw(0.03));
    let drift = if truth.drift { 0.005 * draw(1.0).signum() } else { 0.0 };
    let model = recipe.model().expect("a model");
    let totals = &model.fresh_totals_mol_l;
    let rival = {
        let balances = bathkin::tank::Balances::new(&model.tank, totals);
        let fresh = bathkin::life::simulate::fresh_state(&balances, totals);
        let roles = model.tank.bath.roles;
        let of = |observed: &mut bathkin::tank::BathState| {
            model.tank.bath.kinetics.with_exponential_ageing(roles.by_product, &observed.conditions())
        };
        balances.observe(&fresh, |observed, _, _| of(observed)).expect("a fresh bath")
    };
    let tank_at = |turnovers: f64| -> Tank {
        let mut tank = replayed(&model.tank, LoggedPh::Additions);
        let by_product = tank.bath.roles.by_product;
        let own = tank.bath.kinetics.clone();
        let formed = rival.clone().filter(|_| truth.law).unwrap_or_else(|| (*own).clone());
        let further = if truth.law { (1.0 - 0.012 * turnovers).max(0.5) } else { 1.0 };
        let kinetics =
            formed.times(rate * further).side_reactions_times(side).ageing_times(by_product, ageing);
        tank.bath.kinetics = Arc::new(kinetics);
        let water = tank.bath.water();
        for (solution, strength) in [METAL, REDUCTANT].into_iter().zip(strengths) {
            let brings = tank.operation.replenishers[solution].per_litre.iter_mut().enumerate();
            brings.filter(|(slot, _)| *slot != water).for_each(|(_, moles)| *moles *= f64::exp(strength));
        }
        tank.operation.drag_out.reference_l_m2 *= drag;
        tank
    };
    let (metal, reductant, by_product) = {
        let roles = model.tank.bath.roles;
        (roles.metal, roles.reductant, roles.by_product)
    };
    let brings = |solution: usize, slot: usize| model.tank.operation.replenishers[solution].per_litre[slot];
    let points = model.tank.operation.set_points;
    let mut columns: Vec<(String, Vec<Option<f64>>)> = [
        "time_h",
        "nickel_g_l",
        "hypophosphite_mol_l",
        "ph",
        "orthophosphite_mol_l",
        "deposition_um_h",
        "area_in_tank_dm2",
        "metal_l",
        "reductant_l",
        "ph_l",
    ]
    .map(|name| (name.to_owned(), Vec::new()))
    .into();
    let first = tank_at(0.0);
    let mut state = {
        let members = [Member { tank: Cow::Owned(first.clone()), area_factor: 1.0 }];
        RowByRow::new(&members, totals, 1e-7).fresh_state(totals)
    };
    let fresh_ph = {
        let balances = bathkin::tank::Balances::new(&first, totals);
        balances.observe(&state, |observed, _, _| observed.ph).expect("a fresh bath")
    };
    let (mut nickel_g_l, mut dump_h) = (Vec::new(), f64::NAN);
    let (mut correlated, mut before): (f64, Option<(f64, f64)>) = (draw(noise), None);
    let slip_row = if truth.slip { Some(8 + (number % 12) as usize) } else { None };
    let (mut low_level, mut busy) = (0.0, 1.0);
    for row in 0..MOST_ROWS {
        let (day, of_day) = (row / ROWS_A_DAY, row % ROWS_A_DAY);
        let time_h = 24.0 * (7 * (day / 5) + day % 5) as f64 + ROWS_H * of_day as f64;
        if row % (5 * ROWS_A_DAY) == 0 && truth.evaporation {
            low_level = if draw(1.0) < 0.253 { 0.025 * (1.0 + (draw(0.5)).clamp(-1.0, 1.0)) } else { 0.0 };
        }
        if row % (5 * ROWS_A_DAY) == 0 && truth.weeks {
            busy = draw(0.12).exp();
        }
        let plated = {
            let balances = bathkin::tank::Balances::new(&first, totals);
            bathkin::tank::readings::turnovers(&balances, &state).1
        };
        let tank = tank_at(plated);
        let members = [Member { tank: Cow::Borrowed(&tank), area_factor: 1.0 + draw(0.04) }];
        let rows = RowByRow::new(&members, totals, 1e-7);
        let segment = |until_s: f64, area_m2: f64| LoggedSegment {
            until_s,
            plates: Plates::Area(area_m2),
            temperature: Ramp::held(tank.operation.temperature_k),
            ph: None,
            row: Some(row),
            additions: Vec::new(),
            water_l: 0.0,
            removed_l: 0.0,
        };
        let here = segment(3600.0 * time_h, 0.0);
        // The end: the first limit of the recipe, judged on the true bath.
        let judged = Readings::take(rows.balances(0), &state, fresh_ph).expect("readings");
        let margin =
            |limit: &bathkin::life::Limit| limit.margin(&tank, &judged) / limit.bound.abs().max(1e-9);
        let least = model.limits.iter().map(margin).fold(f64::INFINITY, f64::min);
        if least <= 0.0 {
            let (at, was) = before.unwrap_or((time_h, 0.0));
            dump_h = at + (time_h - at) * was / (was - least).max(1e-12);
            break;
        }
        before = Some((time_h, least));
        let shown =
            rows.read(0, &state, &state, &here, AlsoRead { cooled: false, liquid: false }).expect("a row");
        let volume_l = tank.plant.volume_l;
        let content = |slot: usize| shown.bath.totals_mol_l[slot] * (1.0 + low_level);
        let nickel = tank.bath.metal_g_l(content(metal));
        nickel_g_l.push(tank.bath.metal_g_l(shown.bath.totals_mol_l[metal]));
        correlated = 0.23 * correlated + (1.0_f64 - 0.23 * 0.23).sqrt() * draw(noise);
        let mut read_nickel = nickel * (bias + correlated + draw(0.003)).exp();
        let operator_nickel = read_nickel;
        if slip_row == Some(row) {
            read_nickel *= 10.0;
        }
        let read_hypo = content(reductant) * (1.0 + draw(0.03));
        electrode += drift;
        let read_ph = shown.bath.ph + electrode + draw(0.04);
        let phosphite = content(by_product);
        let read_phosphite =
            (row % 10 == 0).then(|| (phosphite + draw(1.0) * (0.05 * phosphite).hypot(0.02)).max(0.001));
        let rate_now = shown.bath.deposition_um_h * (1.0 + draw(0.04));
        let round = |litres: f64, to: f64| (litres.max(0.0) / to).round() * to;
        let set_g_l = tank.bath.metal_g_l(points.metal_mol_l);
        let metal_l = if operator_nickel < 0.97 * set_g_l {
            round(
                (set_g_l - operator_nickel) / tank.bath.metal_g_l(1.0) * volume_l / brings(METAL, metal),
                0.1,
            )
        } else {
            0.0
        };
        let reductant_l = if read_hypo < 0.97 * points.reductant_mol_l {
            round((points.reductant_mol_l - read_hypo) * volume_l / brings(REDUCTANT, reductant), 0.1)
        } else {
            0.0
        };
        let proton = tank.bath.proton();
        let base_l = if read_ph < points.ph - 0.05 {
            round((points.ph - read_ph) * BUFFER * volume_l / brings(PH, proton).abs(), 0.05)
        } else {
            0.0
        };
        let forgotten_l = truth.dose.filter(|(after, _)| *after == row).map_or(0.0, |(_, litres)| litres);
        let unlogged_l = forgotten_l + if truth.unlogged && draw(1.0) > 1.645 { 1.5 } else { 0.0 };
        let last_of_day = of_day + 1 == ROWS_A_DAY;
        let worked_dm2 = if row == 0 || of_day == 0 { 0.0 } else { 100.0 * AREA_M2 * busy };
        let cells = [
            Some(time_h),
            Some(read_nickel),
            Some(read_hypo),
            Some(read_ph),
            read_phosphite,
            (row % 2 == 0).then_some(rate_now),
            Some(worked_dm2),
            Some(metal_l),
            Some(reductant_l),
            Some(base_l),
        ];
        columns.iter_mut().zip(cells).for_each(|((_, column), cell)| column.push(cell));
        let jug = |litres: f64, off: f64| litres * (1.0 + off);
        let poured = LoggedSegment {
            additions: vec![
                (METAL, jug(metal_l, draw(0.015)) + unlogged_l),
                (REDUCTANT, jug(reductant_l, draw(0.015))),
                (PH, jug(base_l, draw(0.015))),
            ],
            ..here.clone()
        };
        rows.add(&mut state, &poured).expect("additions");
        if last_of_day {
            // The last row of a shift is written as it ends: overnight the tank rests.
            continue;
        }
        let next = segment(3600.0 * (time_h + ROWS_H), AREA_M2 * busy);
        rows.carry(3600.0 * time_h, &mut state, &next).expect("work");
    }
    let rows = (1..=nickel_g_l.len()).collect();
    let log = Sheet {
        file: format!("invented-shop-{number}.csv"),
        rows,
        columns,
        labels: Vec::new(),
        // A Monday, 06:00.
        start_s: Some(1_772_431_200.0),
        doubts: Vec::new(),
    };
    Shop { recipe, log, dump_h, nickel_g_l }
}

/// The first rows of a log.
pub fn first_rows(log: &Sheet, count: usize) -> Sheet {
    let mut cut = log.clone();
    cut.rows.truncate(count);
    cut.columns.iter_mut().for_each(|(_, cells)| cells.truncate(count));
    cut
}

/// The rows of a log from one (counted from 0) on, as a log of its own.
///
/// # Panics
/// Where that row has no time.
pub fn later_rows(log: &Sheet, from: usize) -> Sheet {
    let mut late = log.clone();
    late.rows.drain(..from);
    late.columns.iter_mut().for_each(|(_, cells)| {
        cells.drain(..from);
    });
    let hours = late.column("time_h").and_then(|cells| cells[0]).expect("a time");
    late.start_s = late.start_s.map(|start| start + 3600.0 * hours);
    late
}
