//! The values of a case in baths that lie close together.

use bathkin::constants::SECONDS_PER_HOUR;
use bathkin::life::{BareLoad, plate_in_lockstep};
use bathkin::tank::BathState;

use crate::data::cases::{ALONE, Case, Coupon, Kind};
use crate::data::runs::Quantity;
use crate::objective::variant::LawsRead;
use crate::objective::variant::Variant;
use crate::objective::variant::Variants;

/// Numbers of a recipe, by path, and the starts of a log.
#[derive(Debug, Clone, Default)]
pub(crate) struct Point<'a> {
    pub numbers: Vec<(&'a str, f64)>,
    pub starts: Vec<f64>,
}

/// How well a case is carried.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Care<'a> {
    /// Relative tolerance of the integration.
    pub relative_tolerance: f64,
    /// Laws read so far.
    pub laws: &'a LawsRead,
}

impl Case {
    /// Calculated values at points that lie close together; the first is the middle. `None` for a point that
    /// the recipe refuses, which the first must not be.
    pub fn values(&self, points: &[Point], care: Care) -> bathkin::error::Result<Vec<Option<Vec<f64>>>> {
        let recipe = self.recipe();
        let mut variants = Variants::of(recipe);
        let mut resolved: Vec<(usize, Variant)> = Vec::with_capacity(points.len());
        for (number, point) in points.iter().enumerate() {
            match variants.at(recipe, &point.numbers, care.laws, self.group.unwrap_or(ALONE)) {
                Ok(variant) => resolved.push((number, variant)),
                Err(error) if number == 0 => return Err(error),
                Err(_) => {}
            }
        }
        let computed = match &self.kind {
            Kind::Coupon(coupon) => {
                let baths: Vec<&Variant> = resolved.iter().map(|(_, variant)| variant).collect();
                coupon
                    .values(&baths, care.relative_tolerance)?
                    .into_iter()
                    .map(|value| Some(vec![value]))
                    .collect::<Vec<_>>()
            }
            Kind::Log(log) => {
                let starts =
                    resolved.iter().map(|(number, variant)| (variant, points[*number].starts.as_slice()));
                log.values(&starts.collect::<Vec<_>>(), care.relative_tolerance)?
                    .into_iter()
                    .map(Some)
                    .collect()
            }
        };
        let mut values = vec![None; points.len()];
        for ((number, _), value) in resolved.iter().zip(computed) {
            values[*number] = value;
        }
        Ok(values)
    }
}

impl Coupon {
    /// What it shows in each bath.
    fn values(&self, baths: &[&Variant], relative_tolerance: f64) -> bathkin::error::Result<Vec<f64>> {
        if let (Some(minutes), Some(area_m2)) = (self.minutes, self.area_m2) {
            let loads = baths.iter().map(|bath| {
                let start = bath.start.clone()?;
                let follows = bath.others == baths[0].others;
                Ok(BareLoad { tank: &bath.tank, totals_mol_l: &bath.totals_mol_l, start, follows })
            });
            let loads = loads.collect::<bathkin::error::Result<Vec<_>>>()?;
            let layers = plate_in_lockstep(&loads, area_m2, minutes, relative_tolerance)?;
            return Ok(layers
                .iter()
                .map(|layer| match self.quantity {
                    Quantity::MassGainMg => layer.mass_g * 1e3,
                    Quantity::ThicknessUm => layer.thickness_um(area_m2),
                    Quantity::DepositionUmH => layer.thickness_um(area_m2) / minutes * 60.0,
                })
                .collect());
        }
        let rate = |bath: &&Variant| {
            let mut observed = BathState::new(&bath.tank);
            observed.totals_mol_l.copy_from_slice(&bath.totals_mol_l);
            observed.update(&bath.tank, &mut bath.tank.equilibrium.solved_exactly().speciation())?;
            let deposition_um_h = observed.growth_um_s * SECONDS_PER_HOUR;
            Ok(match (self.quantity, self.minutes) {
                (Quantity::ThicknessUm, Some(minutes)) => deposition_um_h * minutes / 60.0,
                _ => deposition_um_h,
            })
        };
        baths.iter().map(rate).collect()
    }
}
