//! The values of a case in baths that lie close together.

use bathkin::constants::SECONDS_PER_HOUR;
use bathkin::deposit::Layer;
use bathkin::life::{BareLoad, plate_in_lockstep};
use bathkin::tank::BathState;
use bathkin::tank::quantity::Piece;

use crate::data::cases::{ALONE, Case, Coupon, Kind};
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
    /// What was measured on it.
    fn shows(&self, piece: &Piece) -> f64 {
        self.quantity.of_piece().map_or(f64::NAN, |of_piece| of_piece(piece))
    }

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
            let piece = |layer: &Layer| Piece {
                mass_g: layer.mass_g,
                thickness_um: layer.thickness_um(area_m2),
                minutes,
            };
            return Ok(layers.iter().map(|layer| self.shows(&piece(layer))).collect());
        }
        let rate = |bath: &&Variant| {
            let mut observed = BathState::new(&bath.tank);
            observed.totals_mol_l.copy_from_slice(&bath.totals_mol_l);
            observed.update(&bath.tank, &mut bath.tank.equilibrium.solved_exactly().speciation())?;
            // Without a time the rate is what an hour makes.
            let minutes = self.minutes.unwrap_or(60.0);
            let thickness_um = observed.growth_um_s * SECONDS_PER_HOUR * minutes / 60.0;
            Ok(self.shows(&Piece { mass_g: f64::NAN, thickness_um, minutes }))
        };
        baths.iter().map(rate).collect()
    }
}
