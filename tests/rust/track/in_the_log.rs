//! What is odd in a log is found, and what is not odd is not. Producer of the truths: `support/shop.rs`.

use bathkin::Recipe;
use bathkin::document::Value;
use bathkin_fit::track::{Finding, Grade, TrackOptions, track};
use rayon::prelude::*;
use support::shop::{Shop, Truth, first_rows, shop};
use support::slips::{Slip, slipped};

use crate::where_it_stands::followed;

const ROW: usize = 16;

fn with_dose(litres: f64, number: u64) -> Shop {
    shop(Truth { dose: Some((ROW, litres)), ..Truth::default() }, 0.02, number)
}

fn of_dose(findings: &[Finding]) -> Option<&Finding> {
    let after = |row: usize| row.abs_diff(ROW + 1) <= 1;
    findings
        .iter()
        .find(|one| matches!(one.code, "unlogged_addition" | "forgotten_dose") && one.row.is_some_and(after))
}

/// 3.6 L in 400 L is 15 % of the metal: a finding in nearly every shop, and told to a third.
#[test]
fn an_addition_nobody_wrote_down_is_found_with_its_size() {
    let mut seen = 0;
    for number in 0..8 {
        let track = followed(&with_dose(3.6, number), 30, 1);
        let Some(found) = of_dose(&track.findings) else { continue };
        seen += 1;
        assert_eq!(found.grade, Grade::Finding);
        if found.code == "unlogged_addition" {
            assert!((found.size.expect("a size") / 3.6 - 1.0).abs() < 0.4, "{found:?}");
        }
    }
    assert!(seen >= 7, "{seen}");
}

/// A plain gate would lock the filter out. Asked: the metal is right again within 4 % after two rows and within 2.5 % after
/// four (root mean square).
#[test]
fn a_large_addition_does_not_lock_the_filter_out() {
    const SHOPS: u64 = 8;
    let off_after = |number: u64| {
        let of = with_dose(3.6, 40 + number);
        let track = followed(&of, ROW + 5, 1);
        [1, 2, 4].map(|after| (track.rows[ROW + after].metal_g_l / of.nickel_g_l[ROW + after] - 1.0).powi(2))
    };
    let squares: Vec<[f64; 3]> = (0..SHOPS).into_par_iter().map(off_after).collect();
    let [one, two, four] =
        [0, 1, 2].map(|after| (squares.iter().map(|of| of[after]).sum::<f64>() / SHOPS as f64).sqrt());
    assert!(two < 0.04, "{one} {two}");
    assert!(four < 0.025, "{four}");
}

/// A titration ten times too large is a slip, and the bath stays where it was.
#[test]
fn a_decimal_slip_is_told_with_what_was_meant() {
    for number in 0..6 {
        let of = shop(Truth { slip: true, ..Truth::default() }, 0.02, number);
        let row = 8 + (number % 12) as usize;
        let track = followed(&of, row + 4, 1);
        let slip = track
            .findings
            .iter()
            .find(|one| one.code == "outlying_reading" && one.row == Some(row + 1))
            .unwrap_or_else(|| panic!("{number}: {:?}", track.findings));
        assert_eq!(slip.grade, Grade::Finding);
        let meant = slip.meant.expect("a slip of the point");
        assert!((meant / of.nickel_g_l[row] - 1.0).abs() < 0.15, "{meant} {}", of.nickel_g_l[row]);
        let believed = track.rows[row + 1].metal_g_l;
        assert!((believed / of.nickel_g_l[row + 1] - 1.0).abs() < 0.05, "{believed}");
    }
}

/// Two digits of a titration the wrong way round, 5.8 as 8.5: asked are 85 of a hundred, told with what was meant; the rest
/// swap into nearly the same number. Producer: arithmetic on what the shop read.
#[test]
fn swapped_digits_are_told_with_what_was_meant() {
    const SHOPS: u64 = 20;
    let is_told = |number: &u64| {
        let of = shop(Truth::default(), 0.02, 80 + number);
        let row = 8 + (*number % 5) as usize;
        let (log, meant) = slipped(&of.log, "nickel_g_l", row, Slip::Swapped);
        let found = followed(&Shop { log, ..of }, row + 2, 1).findings;
        found.iter().any(|one| {
            let there = one.code == "outlying_reading" && one.row == Some(row + 1);
            there && one.meant.is_some_and(|told| (told - meant).abs() < 1e-9)
        })
    };
    let told = (0..SHOPS).into_par_iter().filter(is_told).count();
    assert!(told as f64 >= 0.85 * SHOPS as f64, "{told} of {SHOPS}");
}

