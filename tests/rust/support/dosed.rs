//! A bath with little buffer that is dosed as it is used up, of which the log has the sum of each shift. All invented.
//!
//! The truth: 60 L of nickel-acid with a third of its lactic acid and little acetic acid, work without a break; every minute a
//! metering pump adds metal and reductant, and a pump holds the pH. The log has a row for each shift, with exact readings at
//! its end and what the pumps added since the row before.

use std::borrow::Cow;

use bathkin::life::{LoggedPh, LoggedSegment, Member, Plates, RowByRow, replayed};
use bathkin::tank::{AlsoRead, METAL, PH, PhPolicy, REDUCTANT, Ramp};
use bathkin::{Recipe, document::Value};
use bathkin_fit::Sheet;

use crate::fits::{sheet, some};

/// Hours of a shift.
pub const SHIFT_H: f64 = 8.0;
/// Area in the tank, m².
const AREA_M2: f64 = 0.15;
/// Litres that the pumps add in an hour: metal, reductant.
const LITRES_H: [f64; 2] = [0.165, 0.14];

/// The recipe of the bath, with when its additions were made.
pub fn recipe(additions: &str) -> Recipe {
    let numbers = [
        ("tank.volume_l", 60.0),
        ("make_up.lactic_acid_g_l", 10.0),
        ("make_up.acetic_acid_g_l", 1.0),
        ("tank.drag_out_l_m2", 0.0),
    ];
    let recipe = Recipe::built_in("nickel-acid").expect("built in");
    let set = |recipe: Recipe, (path, value): (&str, f64)| recipe.with(path, Value::Number(value), "test");
    numbers.into_iter().fold(recipe, set).with("log.additions", Value::Text(additions.to_owned()), "test")
}

/// The log of so many shifts.
///
/// # Panics
/// Where the bath cannot be carried.
pub fn shifts(count: usize) -> Sheet {
    const MINUTES: usize = 60 * SHIFT_H as usize;
    let recipe = recipe("at-the-row");
    let model = recipe.model().expect("a model");
    let mut tank = replayed(&model.tank, LoggedPh::Additions);
    tank.operation.policies.ph = PhPolicy::Continuous;
    let members = [Member { tank: Cow::Borrowed(&tank), area_factor: 1.0 }];
    let rows = RowByRow::new(&members, &model.fresh_totals_mol_l, 1e-8);
    let mut state = rows.fresh_state(&model.fresh_totals_mol_l);
    let layout = rows.balances(0).layout();
    let base_l = |state: &[f64]| {
        let slot = layout.fed().start + PH;
        state[slot] * layout.scale()[slot]
    };
    let minute = |number: usize| LoggedSegment {
        until_s: 60.0 * number as f64,
        plates: Plates::Area(AREA_M2),
        temperature: Ramp::held(tank.operation.temperature_k),
        ph: None,
        row: None,
        additions: vec![(METAL, LITRES_H[0] / 60.0), (REDUCTANT, LITRES_H[1] / 60.0)],
        water_l: 0.0,
        removed_l: 0.0,
    };
    let mut columns: [Vec<f64>; 8] = Default::default();
    let mut before_l = base_l(&state);
    for row in 0..=count {
        if row > 0 {
            for number in MINUTES * (row - 1) + 1..=MINUTES * row {
                let segment = minute(number);
                rows.carry(segment.until_s - 60.0, &mut state, &segment).expect("work");
                rows.add(&mut state, &segment).expect("additions");
            }
        }
        let also = AlsoRead { cooled: false, liquid: false };
        let shown = rows.read(0, &state, &state, &minute(MINUTES * row), also).expect("a reading").bath;
        let worked = if row == 0 { 0.0 } else { 1.0 };
        let cells = [
            SHIFT_H * row as f64,
            100.0 * AREA_M2 * worked,
            tank.bath.metal_g_l(shown.totals_mol_l[tank.bath.roles.metal]),
            shown.totals_mol_l[tank.bath.roles.reductant],
            shown.ph,
            SHIFT_H * LITRES_H[0] * worked,
            SHIFT_H * LITRES_H[1] * worked,
            base_l(&state) - before_l,
        ];
        before_l = base_l(&state);
        columns.iter_mut().zip(cells).for_each(|(column, cell)| column.push(cell));
    }
    let names = [
        "time_h",
        "area_in_tank_dm2",
        "nickel_g_l",
        "hypophosphite_mol_l",
        "ph",
        "metal_l",
        "reductant_l",
        "ph_l",
    ];
    sheet("shifts.csv", names.into_iter().zip(columns.iter().map(|cells| some(cells))).collect())
}
