//! What is computed at once: a coupon under one set of conditions, or a bath along its log.

use bathkin::Recipe;
use bathkin::constants::SECONDS_PER_HOUR;
use bathkin::life::{BareLoad, plate_in_lockstep};
use bathkin::tank::BathState;

use crate::data::logs::LoggedBath;
use crate::data::runs::Quantity;
use crate::data::sheet::DataError;
use crate::objective::variant::ALONE;
use crate::objective::variant::LawsRead;
use crate::objective::variant::Variant;
use crate::objective::variant::Variants;

/// Numbers of a recipe, by path, and the starts of a log.
#[derive(Debug, Clone, Default)]
pub(crate) struct Point<'a> {
    pub numbers: Vec<(&'a str, f64)>,
    pub starts: Vec<f64>,
}

/// A coupon under one set of conditions; runs that share it are replicates and computed once.
#[derive(Debug, Clone)]
pub(crate) struct Coupon {
    pub recipe: Recipe,
    pub minutes: Option<f64>,
    pub area_m2: Option<f64>,
    pub quantity: Quantity,
    /// The acid or base that sets its pH, where the recipe's own cannot.
    pub ph_by: Option<String>,
}

/// What is computed at once.
#[derive(Debug, Clone)]
pub(crate) enum Kind {
    Coupon(Coupon),
    Log(LoggedBath),
}

/// A case with its labels, (column, label), and its place for messages.
#[derive(Debug, Clone)]
pub(crate) struct Case {
    pub kind: Kind,
    pub labels: Vec<(String, String)>,
    pub place: String,
    /// Cases of one group have the same dissolved substances and the same laws; none: not told yet.
    pub group: Option<usize>,
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
    /// The recipe with what the case itself sets.
    pub fn recipe(&self) -> &Recipe {
        match &self.kind {
            Kind::Coupon(coupon) => &coupon.recipe,
            Kind::Log(log) => &log.recipe,
        }
    }

    /// Tells an error of its recipe with its place.
    pub fn refuse(&self, error: bathkin::Error) -> DataError {
        DataError::Recipe { place: format!("{}: ", self.place), error }
    }

    /// True when its values come out of an integration.
    pub fn simulates(&self) -> bool {
        match &self.kind {
            Kind::Coupon(coupon) => coupon.minutes.is_some() && coupon.area_m2.is_some(),
            Kind::Log(_) => true,
        }
    }

    /// How many times its integration sets out anew; none where it needs no integration.
    pub fn stretches(&self) -> usize {
        match &self.kind {
            Kind::Coupon(_) => usize::from(self.simulates()),
            Kind::Log(log) => log.stretches(),
        }
    }

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
