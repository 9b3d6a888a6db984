//! Solutions that cannot restore a bath at a free level.

use crate::document::reader::Reader;
use crate::error::Result;
use crate::tank::{Level, METAL, REDUCTANT, ReductantPolicy, Tank};

/// Refuses a solution that at a free level holds no more of what it is to restore than the bath: what it brings is less
/// than what makes room for it takes along.
///
/// # Errors
/// [`crate::Error::Recipe`].
pub(crate) fn check_solutions(reader: &Reader, level: Level, tank: &Tank) -> Result<()> {
    if level == Level::Held {
        return Ok(());
    }
    let restored = tank.operation.policies.reductant == ReductantPolicy::Restore;
    let mut roles =
        vec![(METAL, "replenisher.metal", tank.bath.roles.metal, tank.operation.set_points.metal_mol_l)];
    roles.extend(restored.then_some((
        REDUCTANT,
        "replenisher.reductant",
        tank.bath.roles.reductant,
        tank.operation.set_points.reductant_mol_l,
    )));
    for (which, path, slot, set_point_mol_l) in roles {
        let holds_mol_l = tank.operation.replenishers[which].per_litre[slot];
        if holds_mol_l <= set_point_mol_l {
            let name = &tank.bath.equilibrium.component_names()[slot];
            let expected =
                format!("more {name} than the bath holds, {set_point_mol_l:.4} mol/L, at a free level");
            let hint = format!(
                "it holds {holds_mol_l:.4} mol/L: each litre of it thins the bath it is to restore, and drives more {name} \
                 over the brim than it brings"
            );
            return Err(reader.refuse(path, &expected, Some(hint)));
        }
    }
    if let ReductantPolicy::Ratio { per_metal_mol } = tank.operation.policies.reductant {
        check_ratio(reader, tank, per_metal_mol)?;
    }
    Ok(())
}

/// Refuses a reductant so thin that the metal cannot be held: with each mole of metal go `ratio` moles of it, whose solution
/// drives bath over the brim. With M and R mol/L in the solutions and c of the metal in the bath the metal is held where
/// M > (1 + ratio M/R) c, so R > ratio c M/(M - c).
fn check_ratio(reader: &Reader, tank: &Tank, ratio: f64) -> Result<()> {
    let (roles, solutions) = (tank.bath.roles, &tank.operation.replenishers);
    let held = tank.operation.set_points.metal_mol_l;
    let (metal, thin) =
        (solutions[METAL].per_litre[roles.metal], solutions[REDUCTANT].per_litre[roles.reductant]);
    let least = ratio * held * metal / (metal - held);
    if thin > least {
        return Ok(());
    }
    let name = &tank.bath.equilibrium.component_names()[roles.reductant];
    let expected = format!("more than {least:.4} mol/L {name} at a free level");
    let hint = format!(
        "it holds {thin:.4} mol/L: {ratio:.3} mol of it go in with each mole of metal, and drive more metal over the brim than \
         comes in"
    );
    Err(reader.refuse("replenisher.reductant", &expected, Some(hint)))
}
