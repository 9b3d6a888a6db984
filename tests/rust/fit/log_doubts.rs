//! What of a log can be used but is hard to believe.

use bathkin::Recipe;
use bathkin::document::Value;
use bathkin_fit::data::{LogDoubt, Sheet, check_log};
use bathkin_fit::{Data, RecipeFitOptions, fit_recipe};

use support::fits::{RATE, asked, sheet, some};

fn recipe() -> Recipe {
    Recipe::built_in("nickel-acid").expect("built in")
}

/// Four rows, two hours apart: nickel back at 6 g/L after what 100 dm2 in the tank took, times `added`.
fn log(area_dm2: f64, added: f64) -> Sheet {
    // 1 m2 for 2 h at 15.4 um/h: 30.8 cm3 of 7.9 g/cm3 with 9.5 wt% phosphorus, 220 g of nickel, 2.2 L of 100 g/L.
    let litres = 2.2 * added;
    sheet(
        "log.csv",
        vec![
            ("time_h", some(&[0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 12.0])),
            ("nickel_g_l", some(&[6.0, 5.45, 5.45, 5.45, 5.45, 5.45, 5.45])),
            ("area_in_tank_dm2", some(&[0.0, area_dm2, area_dm2, area_dm2, area_dm2, area_dm2, area_dm2])),
            ("metal_l", some(&[0.0, litres, litres, litres, litres, litres, litres])),
        ],
    )
}

fn doubts(recipe: &Recipe, log: &Sheet) -> Vec<LogDoubt> {
    check_log(recipe, log).expect("checked").doubts
}

/// Producer: mass balance. 5 doses of 2.2 L with 100 g/L, and 0.55 g/L less in 400 L: 1320 g, as much as 6 m2 h at 15.4 um/h.
#[test]
fn metal_that_the_work_does_not_explain_asks_for_the_tank() {
    assert_eq!(doubts(&recipe(), &log(100.0, 1.0)), []);
    // Twice the rate of the recipe is no other tank.
    assert_eq!(doubts(&recipe(), &log(100.0, 2.0)), []);
    let larger = doubts(&recipe(), &log(100.0, 8.0));
    let [LogDoubt::MetalWithoutWork { first: 1, last: 7, gone_g, plated_g, volume_l, .. }] = larger[..]
    else {
        panic!("{larger:?}");
    };
    assert!((gone_g / 9020.0 - 1.0).abs() < 0.01, "{gone_g} g: 5 x 17.6 L x 100 g/L + 0.55 g/L x 400 L");
    assert!((plated_g / 1320.0 - 1.0).abs() < 0.1, "{plated_g} g: 12 m2 h at 15.4 um/h");
    assert!((volume_l - 400.0).abs() < 1e-9);
    let text = larger[0].to_string();
    assert!(text.contains("tank.volume_l = 400") && text.contains("nickel"), "{text}");
    // A fifth of what the area plates.
    let less = doubts(&recipe(), &log(500.0, 1.0));
    assert!(matches!(less[..], [LogDoubt::MetalWithoutWork { .. }]), "{less:?}");
    // Little work tells nothing: its metal is within the scatter of the analyses.
    assert_eq!(doubts(&recipe(), &log(1.0, 0.05)), []);
}

/// Producer: mass balance. 40 m2 h at 15.4 um/h are 4400 g of nickel; 400 L with 6 g/L hold 2400 g.
#[test]
fn work_that_plates_more_than_the_bath_holds_asks_for_the_tank() {
    let larger = doubts(&recipe(), &log(2000.0, 20.0));
    let [LogDoubt::WorkBeyondBath { row: 2, plated_g, held_g, .. }] = larger[..] else {
        panic!("{larger:?}");
    };
    assert!(
        (plated_g / 4400.0 - 1.0).abs() < 0.1 && (held_g / 2400.0 - 1.0).abs() < 1e-3,
        "{plated_g} {held_g}"
    );
}

#[test]
fn a_calendar_that_ends_before_the_log_is_named() {
    let path = std::env::temp_dir().join(format!("bathkin-{}-log-doubts.csv", std::process::id()));
    std::fs::write(&path, "in,minutes,area_dm2\n02.03.2026 06:00,240,100\n").expect("written");
    let racks = recipe().with("work.calendar", Value::Text(path.display().to_string()), "test");
    racks.model().expect("racks");
    std::fs::remove_file(&path).ok();
    // 2026-03-02 06:00 (`date -u +%s`).
    let begun_s = 1_772_431_200.0;
    let at = |start_s: f64| Sheet {
        start_s: Some(start_s),
        ..sheet(
            "log.csv",
            vec![
                ("time_h", some(&[0.0, 2.0, 4.0, 6.0, 8.0])),
                ("nickel_g_l", some(&[6.0, 5.5, 5.0, 5.0, 5.0])),
            ],
        )
    };
    let ends = doubts(&racks, &at(begun_s));
    let [LogDoubt::RacksEnd { row: 4, ends_h, before_h }] = ends[..] else { panic!("{ends:?}") };
    assert!((ends_h - 4.0).abs() < 1e-9 && (before_h - 4.0).abs() < 1e-9);
    assert!(ends[0].to_string().contains("work.calendar_repeat_h"));
    // The last interval has the end of the rack.
    assert_eq!(doubts(&racks, &at(begun_s - 3.0 * 3600.0)), []);
    let elsewhere = doubts(&racks, &at(begun_s + 100.0 * 3600.0));
    assert!(matches!(elsewhere[..], [LogDoubt::RacksElsewhere { .. }]), "{elsewhere:?}");
}

#[test]
fn logs_that_overlap_name_the_rows_that_count_twice() {
    let dated = |file: &str, start_s: f64, nickel: &[f64]| {
        let hours: Vec<f64> = (0..nickel.len()).map(|row| 2.0 * row as f64).collect();
        let ph: Vec<f64> = nickel.iter().map(|one| 4.0 + 0.13 * one).collect();
        let columns = vec![
            ("time_h", some(&hours)),
            ("nickel_g_l", some(nickel)),
            ("ph", some(&ph)),
            ("area_in_tank_dm2", some(&vec![20.0; nickel.len()])),
        ];
        Data::Log(Sheet { start_s: Some(start_s), ..sheet(file, columns) })
    };
    let march = dated("march.csv", 1_772_431_200.0, &[6.0, 5.9, 5.78, 5.7, 5.61]);
    let april = dated("april.csv", 1_772_431_200.0 + 6.0 * 3600.0, &[5.7, 5.61, 5.5, 5.4]);
    let later = dated("later.csv", 1_772_431_200.0 + 9.0 * 3600.0, &[5.7, 5.61, 5.5, 5.4]);
    let said = |data: &[Data]| {
        let options = RecipeFitOptions { specification: asked(&[RATE]), ..RecipeFitOptions::default() };
        let remarks = fit_recipe(&recipe(), data, &options).expect("a fit").remarks;
        remarks.into_iter().find(|one| one.code == "data-twice").map(|one| one.text)
    };
    let text = said(&[march.clone(), april]).expect("a remark");
    assert!(text.contains("april.csv, row 1, 2: march.csv has rows of the same time"), "{text}");
    assert_eq!(said(&[march, later]), None);
}
