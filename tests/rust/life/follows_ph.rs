//! A bath that follows a measured pH along its log.

use bathkin::life::{AtRow, LogReplay, LoggedPh, LoggedSegment, Plates, replay, replayed};
use bathkin::solution::ph::{Adjustment, adjust_ph};
use bathkin::tank::{AlsoRead, Level, PH, PhLine, Ramp, Tank};
use bathkin::{Model, Recipe};

use support::recipes::{built_in, nickel_acid, power_law, say, set};
use support::{assert_relative, assert_within};

const HOUR_S: f64 = 3600.0;

fn model(recipe: &Recipe) -> Model {
    recipe.model().expect("a model").clone()
}

/// pH at the end of each hour; the first is where it starts.
fn course(tank: &Tank, ph: &[f64], area_m2: f64, pieces: usize) -> Vec<LoggedSegment> {
    let segment = |until_s: f64, line: PhLine| LoggedSegment {
        until_s,
        plates: Plates::Area(area_m2),
        temperature: Ramp::held(tank.operation.temperature_k),
        ph: Some(line),
        row: Some(0),
        additions: Vec::new(),
        water_l: 0.0,
        removed_l: 0.0,
    };
    let of_hour = |hour: usize| {
        let at = |hour: usize| (HOUR_S * hour as f64, ph[hour]);
        let line = PhLine::between(at(hour), at(hour + 1), false);
        (1..=pieces).map(move |piece| (HOUR_S * (hour as f64 + piece as f64 / pieces as f64), line))
    };
    (0..ph.len() - 1).flat_map(of_hour).map(|(until_s, line)| segment(until_s, line)).collect()
}

fn carried(model: &Model, ph: &[f64], area_m2: f64, pieces: usize) -> (Tank, Vec<AtRow>) {
    let tank = replayed(&model.tank, LoggedPh::AsMeasured);
    let mut found = Vec::new();
    let bath = LogReplay { tank: &tank, totals_mol_l: &model.fresh_totals_mol_l };
    let course = course(&tank, ph, area_m2, pieces);
    replay(&[bath], &course, AlsoRead::default(), 1e-9, &mut |_, _, at| found.push(at.clone()))
        .expect("carried");
    (tank, found)
}

/// Producer: the titration of the fresh bath with its corrector ([`adjust_ph`]). Down it takes out what up it brings.
#[test]
fn what_a_resting_bath_takes_is_its_titration() {
    let model = model(&nickel_acid());
    let points = model.tank.operation.set_points;
    let (tank, rows) = carried(&model, &[points.ph, points.ph - 0.3, points.ph], 0.0, 1);
    let equilibrium = tank.bath.equilibrium.solved_exactly();
    let gives = &tank.operation.replenishers[PH].per_litre[..tank.bath.components()];
    let mut low = rows[0].bath.totals_mol_l.clone();
    let mut speciation = equilibrium.speciation();
    let up = adjust_ph(&equilibrium, &mut speciation, &mut low, gives, points.ph_temperature_k, points.ph);
    let Ok(Adjustment::Amount(litres_per_litre)) = up else { panic!("{up:?}") };
    assert_relative("litres down", -rows[0].bath.fed_l[PH], litres_per_litre * tank.plant.volume_l, 1e-6);
    assert_within("litres after both", rows[1].bath.fed_l[PH], 0.0, 1e-9);
    assert_within("pH in between", rows[0].bath.ph_read, points.ph - 0.3, 1e-9);
}

/// Producer: the same course in one piece and in forty, at whose ends the bath is brought to the line. What the pump gives along the
/// line is what the line takes. A free level grows by the litres that were fed.
#[test]
fn along_the_line_nothing_is_left_to_bring() {
    let free = say(&nickel_acid(), &[("tank.level", "free"), ("tank.water", "by-hand")]);
    let free = set(&free, &[("tank.evaporation_l_h", 0.0), ("tank.brim_l", 450.0)]);
    for recipe in [nickel_acid(), free, built_in("copper-tartrate"), power_law()] {
        let model = model(&recipe);
        let start = model.tank.operation.set_points.ph;
        let ph = [start, start - 0.1, start + 0.1];
        let area_m2 = 0.002 * model.tank.plant.volume_l;
        let (tank, whole) = carried(&model, &ph, area_m2, 1);
        let (_, parts) = carried(&model, &ph, area_m2, 40);
        for (hour, at) in whole.iter().enumerate() {
            let same = &parts[40 * (hour + 1) - 1];
            assert_relative("litres", at.bath.fed_l[PH], same.bath.fed_l[PH], 1e-5);
            assert_within("pH", at.bath.ph_read, ph[hour + 1], 1e-8);
        }
        if tank.plant.level != Level::Held {
            let last = &whole.last().expect("two hours").bath;
            let grown_l = last.volume_l() - tank.plant.volume_l;
            assert_within("room", grown_l, last.fed_l[PH], 1e-3 * tank.plant.volume_l);
            assert!(grown_l.abs() > 1e-4 * tank.plant.volume_l, "{grown_l}");
        }
    }
}
