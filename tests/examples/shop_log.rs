//! The messy log of notebook 04 and of the README, printed: an invented shop, kept as shops keep theirs.
//!
//! `cargo run -p tests --example shop_log > shared/scenarios/shop-log.csv`

use support::shop::{Truth, shop};

/// The log begins with a used bath at this row.
const FROM: usize = 12;

fn main() {
    let of = shop(Truth { slip: true, dose: Some((30, 3.6)), ..Truth::default() }, 0.02, 17);
    let column = |name: &str| of.log.column(name).expect("a column");
    let brought_g_l = 100.0 / 400.0;
    let added: f64 = column("metal_l")[..FROM].iter().flatten().sum();
    println!(
        "# An acid nickel bath of 400 L, invented for the demo, as a shop might keep its log: it begins with a used bath, one"
    );
    println!(
        "# titration has a slip of the pen, one dose was not written down, and orthophosphite comes from a laboratory."
    );
    println!("# Command: cargo run -p tests --example shop_log > shared/scenarios/shop-log.csv");
    println!(
        "# It was dumped {:.0} h after its first row.",
        of.dump_h - column("time_h")[FROM].unwrap_or(0.0)
    );
    println!(
        "Date;Time;MTO;Ni (g/l);hypophosphite (mol/l);pH;orthophosphite (mol/l);deposition rate (um/h);area in tank (dm2);\
         nickel replenisher (l);hypophosphite replenisher (l);ph added (l);remark"
    );
    let text = |value: Option<f64>, digits: usize| {
        value.map_or(String::new(), |value| format!("{value:.digits$}").replace('.', ","))
    };
    for row in FROM..of.log.rows.len() {
        let hours = column("time_h")[row].unwrap_or(0.0);
        let (day, hour) = ((hours / 24.0).floor() as i64, 6.0 + hours % 24.0);
        let turnovers = (row == FROM).then_some(added * brought_g_l / 6.0);
        // From Monday, 2 March 2026.
        let (month, of_month) = if day < 30 { (3, day + 2) } else { (4, day - 29) };
        println!(
            "2026-{month:02}-{of_month:02};{hour:02}:00;{};{};{};{};{};{};{};{};{};{};{}",
            text(turnovers, 1),
            text(column("nickel_g_l")[row], 2),
            text(column("hypophosphite_mol_l")[row], 3),
            text(column("ph")[row], 2),
            text(column("orthophosphite_mol_l")[row], 2),
            text(column("deposition_um_h")[row], 1),
            text(column("area_in_tank_dm2")[row].filter(|_| row > FROM), 0),
            text(column("metal_l")[row], 1),
            text(column("reductant_l")[row], 1),
            text(column("ph_l")[row], 2),
            if row % 10 == 0 { "sample to the laboratory" } else { "" }
        );
    }
}
