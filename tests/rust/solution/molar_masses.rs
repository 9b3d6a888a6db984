//! Molar masses follow from formulas; the reference was computed apart from the library.

use bathkin::model::database::built_in;

use support::{Csv, assert_within};

/// Producer: molar_masses.csv, to one unit in the last of its four decimals.
#[test]
fn every_reagent_has_the_molar_mass_of_the_reference() {
    let (_, chemistry) = built_in().expect("built in");
    let reference = Csv::reference("molar_masses.csv");
    for row in reference.rows() {
        let name = row.text("reagent");
        let reagent = chemistry.reagent(name).unwrap_or_else(|| panic!("no reagent {name}"));
        assert_within(name, reagent.molar_mass_g_mol, row.number("molar_mass_g_mol"), 1e-4);
    }
    for reagent in &chemistry.reagents {
        assert!(
            reference.rows().any(|row| row.text("reagent") == reagent.name),
            "{} has no reference value",
            reagent.name
        );
    }
}
