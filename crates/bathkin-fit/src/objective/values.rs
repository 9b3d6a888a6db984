//! The values of a case in baths that lie close together.

use bathkin::constants::SECONDS_PER_HOUR;
use bathkin::deposit::Layer;
use bathkin::life::{BareLoad, plate_in_lockstep};
use bathkin::tank::BathState;
use bathkin::tank::quantity::Piece;
use num_dual::Dual64;

use crate::data::cases::{Case, Coupon, Kind};
use crate::objective::at_point::{BathAtPoint, ModelAtPoint};

/// Numbers of a recipe, by path, and the starts of a log.
#[derive(Debug, Clone, Default)]
pub(crate) struct Point<'a> {
    pub numbers: Vec<(&'a str, f64)>,
    pub starts: Vec<f64>,
}

/// A number of a recipe that a free one sets, as it moves by the solver's number.
pub(crate) type Seed<'a> = (&'a str, Dual64);

impl Case {
    /// Calculated values at points that lie close together; the first is the middle. `None` for a point that
    /// the recipe refuses, which the first must not be.
    pub fn values(
        &self,
        points: &[Point],
        relative_tolerance: f64,
    ) -> bathkin::error::Result<Vec<Option<Vec<f64>>>> {
        let mut model = ModelAtPoint::of(self.recipe().model()?);
        let mut resolved: Vec<(usize, BathAtPoint)> = Vec::with_capacity(points.len());
        for (number, point) in points.iter().enumerate() {
            match model.bath(&point.numbers) {
                Ok(bath) => resolved.push((number, bath)),
                Err(error) if number == 0 => return Err(error),
                Err(_) => {}
            }
        }
        let computed = match &self.kind {
            Kind::Coupon(coupon) => {
                let baths: Vec<&BathAtPoint> = resolved.iter().map(|(_, bath)| bath).collect();
                coupon
                    .values(&baths, relative_tolerance)?
                    .into_iter()
                    .map(|value| Some(vec![value]))
                    .collect::<Vec<_>>()
            }
            Kind::Log(log) => {
                let starts = resolved.iter().map(|(number, bath)| (bath, points[*number].starts.as_slice()));
                log.values(&starts.collect::<Vec<_>>(), relative_tolerance)?.into_iter().map(Some).collect()
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
    fn values(&self, baths: &[&BathAtPoint], relative_tolerance: f64) -> bathkin::error::Result<Vec<f64>> {
        if let (Some(minutes), Some(area_m2)) = (self.minutes, self.area_m2) {
            let loads = baths.iter().map(|bath| {
                let start = bath.start.clone()?;
                Ok(BareLoad { tank: &bath.tank, totals_mol_l: &bath.totals_mol_l, start })
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
        let rate = |bath: &&BathAtPoint| {
            let growth_um_s = match bath
                .tank
                .bath
                .growth_under(&bath.tank.bath.kinetics, &self.fresh_bath(bath)?.conditions())
            {
                Some(growth_um_s) => growth_um_s,
                None => solved(bath)?.growth_um_s,
            };
            Ok(self.of_growth(growth_um_s))
        };
        baths.iter().map(rate).collect()
    }

    /// Its value at a point with its exact derivatives by the solver's numbers, each told by the numbers of the recipe
    /// that it sets: r(p + eps) through one evaluation of the laws in dual numbers each, in the liquid as it moves with
    /// them ([`bathkin::Model::fresh_along`]). `None` where they move the liquid in a way that does not tell, behind a
    /// film, and where a coupon is simulated.
    pub fn slopes(
        &self,
        point: &Point,
        seeds: &[Vec<Seed>],
    ) -> bathkin::error::Result<Option<(f64, Vec<f64>)>> {
        let mut model = ModelAtPoint::of(self.recipe.model()?);
        let bath = model.bath(&point.numbers)?;
        if bath.tank.bath.film.is_some() || self.minutes.is_some() && self.area_m2.is_some() {
            return Ok(None);
        }
        let model = model.model();
        let directions: Vec<Vec<(&str, f64)>> =
            seeds.iter().map(|seed| seed.iter().map(|(path, value)| (*path, value.eps)).collect()).collect();
        let fresh = self.fresh_bath(&bath)?;
        let Some(liquids) = model.fresh_along(&fresh, &directions)? else { return Ok(None) };
        let slot = |path: &str, value: Dual64| model.law_slot(path).map(|slot| (slot, value));
        let standing = point.numbers.iter().filter_map(|(path, value)| slot(path, Dual64::from(*value)));
        let standing: Vec<_> = standing.collect();
        let mut slopes = Vec::with_capacity(seeds.len());
        for (seed, liquid) in seeds.iter().zip(&liquids) {
            let moving = seed.iter().filter_map(|(path, value)| slot(path, *value));
            let values: Vec<_> = moving.chain(standing.iter().copied()).collect();
            let growth = bath.tank.bath.growth_under(&model.kinetics_at(&values), &liquid.conditions());
            slopes.push(self.of_growth(growth.map_or(0.0, |growth| growth.eps)));
        }
        let value = bath.tank.bath.growth_under(&bath.tank.bath.kinetics, &fresh.conditions());
        Ok(value.map(|growth_um_s| (self.of_growth(growth_um_s), slopes)))
    }

    /// What it shows where it grows so all along, or the slope of that: it is linear in the growth.
    fn of_growth(&self, growth_um_s: f64) -> f64 {
        // Without a time the rate is what an hour makes.
        let minutes = self.minutes.unwrap_or(60.0);
        let thickness_um = growth_um_s * SECONDS_PER_HOUR * minutes / 60.0;
        self.shows(&Piece { mass_g: f64::NAN, thickness_um, minutes })
    }

    /// Its bath as made up; where only laws are moved it is the same at every point.
    fn fresh_bath(&self, bath: &BathAtPoint) -> bathkin::error::Result<BathState> {
        if !bath.beyond_laws.is_empty() {
            return solved(bath);
        }
        if let Some(known) = self.fresh.get() {
            return Ok(known.clone());
        }
        let found = solved(bath)?;
        Ok(self.fresh.get_or_init(|| found).clone())
    }
}

/// The fresh bath, solved to rounding.
fn solved(bath: &BathAtPoint) -> bathkin::error::Result<BathState> {
    let mut observed = BathState::new(&bath.tank);
    observed.totals_mol_l.copy_from_slice(&bath.totals_mol_l);
    observed.update(&bath.tank, &mut bath.tank.bath.equilibrium.solved_exactly().speciation())?;
    Ok(observed)
}
