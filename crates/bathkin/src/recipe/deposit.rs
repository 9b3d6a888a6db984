//! The deposit as a recipe writes it: its density, and what is alloyed with the metal.

use super::reader::{Bounds, Reader};
use crate::deposit::DensityScale;
use crate::error::Result;
use crate::solution::Element;
use crate::tank::{Observed, Tank};

/// `deposit.density_g_cm3` or a named scale.
pub(super) fn read_density(reader: &Reader) -> Result<DensityScale> {
    let constant = reader.optional(
        "deposit.density_g_cm3",
        Bounds::between(0.5, 25.0, "a density between 0.5 and 25 g/cm3"),
    )?;
    let named = reader.choice(
        "deposit.density_scale",
        &DensityScale::NAMES.map(|name| (name, DensityScale::parse(name).unwrap_or(DensityScale::AreaTable))),
    )?;
    Ok(constant.map_or(named, DensityScale::Constant))
}

/// Place of the metal among the deposited elements, and the column of what is alloyed with it.
pub(super) fn read_deposit_elements(
    reader: &Reader,
    deposited: &[Element],
    metal: Option<&Element>,
) -> Result<(usize, Option<String>)> {
    let index = metal.and_then(|element| deposited.iter().position(|known| known == element));
    let index = index.ok_or_else(|| reader.refuse("half_reaction", "a law that deposits the metal", None))?;
    let alloy = reader.optional_text("deposit.alloy")?;
    match (alloy, deposited.len()) {
        (None, 1) => Ok((index, None)),
        (Some(_), 1) => {
            Err(reader.refuse("deposit.alloy", "no alloying element: only the metal is deposited", None))
        }
        _ => Ok((index, Some(format!("{}_wt_pct", alloy.unwrap_or("alloy"))))),
    }
}

/// The fresh deposit must be one the density scale can describe.
pub(super) fn check_deposit(reader: &Reader, tank: &Tank, totals: &[f64]) -> Result<()> {
    const LIGHTEST_G_CM3: f64 = 1.0;
    let mut observed = Observed::new(tank);
    observed.totals_mol_l.copy_from_slice(totals);
    observed.update(tank, &mut tank.equilibrium.speciation())?;
    let density = tank.density.density_g_cm3(observed.alloy_wt_pct);
    if density >= LIGHTEST_G_CM3 {
        return Ok(());
    }
    let hint = format!(
        "the fresh bath deposits {:.1} wt%, which the scale makes {density:.2} g/cm3",
        observed.alloy_wt_pct
    );
    Err(reader.refuse("deposit.density_scale", "a density scale that covers the deposit", Some(hint)))
}