/// A person reads words: alarms, findings and what was put in have no names with underscores, whatever is odd.
#[test]
fn what_is_told_is_in_words() {
    let set = |recipe: Recipe, path: &str, value: f64| recipe.with(path, Value::Number(value), "test");
    let told = |number: u64| {
        let of = shop(Truth { dose: Some((12, 3.6)), ..Truth::ALL }, 0.02, 200 + number);
        let recipe = [
            ("alarms.metal_pct_of_set_point_min", 100.0),
            ("alarms.complexant_pct_of_fresh_max", 70.5),
            ("alarms.within_h", 5000.0),
            ("alarms.probability_pct", 0.0),
            ("limits.orthophosphite_mol_l_max", 0.3),
        ];
        let recipe = recipe.into_iter().fold(of.recipe, |recipe, (path, value)| set(recipe, path, value));
        let last = if number == 0 { "nickel_g_l" } else { "hypophosphite_mol_l" };
        let (log, _) = slipped(&first_rows(&of.log, 24), last, 23, Slip::TenTimes);
        let options = TrackOptions { members: 20, ..TrackOptions::default() };
        let found = track(&recipe, &log, &options, &|_| true).expect("followed").track;
        let accept =
            found.findings.iter().filter(|one| one.code == "outlying_reading").filter_map(|one| one.row);
        let options = TrackOptions { accept: accept.collect(), members: 1, ..options };
        let accepted = track(&recipe, &log, &options, &|_| true).expect("followed").track.accepted;
        let alarms = found.alarms.iter().map(|one| one.text.clone());
        let findings = found.findings.iter().map(|one| one.text.clone());
        let texts: Vec<String> = alarms.chain(findings).chain(accepted).chain(found.drawn).collect();
        let codes: Vec<&str> = found.alarms.iter().map(|one| one.code).collect();
        (texts, codes)
    };
    let all: Vec<(Vec<String>, Vec<&str>)> = (0..2_u64).into_par_iter().map(told).collect();
    let texts: Vec<&String> = all.iter().flat_map(|(texts, _)| texts).collect();
    let names: Vec<&&String> =
        texts.iter().filter(|text| text.contains('_') || text.contains("NaN")).collect();
    assert!(names.is_empty(), "{names:#?}");
    for code in ["metal_low", "past_limit", "complexant", "reading"] {
        assert!(all.iter().any(|(_, codes)| codes.contains(&code)), "{code}: {:?}", all[0].1);
    }
    assert!(texts.iter().any(|text| text.contains("nickel = ") && text.contains(" g/L: ")), "{texts:#?}");
}

/// Findings in logs where nothing is odd: at most one in a hundred rows for all kinds, three times that in these few.
#[test]
fn a_log_without_oddities_has_hardly_any_findings() {
    let (mut rows, mut found) = (0, 0);
    for number in 60..68 {
        let track = followed(&shop(Truth::default(), 0.02, number), 40, 1);
        rows += track.rows.len();
        found += track.findings.iter().filter(|one| one.grade == Grade::Finding && one.row.is_some()).count();
    }
    assert!((found as f64) < 0.03 * rows as f64, "{found} in {rows}");
}

/// The finding put in: what was forgotten is in the bath, and no finding any more.
#[test]
fn an_accepted_finding_is_put_in() {
    let of = with_dose(3.6, 2);
    let log = first_rows(&of.log, 30);
    let plain = followed(&of, 30, 1);
    let row = of_dose(&plain.findings).and_then(|one| one.row).expect("found");
    let options =
        TrackOptions { members: 1, accept: vec![row], held_numbers: false, ..TrackOptions::default() };
    let accepted = track(&of.recipe, &log, &options, &|_| true).expect("followed").track;
    assert_eq!(accepted.accepted.len(), 1);
    assert!(of_dose(&accepted.findings).is_none_or(|one| one.score.abs() < 4.0), "{:?}", accepted.findings);
    let nothing =
        TrackOptions { members: 1, accept: vec![3], held_numbers: false, ..TrackOptions::default() };
    let error = track(&of.recipe, &log, &nothing, &|_| true).expect_err("row 3 has none").to_string();
    assert!(error.contains("row 3 has no finding to accept") && error.contains(&row.to_string()), "{error}");
}
