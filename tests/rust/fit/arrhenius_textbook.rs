//! Activation energies of textbook tables.

use bathkin_fit::{Reference, fit_arrhenius};

use support::{Csv, assert_relative, assert_within};

/// Producers: NumPy (energy to 1e-8, ln A to its last digit, standard error to its six digits), and what the textbooks
/// state, rounded there or read off a graph, to 5 %.
#[test]
fn textbook_tables_have_their_energies() {
    let table = Csv::reference("arrhenius_textbook.csv");
    let mut with_answer = 0;
    for row in table.rows() {
        let numbers = |column: &str| -> Vec<f64> {
            row.text(column).split(' ').map(|cell| cell.parse().expect("a number")).collect()
        };
        let name = row.text("name");
        let fit = fit_arrhenius(&numbers("temperature_k"), &numbers("k"), Reference::HarmonicMean)
            .unwrap_or_else(|error| panic!("{name}: {error}"));
        let energy = &fit.activation_energy_kj_mol;
        assert_relative(name, energy.value, row.number("energy_kj_mol"), 1e-8);
        assert_within(name, fit.ln_a.value, row.number("ln_a"), 2e-6);
        match (energy.standard_error, row.text("energy_standard_error_kj_mol")) {
            (Some(error), text) if !text.is_empty() => {
                assert_relative(name, error, text.parse().expect("a number"), 2e-5);
            }
            (error, text) => assert!(error.is_none() == text.is_empty(), "{name}: {error:?}, {text}"),
        }
        if !row.text("accepted_kj_mol").is_empty() {
            with_answer += 1;
            assert_relative(name, energy.value, row.number("accepted_kj_mol"), 0.05);
        }
    }
    assert!(with_answer >= 7);
}
