//! How the work of a log is told: area and minutes, area and thickness, a mean area, racks of a calendar.

use bathkin::Recipe;
use bathkin::Remark;
use bathkin::document::Value;
use bathkin_fit::Data;
use bathkin_fit::data::Sheet;
use bathkin_fit::{RecipeFitOptions, fit_recipe};

use support::fits::{RATE, asked, calculated, sheet, some};
use support::recipes::power_law;

fn with(recipe: &Recipe, changes: &[(&str, f64)]) -> Recipe {
    let set = |recipe: Recipe, (path, value): &(&str, f64)| recipe.with(path, Value::Number(*value), "test");
    changes.iter().fold(recipe.clone(), set)
}

fn say(recipe: &Recipe, path: &str, text: &str) -> Recipe {
    recipe.with(path, Value::Text(text.to_owned()), "test")
}

/// A tank left alone but for the work.
fn still() -> Recipe {
    let recipe = power_law();
    say(&with(&recipe, &[("tank.drag_out_l_m2", 0.0)]), "ph_control.policy", "off")
}

/// Two intervals of two hours, after each the nickel.
fn log(work: Vec<(&str, Vec<Option<f64>>)>) -> Sheet {
    let mut columns = vec![("time_h", some(&[0.0, 2.0, 4.0]))];
    columns.extend(work);
    columns.push(("nickel_g_l", some(&[6.0, 5.0, 5.0])));
    sheet("log.csv", columns)
}

/// The nickel at the rows, as the recipe's own numbers have it.
fn nickel(recipe: &Recipe, log: Sheet) -> Vec<f64> {
    let (model, values) = calculated(recipe, &[Data::Log(log)], &asked(&[RATE]));
    let of_nickel = model.observed().zip(values).filter(|((column, ..), _)| *column == "nickel_g_l");
    of_nickel.map(|(_, value)| value).collect()
}

fn messages(recipe: &Recipe, log: Sheet) -> Vec<Remark> {
    let options = RecipeFitOptions { specification: asked(&[RATE]), ..RecipeFitOptions::default() };
    fit_recipe(recipe, &[Data::Log(log)], &options).expect("a fit").remarks
}

fn refused(recipe: &Recipe, log: Sheet) -> String {
    let options = RecipeFitOptions { specification: asked(&[RATE]), ..RecipeFitOptions::default() };
    fit_recipe(recipe, &[Data::Log(log)], &options).unwrap_err().to_string()
}

#[track_caller]
fn same(a: &[f64], b: &[f64], relative: f64) {
    assert!(a.len() == b.len() && a.len() == 3, "{a:?} {b:?}");
    for (a, b) in a.iter().zip(b) {
        assert!((a / b - 1.0).abs() < relative, "{a} and not {b}");
    }
}

/// Producer: the same racks told each way; 150 dm2 for one hour, then 300 dm2 for two.
#[test]
fn minutes_a_mean_area_and_racks_are_the_same_work() {
    let minutes =
        log(vec![("area_dm2", some(&[0.0, 150.0, 300.0])), ("plating_min", some(&[0.0, 60.0, 120.0]))]);
    let by_minutes = nickel(&still(), minutes);
    let racks = with(
        &still(),
        &[
            ("load.a.in_h", 0.0),
            ("load.a.minutes", 60.0),
            ("load.a.area_dm2", 150.0),
            ("load.b.in_h", 2.0),
            ("load.b.minutes", 120.0),
            ("load.b.area_dm2", 300.0),
        ],
    );
    // A rack waits some seconds for its induction.
    same(&nickel(&racks, log(vec![])), &by_minutes, 1e-3);
    // By when they went in and came out, written where they came out; or by one of these and minutes.
    let hung = |columns: Vec<(&str, Vec<Option<f64>>)>| {
        let area = ("area_dm2", some(&[0.0, 150.0, 300.0]));
        nickel(&still(), log([vec![area], columns].concat()))
    };
    let goes_in = ("rack_in_h", vec![None, Some(0.0), Some(2.0)]);
    let comes_out = ("rack_out_h", vec![None, Some(1.0), Some(4.0)]);
    let stays = ("plating_min", vec![None, Some(60.0), Some(120.0)]);
    same(&hung(vec![goes_in.clone(), comes_out.clone()]), &by_minutes, 1e-9);
    same(&hung(vec![goes_in, stays.clone()]), &by_minutes, 1e-9);
    same(&hung(vec![comes_out, stays]), &by_minutes, 1e-9);
    // A rack that hangs over a row, written where it went in: an hour of 150 dm2 on either side of it.
    let over = log(vec![
        ("area_dm2", some(&[0.0, 150.0, 0.0])),
        ("rack_in_h", vec![None, Some(1.0), None]),
        ("rack_out_h", vec![None, Some(3.0), None]),
    ]);
    let halves = log(vec![("area_in_tank_dm2", some(&[0.0, 75.0, 75.0]))]);
    same(&nickel(&still(), over), &nickel(&still(), halves), 2e-3);
    // The mean over two hours of 150 dm2 for one is 75; the rate moves a little with what was plated.
    let mean = log(vec![("area_in_tank_dm2", some(&[0.0, 75.0, 300.0]))]);
    same(&nickel(&still(), mean), &by_minutes, 2e-3);
    // The clock of a calendar begins with the dates of the log.
    let path = std::env::temp_dir().join(format!("bathkin-{}-log-racks.csv", std::process::id()));
    std::fs::write(&path, "in,minutes,area_dm2\n02.03.2026 06:00,60,150\n02.03.2026 08:00,120,300\n")
        .expect("written");
    let dated = say(&still(), "work.calendar", path.to_str().expect("a path"));
    // 2026-03-02 06:00 (`date -u +%s`); the same two hours earlier, when nothing hung yet.
    let at = |start_s: f64| Sheet { start_s: Some(start_s), ..log(vec![]) };
    same(&nickel(&dated, at(1_772_431_200.0)), &by_minutes, 1e-3);
    let early = nickel(&dated, at(1_772_431_200.0 - 7200.0));
    std::fs::remove_file(&path).ok();
    assert!((early[1] - early[0]).abs() < 1e-9 && early[2] < early[1], "{early:?}");
    let told = messages(&racks, log(vec![]));
    assert!(told.iter().any(|one| one.code == "log-work" && one.text.contains("racks")), "{told:?}");
    let told = messages(&still(), log(vec![]));
    assert!(told.iter().any(|one| one.text.contains("nothing plates")), "{told:?}");
    assert!(refused(&racks, at(0.0)).contains("work.calendar_start"));
}

