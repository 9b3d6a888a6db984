//! The headings of an empty log of a bath, in its recipe's own substances.

use bathkin::model::Model;
use bathkin::tank::{METAL, PhPolicy, REDUCTANT, Work};

use crate::data::logs::columns::{AREA, CALIBRATED, PLATING, REMOVED};

/// A heading of an empty log, with what its example row has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EmptyColumn {
    /// The heading, with its unit.
    pub heading: String,
    /// Text of the example row; empty where nothing is to be written as a rule.
    pub example: String,
}

/// The columns of a log of this bath: when, what it is controlled by (temperature, pH, metal, and the reductant as it
/// is weighed out), its work unless the recipe has racks, each replenisher, water, what is taken out, calibrations.
pub fn empty_log(model: &Model) -> Vec<EmptyColumn> {
    let tank = &model.tank;
    let mut columns = Vec::new();
    let mut add = |heading: &str, example: String| {
        columns.push(EmptyColumn { heading: heading.to_owned(), example });
    };
    add("timestamp", "2026-03-02 06:00".to_owned());
    let celsius = tank.operation.temperature_k - bathkin::constants::ZERO_CELSIUS_K;
    add("temperature_c", format!("{celsius:.0}"));
    add("ph", format!("{:.2}", tank.operation.set_points.ph));
    for slot in [tank.bath.roles.metal, tank.bath.roles.reductant] {
        if let Some((heading, fresh)) = analysed(model, slot) {
            add(&heading, format!("{fresh:.2}"));
        }
    }
    if !matches!(tank.operation.work, Work::Loads(_)) {
        add(AREA, String::new());
        add(PLATING, String::new());
    }
    for which in [METAL, REDUCTANT] {
        add(&format!("{} (L)", tank.operation.replenishers[which].name), "0".to_owned());
    }
    if tank.operation.policies.ph != PhPolicy::Off {
        add("ph_l", "0".to_owned());
    }
    for feed in &tank.operation.feeds {
        add(&format!("{}_l", feed.name), "0".to_owned());
    }
    add("water_l", "0".to_owned());
    add(REMOVED, "0".to_owned());
    add(CALIBRATED, String::new());
    columns
}

/// A content as shops titrate it: as what was weighed out, or the metal as itself; with what the make-up has.
fn analysed(model: &Model, slot: usize) -> Option<(String, f64)> {
    let name = &model.tank.bath.equilibrium.component_names()[slot];
    let weighed = model.make_up_g_l.iter().map(|(reagent, _)| format!("{reagent}_g_l"));
    let names = [format!("{name}_g_l")].into_iter().chain(weighed).chain([format!("{name}_mol_l")]);
    names.into_iter().find_map(|heading| {
        let (of, mol_l) = model.content(&heading, 1.0)?.ok()?;
        (of == slot).then(|| (heading, model.fresh_totals_mol_l[slot] / mol_l))
    })
}
