//! A bath whose pH a pump lets fall to 4.5 and then brings back to 4.8, again and again. All invented.
//!
//! The truth: 60 L of nickel-acid that plates 8 % faster than the recipe says, work without a break; every minute a metering pump
//! adds metal and reductant, and while the base pump is on, a fiftieth of a litre of base. The log has a row each hour: nickel (1 %),
//! hypophosphite (2 %), pH (0.02), and what was added of metal and reductant since the row before.

use std::borrow::Cow;
use std::sync::Arc;

use bathkin::life::{LoggedPh, LoggedSegment, Member, Plates, RowByRow, replayed};
use bathkin::tank::{AlsoRead, METAL, PH, REDUCTANT, Ramp};
use bathkin::{Recipe, document::Value};
use bathkin_fit::Sheet;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;

use crate::fits::{sheet, some};
use crate::random::normal;

/// By how much it plates faster, ln.
pub const LN_RATE: f64 = 0.08;
/// Area in the tank, m².
const AREA_M2: f64 = 0.15;
/// Litres that the metering pumps add in an hour: metal, reductant.
const LITRES_H: [f64; 2] = [0.19, 0.16];
/// Where the base pump starts and stops, and what it adds in a minute, L.
const PUMPED: [f64; 2] = [4.5, 4.8];
const BASE_L: f64 = 0.02;
const MINUTES: usize = 60;

/// The recipe, with what the pH of its log is.
pub fn recipe(ph: &str) -> Recipe {
    let numbers = [("tank.volume_l", 60.0), ("tank.drag_out_l_m2", 0.0)];
    let recipe = Recipe::built_in("nickel-acid").expect("built in");
    let set = |recipe: Recipe, (path, value): (&str, f64)| recipe.with(path, Value::Number(value), "test");
    let texts = [("log.additions", "since-the-row-before"), ("log.ph", ph)];
    let say =
        |recipe: Recipe, (path, text): (&str, &str)| recipe.with(path, Value::Text(text.to_owned()), "test");
    texts.into_iter().fold(numbers.into_iter().fold(recipe, set), say)
}

/// A log of so many hours, and the litres of base that each took, the first row's being none.
///
/// # Panics
/// Where the bath cannot be carried.
pub fn hours(count: usize) -> (Sheet, Vec<f64>) {
    let recipe = recipe("compared");
    let model = recipe.model().expect("a model");
    let mut tank = replayed(&model.tank, LoggedPh::Additions);
    tank.bath.kinetics = Arc::new(tank.bath.kinetics.times(LN_RATE.exp()));
    let members = [Member { tank: Cow::Borrowed(&tank), area_factor: 1.0 }];
    let rows = RowByRow::new(&members, &model.fresh_totals_mol_l, 1e-7);
    let mut state = rows.fresh_state(&model.fresh_totals_mol_l);
    let minute = |number: usize, base_l: f64| LoggedSegment {
        until_s: 60.0 * number as f64,
        plates: Plates::Area(AREA_M2),
        temperature: Ramp::held(tank.operation.temperature_k),
        ph: None,
        row: None,
        additions: vec![(METAL, LITRES_H[0] / 60.0), (REDUCTANT, LITRES_H[1] / 60.0), (PH, base_l)],
        water_l: 0.0,
        removed_l: 0.0,
    };
    let also = AlsoRead { cooled: false, liquid: false };
    let mut random = ChaCha8Rng::seed_from_u64(3);
    let mut draw = |sd: f64| sd * normal(&mut random);
    let (mut columns, mut base): ([Vec<f64>; 7], Vec<f64>) = Default::default();
    let mut pumping = false;
    for row in 0..=count {
        let mut poured_l = 0.0;
        for number in MINUTES * row + 1 - MINUTES * usize::from(row > 0)..=MINUTES * row {
            let base_l = if pumping { BASE_L } else { 0.0 };
            let segment = minute(number, base_l);
            rows.carry(segment.until_s - 60.0, &mut state, &segment).expect("work");
            rows.add(&mut state, &segment).expect("additions");
            poured_l += base_l;
            let ph = rows.read(0, &state, &state, &segment, also).expect("a reading").bath.ph;
            pumping = ph < PUMPED[usize::from(pumping)];
        }
        let shown = rows.read(0, &state, &state, &minute(MINUTES * row, 0.0), also).expect("a reading").bath;
        let worked = if row == 0 { 0.0 } else { 1.0 };
        let cells = [
            row as f64,
            100.0 * AREA_M2 * worked,
            tank.bath.metal_g_l(shown.totals_mol_l[tank.bath.roles.metal]) * draw(0.01).exp(),
            shown.totals_mol_l[tank.bath.roles.reductant] * draw(0.02).exp(),
            shown.ph + draw(0.02),
            LITRES_H[0] * worked,
            LITRES_H[1] * worked,
        ];
        base.push(poured_l);
        columns.iter_mut().zip(cells).for_each(|(column, cell)| column.push(cell));
    }
    let names =
        ["time_h", "area_in_tank_dm2", "nickel_g_l", "hypophosphite_mol_l", "ph", "metal_l", "reductant_l"];
    let log =
        sheet("invented-hours.csv", names.into_iter().zip(columns.iter().map(|cells| some(cells))).collect());
    (log, base)
}