/// Producer: mass balance. 200 dm2 of 10 um take as much nickel whatever the rate of the bath:
/// 2e7 um mm2 = 20 cm3, times density and what is not phosphorus, out of 400 L.
#[test]
fn an_area_with_its_thickness_takes_its_metal_whatever_the_rate() {
    let work =
        || log(vec![("area_dm2", some(&[0.0, 200.0, 0.0])), ("thickness_um", vec![None, Some(10.0), None])]);
    let of = |rate: f64| nickel(&with(&still(), &[(RATE, rate)]), work());
    let own = nickel(&still(), work());
    let fast = of(2.0 * number(&still(), RATE));
    same(&own, &fast, 2e-4);
    // 20 cm3 of 7.8 to 8.2 g/cm3 with 9 to 10.5 wt% phosphorus in 400 L.
    let taken = (own[0] - own[1]) * 400.0 / 20.0;
    assert!((7.8 * 0.895..8.2 * 0.91).contains(&taken), "{taken} g nickel in a cm3");
    assert!((own[2] - own[1]).abs() < 1e-9);
}

fn number(recipe: &Recipe, path: &str) -> f64 {
    match recipe.document().get(path).map(|entry| &entry.value) {
        Some(Value::Number(number)) => *number,
        _ => f64::NAN,
    }
}

#[test]
fn a_bare_area_is_refused_with_the_ways_to_tell() {
    let bare = refused(&still(), log(vec![("area_dm2", some(&[0.0, 150.0, 300.0]))]));
    let half = refused(
        &still(),
        log(vec![("area_dm2", some(&[0.0, 150.0, 0.0])), ("rack_in_h", vec![None, Some(1.0), None])]),
    );
    assert!(
        half.contains("row 2, rack_out_h = (empty): expected when the rack came out, or plating_min"),
        "{half}"
    );
    for words in ["row 2, area_dm2 = 150", "plating_min", "thickness_um", "area_in_tank_dm2", "work.calendar"]
    {
        assert!(bare.contains(words), "{bare}");
    }
    // In one row, too.
    let minutes = vec![None, Some(60.0), None];
    let row = refused(&still(), log(vec![("area_dm2", some(&[0.0, 9.0, 9.0])), ("plating_min", minutes)]));
    assert!(row.contains("row 3, area_dm2 = 9"), "{row}");
    let area = || some(&[0.0, 1.0, 1.0]);
    let both = refused(&still(), log(vec![("area_dm2", area()), ("area_in_tank_dm2", area())]));
    assert!(both.contains("both give what plated"), "{both}");
}

