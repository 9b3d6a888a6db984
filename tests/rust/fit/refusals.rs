//! Fits that cannot be: the cause, with its numbers and names, not a sentence.

use bathkin_fit::error::{Part, RequestProblem, SheetProblem, SpecificationProblem};
use bathkin_fit::objective::Tie;
use bathkin_fit::{Data, DataError, FitSpecification, RecipeFitOptions, fit_recipe};
use bathkin_statistics::FitError;

use support::fits::{ENERGY, PH_ORDER, RATE, asked, fitted, of, rates, runs};
use support::recipes::power_law;

fn three_rates() -> Data {
    rates(&[80.0, 88.0, 92.0], &[11.4, 19.2, 24.6])
}

fn refused(data: Data, options: &RecipeFitOptions) -> DataError {
    fit_recipe(&power_law(), &[data], options).expect_err("refused")
}

fn specification(options: &RecipeFitOptions) -> SpecificationProblem {
    match refused(three_rates(), options) {
        DataError::Specification(problem) => problem,
        other => panic!("{other}"),
    }
}

#[test]
fn a_specification_that_does_not_hold_together_names_its_paths() {
    let twice = specification(&of(asked(&[RATE, RATE])));
    assert_eq!(twice, SpecificationProblem::Twice { path: RATE.to_owned(), what: Part::Free });
    assert_eq!(specification(&of(asked(&[]))), SpecificationProblem::NothingFree);

    let tie = Tie { path: PH_ORDER.to_owned(), to: ENERGY.to_owned(), factor: None };
    let tied = specification(&of(FitSpecification { ties: vec![tie], ..asked(&[RATE]) }));
    let (path, to, free) = (PH_ORDER.to_owned(), ENERGY.to_owned(), vec![RATE.to_owned()]);
    assert_eq!(tied, SpecificationProblem::TiedToFixed { path, to, free });

    let few = specification(&of(asked(&[RATE, ENERGY, PH_ORDER, "hydrogen.per_metal_mol"])));
    assert_eq!(few, SpecificationProblem::FewValues { values: 3, priors: 0, free: 4 });
}

#[test]
fn starts_and_bounds_name_what_is_free_and_what_they_miss() {
    let free = vec![RATE.to_owned()];
    let bounds = vec![(ENERGY.to_owned(), 10.0, 90.0)];
    let problem = specification(&RecipeFitOptions { bounds, ..of(asked(&[RATE])) });
    let path = ENERGY.to_owned();
    assert_eq!(problem, SpecificationProblem::NotFree { what: Part::Bounds, path, free });

    let options = RecipeFitOptions {
        start: vec![(ENERGY.to_owned(), 95.0)],
        bounds: vec![(ENERGY.to_owned(), 10.0, 90.0)],
        ..of(asked(&[ENERGY]))
    };
    let (path, from) = (ENERGY.to_owned(), "the start");
    let expected = SpecificationProblem::OutsideBounds { path, from, value: 95.0, lower: 10.0, upper: 90.0 };
    assert_eq!(specification(&options), expected);

    let start = vec![(RATE.to_owned(), -1.0)];
    let problem = specification(&RecipeFitOptions { start, ..of(asked(&[RATE])) });
    assert!(matches!(problem, SpecificationProblem::Start { value: -1.0, .. }), "{problem}");
}

#[test]
fn columns_that_cannot_be_used_are_told_together() {
    let data = runs(&[
        ("temperature_c", &[80.0, 88.0]),
        ("operation.temperature_c", &[80.0, 88.0]),
        ("rate", &[1.0, 2.0]),
        ("deposition_um_h", &[11.4, 19.2]),
    ]);
    let DataError::Sheet { problem: SheetProblem::Several(all), .. } = refused(data, &of(asked(&[RATE])))
    else {
        panic!("several columns")
    };
    assert_eq!(all.len(), 2);
    let DataError::Sheet { problem: SheetProblem::SetTwice { columns, path }, .. } = &all[0] else {
        panic!("{}", all[0])
    };
    assert_eq!(columns, &["temperature_c", "operation.temperature_c"]);
    assert_eq!(path, "operation.temperature_c");
}

#[test]
fn a_fit_says_what_it_cannot_answer() {
    let found = fitted(&[three_rates()], of(asked(&[RATE])));
    let no_log = found.course(0, 10).expect_err("runs");
    assert!(matches!(no_log, DataError::Request(RequestProblem::NoLog { sheet: 0, sheets: 1 })), "{no_log}");
    let level = found.interval(0, 95.0).expect_err("a level");
    let DataError::Fit(FitError::Argument { name, value, .. }) = level else { panic!("{level}") };
    assert_eq!((name, value), ("level", 95.0));
    let place = found.profile(7, 0.95).expect_err("a place");
    assert!(matches!(place, DataError::Fit(FitError::NoParameter { place: 7, count: 1 })), "{place}");
    let row = |celsius: f64| vec![("temperature_c".to_owned(), celsius)];
    let beyond = found.predict_rows(&[row(88.0), row(120.0)]).expect_err("a row");
    let DataError::Recipe { place, .. } = beyond else { panic!("{beyond}") };
    assert_eq!(place, "predict: row 2: ");
}
