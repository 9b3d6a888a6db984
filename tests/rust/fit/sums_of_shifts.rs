//! Logs whose rows have the sum of what was added in a shift. Producer of the truths: `support/dosed.rs`.

use bathkin::Recipe;
use bathkin_fit::data::{LogDoubt, Sheet, check_log};
use bathkin_fit::{Data, RecipeFitOptions, fit_recipe};

use support::dosed::{recipe, shifts};
use support::fits::{RATE, asked, calculated, has};

const AT: &str = "at-the-row";
const SINCE: &str = "since-the-row-before";

/// What the model has for each reading of a column, from the second row on.
fn found(recipe: &Recipe, log: &Sheet, column: &str) -> Vec<f64> {
    let (model, values) = calculated(recipe, &[Data::Log(log.clone())], &asked(&[RATE]));
    let of_column = model.observed().zip(values).filter(|((of, row, _), _)| *of == column && *row > 1);
    of_column.map(|(_, value)| value).collect()
}

fn with(log: &Sheet, column: &str, row: usize, value: f64) -> Sheet {
    let mut log = log.clone();
    let cells = log.columns.iter_mut().find(|(name, _)| name == column).map(|(_, cells)| cells);
    cells.expect("a column")[row] = Some(value);
    log
}

/// The pumps held pH 4.80, and nickel went from 6.0 to 5.5 g/L. Asked: pH to 0.02, nickel to 0.2 %.
#[test]
fn a_bath_dosed_as_it_works_is_followed_by_the_sums_of_its_shifts() {
    let log = shifts(3);
    let read = |column: &str| log.column(column).expect("a column")[1..].to_vec();
    let ph = found(&recipe(SINCE), &log, "ph");
    assert!(ph.len() == 3 && ph.iter().all(|ph| (ph - 4.8).abs() < 0.02), "{ph:?}");
    let nickel = found(&recipe(SINCE), &log, "nickel_g_l");
    for (found, read) in nickel.iter().zip(read("nickel_g_l")) {
        assert!((found / read.expect("nickel") - 1.0).abs() < 2e-3, "{nickel:?}");
    }
    // Poured in at once after each reading, the base of a shift is not in the bath that is read.
    let at_once = found(&recipe(AT), &log, "ph");
    assert!(at_once.iter().all(|ph| (ph - 4.8).abs() > 0.4), "{at_once:?}");
}

#[test]
fn what_the_first_row_has_went_in_before_it() {
    let log = shifts(2);
    let added = with(&with(&log, "metal_l", 0, 3.0), "ph_l", 0, 0.5);
    let since = recipe(SINCE);
    assert_eq!(found(&since, &added, "ph"), found(&since, &log, "ph"));
    let doubts = check_log(&since, &added).expect("checked").doubts;
    let [LogDoubt::AddedBeforeFirst { row: 1, added }] = &doubts[..] else { panic!("{doubts:?}") };
    assert_eq!(added.iter().map(|(_, litres)| *litres).collect::<Vec<f64>>(), [3.0, 0.5]);
    assert!(doubts[0].to_string().contains("0.500 L of sodium hydroxide"), "{}", doubts[0]);
    assert_eq!(check_log(&since, &log).expect("checked").doubts, []);
}

/// Producer: the equilibrium of the fresh bath, pH 4.8, with 5 mol/L of base: `Operator::pour` and a reading.
#[test]
fn the_base_of_a_shift_in_one_row_is_doubted() {
    let log = with(&shifts(3), "ph_l", 2, 1.1);
    let doubts = check_log(&recipe(AT), &log).expect("checked").doubts;
    let [LogDoubt::AddedAtOnce { row: 3, litres, ph_before, ph_after, more_rows: 2, is_part: false, .. }] =
        doubts[..]
    else {
        panic!("{doubts:?}");
    };
    assert!((litres - 1.1).abs() < 1e-12 && (ph_before - 4.8).abs() < 1e-6, "{litres} {ph_before}");
    assert!((8.0..10.0).contains(&ph_after), "{ph_after}");
    let text = doubts[0].to_string();
    for words in
        ["row 3", "1.10 L of sodium hydroxide", "from pH 4.80 to", "additions = \"since-the-row-before\""]
    {
        assert!(text.contains(words), "{text}");
    }
    // A fit says so too, and what it took where the recipe has the word.
    let options = RecipeFitOptions { specification: asked(&[RATE]), ..RecipeFitOptions::default() };
    let fitted = |recipe: &Recipe| fit_recipe(recipe, &[Data::Log(log.clone())], &options).expect("a fit");
    has(&fitted(&recipe(AT)), "log-doubt", "1.10 L of sodium hydroxide");
    has(&fitted(&recipe(SINCE)), "log-additions", "evenly since the row before");
    // A bath that is dosed by hand, little at a time: a tenth of it.
    let small = (1..4).fold(shifts(3), |log, row| with(&log, "ph_l", row, 0.1));
    let doubts = check_log(&recipe(AT), &small).expect("checked").doubts;
    assert!(doubts.iter().all(|one| !matches!(one, LogDoubt::AddedAtOnce { .. })), "{doubts:?}");
}

#[test]
fn the_word_is_of_two() {
    let error = recipe("at-once").model().expect_err("no such word").to_string();
    assert!(error.contains("log.additions") && error.contains(SINCE) && error.contains(AT), "{error}");
}

#[test]
fn the_check_of_a_log_says_when_it_was_added() {
    let log = shifts(1);
    let of_metal = |additions: &str| {
        let columns = check_log(&recipe(additions), &log).expect("checked").columns;
        columns.into_iter().find(|one| one.name == "metal_l").map(|one| one.what)
    };
    assert_eq!(of_metal(AT).as_deref(), Some("added: nickel replenisher"));
    assert_eq!(of_metal(SINCE).as_deref(), Some("added since the row before: nickel replenisher"));
}
