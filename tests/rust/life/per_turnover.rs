//! By-products and needs of one metal turnover, through a pumped life of one turnover.

use bathkin::Recipe;

use support::recipes::{
    at_metal_g_l, column, fixed_selectivity, gain, last, live, molar_mass, power_law, pumped, set,
};
use support::{Csv, Row, assert_within};

/// A 6 g/L bath, pumped, with the row's weight fraction of P and grams of hypophosphite per gram
/// of nickel: p = (wP/M(P))/((1-wP)/M(Ni)), N = g M(Ni)/M(salt), h = N - 1 - 1.5 p.
fn bath(row: Row) -> Recipe {
    let phosphorus = row.number("wP");
    let p = (phosphorus / molar_mass("P")) / ((1.0 - phosphorus) / molar_mass("Ni"));
    let used = row.number("g_per_g") * molar_mass("Ni") / molar_mass("NaH2PO2.H2O");
    at_metal_g_l(&pumped(&fixed_selectivity(&power_law(), p, used - 1.0 - 1.5 * p)), 6.0)
}

/// Producer: nickel_per_turnover.csv, one unit in the last printed digit.
///
/// Read off the library's life: hypophosphite fed, phosphite, hydrogen, sulfate. From its charge
/// balance: `acid_mol_l` is the rise of the proton total, less one per phosphite (the table counts
/// H2PO3-), plus what the sodium hydroxide took away; `naoh_g_l` is that acid times 39.997;
/// `sodium_mol_l` is the sodium of the hypophosphite plus that of the acid. The hydroxide that the
/// pH control really adds is not in the table: it covers the second proton of phosphite and the
/// rebinding of ligands too.
#[test]
fn one_turnover_makes_and_needs_what_the_table_says() {
    let table = Csv::reference("nickel_per_turnover.csv");
    for row in table.rows() {
        let recipe = set(&bath(row), &[("limits.turnovers", 1.0)]);
        let life = live(&recipe);
        let tank = &recipe.model().expect("a model").tank;
        let check = |column: &str, found: f64| {
            let what = format!("{column} at {} wP, {} g/g", row.text("wP"), row.text("g_per_g"));
            assert_within(what, found, row.number(column), row.last_digit(column));
        };
        let fed = gain(&life, "reductant_replenisher_ml_l") * 1e-3 * 550.0;
        check("hypophosphite_monohydrate_g_l", fed);
        let phosphite = gain(&life, "orthophosphite_mol_l");
        check("phosphite_mol_l", phosphite);
        check("hydrogen_l_per_l", life.hydrogen_l / tank.plant.volume_l);
        let sulfate = gain(&life, "sulfate_mol_l") * molar_mass("SO4-2");
        check("sulfate_g_l", sulfate);

        let names = tank.bath.equilibrium.component_names();
        let charge: f64 = names
            .iter()
            .zip(tank.bath.equilibrium.component_charges())
            .map(|(name, charge)| charge * gain(&life, &format!("{name}_mol_l")))
            .sum();
        let hydroxide = gain(&life, "ph_corrector_g_l") / molar_mass("NaOH");
        let acid = -charge - phosphite + hydroxide;
        check("acid_mol_l", acid);
        check("naoh_g_l", acid * molar_mass("NaOH"));
        let sodium = gain(&life, "sodium_mol_l") - hydroxide + acid;
        check("sodium_mol_l", sodium);
        let solids = phosphite * molar_mass("H2PO3-") + sulfate + sodium * molar_mass("Na+");
        check("new_solids_g_l", solids);
        assert!(hydroxide > 0.9 * acid, "the pH control neutralises the acid: {hydroxide} for {acid}");
        assert_eq!(column(&life, "turnovers").len(), life.table.rows());
        assert_within("turnovers", last(&life, "turnovers"), 1.0, 1e-7);
    }
}

/// Producer: the four gram columns of nickel_per_turnover.csv. Each, set as the limit of its own
/// substance, must end the life at one turnover: a wrong molar mass would move it by whole tens of
/// per cent. Tolerance: the seven printed digits.
#[test]
fn grams_of_each_phosphite_mean_the_same_moles() {
    let table = Csv::reference("nickel_per_turnover.csv");
    for row in table.rows() {
        for form in ["hpo3", "nah2po3", "na2hpo3", "na2hpo3_5h2o"] {
            let grams = row.number(&format!("as_{form}_g_l"));
            let life = live(&set(&bath(row), &[(&format!("limits.orthophosphite_g_l_as_{form}"), grams)]));
            assert_eq!(life.verdict.limit, "orthophosphite_mol_l");
            assert_within(format!("turnovers at {grams} g/L as {form}"), life.verdict.turnovers, 1.0, 1e-6);
        }
    }
}