/// Producer: the same log without its water column. Four litres evaporate and the meter on the float says so.
#[test]
fn water_by_float_is_not_counted_twice() {
    let free = say(&say(&still(), "tank.level", "free"), "tank.water", "float");
    let free = with(&free, &[("tank.brim_l", 420.0), ("tank.evaporation_l_h", 10.0)]);
    let work = || vec![("area_in_tank_dm2", some(&[0.0, 300.0, 300.0]))];
    let mut metered = work();
    metered.push(("water_l", some(&[0.0, 20.0, 20.0])));
    same(&nickel(&free, log(metered.clone())), &nickel(&free, log(work())), 1e-9);
    let told = messages(&free, log(metered.clone()));
    assert!(told.iter().any(|one| one.code == "log-water" && one.text.contains("40 L")), "{told:?}");
    // By hand it is what keeps the level.
    let by_hand = say(&free, "tank.water", "by-hand");
    let (dry, wet) = (nickel(&by_hand, log(work())), nickel(&by_hand, log(metered)));
    assert!(dry[2] > 1.04 * wet[2] && dry[2] < 1.06 * wet[2], "{dry:?} {wet:?}");
    // What refills a tank that was bailed out counts at a float, too.
    let mut bailed = work();
    bailed.push(("removed_l", some(&[0.0, 40.0, 0.0])));
    let low = nickel(&free, log(bailed.clone()));
    bailed.push(("water_l", some(&[0.0, 40.0, 0.0])));
    let full = nickel(&free, log(bailed));
    assert!(full[2] < 0.95 * low[2], "{low:?} {full:?}");
}

/// Producer: a reaction of first order whose energy makes it stop when cold. Of the ten idle hours of twelve count
/// those in which the tank is within R T^2/Ea = 5.4 K of hot: 5.4/48 of the four that it cools and of the two that
/// it heats, 0.68 h.
#[test]
fn the_idle_temperature_holds_along_a_log() {
    let text = r#"
format = 1
base = "nickel-acid"

[bulk_reaction.decay]        # H2PO2- + H2O -> HPO3-2 + H+ + H2
liquid = { hypophosphite = -1, water = -1, orthophosphite = 1, proton = 1 }
gas = { H = 2 }
rate_mol_l_s = { value = 2e-5, kind = "invented", source = "a test" }
order.hypophosphite = { value = 1, kind = "invented", source = "a test" }
reference_mol_l.hypophosphite = 1
activation_energy_kj_mol = { value = 200, kind = "invented", source = "a test" }
reference_temperature_c = 88

[ph_control]
policy = "off"
"#;
    let hot = Recipe::from_toml("decay.toml", text).expect("a recipe");
    let idle = with(&hot, &[("operation.idle_temperature_c", 40.0)]);
    let log = |temperatures: Option<Vec<Option<f64>>>| {
        let mut columns = vec![
            ("time_h", some(&[0.0, 12.0])),
            ("area_dm2", some(&[0.0, 0.001])),
            ("plating_min", some(&[0.0, 120.0])),
            ("hypophosphite_mol_l", some(&[0.28, 0.2])),
            ("deposition_um_h", some(&[15.0, 15.0])),
        ];
        if let Some(cells) = temperatures {
            columns.push(("temperature_c", cells));
        }
        sheet("log.csv", columns)
    };
    let at_end = |recipe: &Recipe, log: Sheet| {
        let (model, values) = calculated(recipe, &[Data::Log(log)], &asked(&[RATE]));
        let of = |name: &str| {
            model.observed().zip(&values).filter(|((column, ..), _)| *column == name).map(|(_, v)| *v).last()
        };
        (of("hypophosphite_mol_l").expect("a value"), of("deposition_um_h").expect("a value"))
    };
    let left = |hours: f64| (-2e-5_f64 * 3600.0 * hours).exp();
    for cells in [None, Some(some(&[88.0, 88.0]))] {
        let (warm, _) = at_end(&hot, log(cells.clone()));
        let (cold, rate) = at_end(&idle, log(cells));
        assert!((warm / 0.28 / left(12.0) - 1.0).abs() < 0.01, "{warm}");
        assert!((cold / 0.28 / left(2.68) - 1.0).abs() < 0.01, "{cold}");
        // The row itself is read hot, when work goes in.
        assert!(rate > 8.0, "{rate}");
    }
    let told = messages(&idle, log(None));
    assert!(told.iter().any(|one| one.code == "log-temperature" && one.text.contains("idle")), "{told:?}");
}

/// Producer: the make-up itself: what a cooled sample shows where the recipe reads cooled samples.
#[test]
fn ph_is_read_as_the_recipe_reads_it() {
    let cooled = say(&still(), "operation.ph_reading", "cooled");
    let log = || sheet("log.csv", vec![("time_h", some(&[0.0, 1.0])), ("ph", vec![None, Some(4.8)])]);
    let (_, values) = calculated(&cooled, &[Data::Log(log())], &asked(&[RATE]));
    let bath = cooled.make_up().expect("a bath");
    let at_25 = bath.ph_at(25.0).expect("a pH");
    assert!((values[0] - at_25).abs() < 1e-6, "{} and not {at_25}", values[0]);
    let told = messages(&cooled, log());
    assert!(told.iter().any(|one| one.code == "log-ph-reading"), "{told:?}");
}
