//! The bath today where numbers of its recipe are others, as far as its log has not told them.
//!
//! What a log tells it tells whatever the numbers are: the bath plates today as fast as it does, has lost of its rate since it
//! was fresh what it has, makes as much by-product per metal, and stands at its pH. With other numbers the filter would have
//! found other unknowns, such that
//!
//! g(now) = g⁰(now), g(old)/g(fresh) = g⁰(old)/g⁰(fresh), b/m(now) = b⁰/m⁰(now), pH = pH⁰,
//!
//! with g the growth, b/m the by-product made per metal, ⁰ at the numbers of the recipe, and old = now; of a bath younger than a turnover
//! its recipe's bath at one turnover, since the ageing constant is drawn about what the recipe says of that. The shifts of rate
//! factor, ageing constant, side reactions and base that do so go with the numbers, so that nothing is drawn twice.

use bathkin::life::simulate::fresh_state;
use bathkin::model::Model;
use bathkin::study::aged;
use bathkin::tank::{Balances, Quantity, Tank, readings};
use bathkin_numerics::{RootError, bracketed_root};
use nalgebra::DVector;

use crate::error::DataError;
use crate::track::coordinates::Coordinates;
use crate::track::passes::with_form;
use crate::track::rest::Today;
use crate::track::unknown::{Kind, place_of};

/// What a bath shows of itself.
#[derive(Debug, Clone, Copy)]
struct Shown {
    ph: f64,
    ln_growth: f64,
    by_product_per_metal: f64,
}

/// Contents of a bath with what it shows then.
#[derive(Debug, Clone)]
struct Stand {
    contents: Vec<f64>,
    shown: Shown,
}

/// What a log tells of its bath.
#[derive(Debug, Clone)]
pub(crate) struct Told {
    now: Stand,
    /// The fresh bath and the old one, where more than the rate of today is told.
    along: Option<[Stand; 2]>,
}

/// A bath with other numbers.
pub(crate) struct MovedBath {
    model: Model,
    tank: Tank,
    coordinates: Coordinates,
    state: Vec<f64>,
    /// By how much its unknown state stands elsewhere.
    pub shift: DVector<f64>,
}

impl Told {
    /// The rate of today alone.
    ///
    /// # Errors
    /// An equilibrium that is not found.
    pub fn rate_of(today: &Today) -> Result<Self, DataError> {
        let tank = today.tank_of(today.mean_values());
        let contents = today.belief.mean.as_slice()[..today.coordinates.len()].to_vec();
        Ok(Told { now: today.stand(&tank, contents)?, along: None })
    }

    /// All of it.
    ///
    /// # Errors
    /// An equilibrium that is not found.
    pub fn of(today: &Today) -> Result<Self, DataError> {
        const OLD_TURNOVERS: f64 = 1.0;
        let rate = Told::rate_of(today)?;
        let tank = today.tank_of(today.mean_values());
        let balances = Balances::new(&tank, &today.model.fresh_totals_mol_l);
        let fresh = today.coordinates.read(&fresh_state(&balances, &today.model.fresh_totals_mol_l));
        let old = if readings::turnovers(&balances, today.state).1 < OLD_TURNOVERS {
            let state = aged(today.model, (Quantity::TURNOVERS, OLD_TURNOVERS));
            state.map_or_else(|_| rate.now.contents.clone(), |state| today.coordinates.read(&state))
        } else {
            rate.now.contents.clone()
        };
        let along = Some([today.stand(&tank, fresh)?, today.stand(&tank, old)?]);
        Ok(Told { along, ..rate })
    }
}

impl MovedBath {
    /// The bath as members of it go on.
    pub fn today<'a>(&'a self, of: &Today<'a>) -> Today<'a> {
        let MovedBath { model, tank, coordinates, state, .. } = self;
        Today { model, tank, coordinates, state, ..*of }
    }
}

impl<'a> Today<'a> {
    fn mean_values(&self) -> &[f64] {
        &self.belief.mean.as_slice()[self.coordinates.len()..]
    }

    fn shown(&self, tank: &Tank, contents: &[f64]) -> Result<Shown, DataError> {
        let mut state = self.state.to_vec();
        self.coordinates.write(&mut state, contents);
        let balances = Balances::new(tank, &self.model.fresh_totals_mol_l);
        let roles = tank.bath.roles;
        let of = |observed: &mut bathkin::tank::BathState| Shown {
            ph: observed.ph,
            ln_growth: observed.growth_um_s.ln(),
            by_product_per_metal: observed.made_mol_m2_s(tank, roles.by_product)
                / observed.made_mol_m2_s(tank, roles.metal),
        };
        Ok(balances.observe(&state, |observed, _, _| of(observed))?)
    }

    fn stand(&self, tank: &Tank, contents: Vec<f64>) -> Result<Stand, DataError> {
        Ok(Stand { shown: self.shown(tank, &contents)?, contents })
    }

    /// The bath where numbers, (path, value), are others.
    ///
    /// # Errors
    /// As the model with these numbers, and an equilibrium that is not found.
    pub fn with_numbers(&self, values: &[(&str, f64)], told: &Told) -> Result<MovedBath, DataError> {
        let model = self.model.at(values, "drawn")?;
        let tank = with_form(model.tank.clone(), self.form, &model.fresh_totals_mol_l)?;
        let own = Balances::new(self.tank, &self.model.fresh_totals_mol_l);
        let scale = Balances::new(&tank, &model.fresh_totals_mol_l).layout().scale().to_vec();
        let scales = own.layout().scale().iter().zip(&scale);
        let state = self.state.iter().zip(scales).map(|(part, (own, other))| part * own / other).collect();
        let coordinates = self.coordinates.scaled(scale);
        let mut moved =
            MovedBath { model, tank, coordinates, state, shift: DVector::zeros(self.belief.mean.len()) };
        moved.shift = moved.today(self).shift_to(told)?;
        Ok(moved)
    }

    /// Place of an unknown in the state.
    fn place(&self, kind: Kind) -> Option<usize> {
        place_of(self.unknowns, kind, self.coordinates.len())
    }

    /// The tank at the mean with shifted unknowns.
    fn shifted(&self, shift: &DVector<f64>) -> Tank {
        let contents = self.coordinates.len();
        let values: Vec<f64> = self
            .mean_values()
            .iter()
            .zip(&shift.as_slice()[contents..])
            .map(|(value, by)| value + by)
            .collect();
        self.tank_of(&values)
    }

    /// The shift of the unknown state at which this bath shows what is told.
    fn shift_to(&self, told: &Told) -> Result<DVector<f64>, DataError> {
        let mut shift = DVector::zeros(self.belief.mean.len());
        let mut now = told.now.contents.clone();
        if let Some([fresh, old]) = &told.along {
            let base = self.coordinates.base();
            let tank = self.shifted(&shift);
            let at_ph = |stand: &Stand| self.at_ph(&tank, stand);
            now = at_ph(&told.now)?;
            shift[base] = now[base] - told.now.contents[base];
            let (young, late) = (at_ph(fresh)?, at_ph(old)?);
            let lost = old.shown.ln_growth - fresh.shown.ln_growth;
            self.settle(Kind::Ageing, &mut shift, |tank| {
                Ok(self.shown(tank, &late)?.ln_growth - self.shown(tank, &young)?.ln_growth - lost)
            })?;
            let made = told.now.shown.by_product_per_metal;
            self.settle(Kind::SideReactions, &mut shift, |tank| {
                Ok((self.shown(tank, &now)?.by_product_per_metal / made).ln())
            })?;
        }
        if let Some(rate) = self.place(Kind::Rate) {
            let by = told.now.shown.ln_growth - self.shown(&self.shifted(&shift), &now)?.ln_growth;
            shift[rate] = if by.is_finite() { by } else { 0.0 };
        }
        Ok(shift)
    }

    /// Shifts an unknown until nothing is left of a difference, or as little as can be.
    fn settle(
        &self,
        kind: Kind,
        shift: &mut DVector<f64>,
        left: impl Fn(&Tank) -> Result<f64, DataError>,
    ) -> Result<(), DataError> {
        /// No factor moves further, ln.
        const MOST: f64 = 3.0;
        const ENOUGH: f64 = 1e-4;
        let Some(place) = self.place(kind) else { return Ok(()) };
        let mut trial = shift.clone();
        if left(&self.shifted(&trial))?.abs() < ENOUGH {
            return Ok(());
        }
        let difference = |by: f64| {
            trial[place] = by;
            left(&self.shifted(&trial))
        };
        shift[place] = match bracketed_root(difference, -MOST, MOST, ENOUGH, 60) {
            Ok(by) => by,
            Err(RootError::NotBracketed { low, f_low, high, f_high }) => {
                if f_low.abs() < f_high.abs() {
                    low
                } else {
                    high
                }
            }
            Err(RootError::Function(error)) => return Err(error),
            // A number that leaves no rate at all.
            Err(_) => 0.0,
        };
        Ok(())
    }

    /// Contents with the base at which the pH is that of a stand.
    fn at_ph(&self, tank: &Tank, stand: &Stand) -> Result<Vec<f64>, DataError> {
        const ENOUGH: f64 = 1e-6;
        const MOST_ROUNDS: usize = 20;
        let base = self.coordinates.base();
        let off = |contents: &[f64]| Ok::<f64, DataError>(self.shown(tank, contents)?.ph - stand.shown.ph);
        let mut contents = stand.contents.clone();
        let mut here = off(&contents)?;
        // A first step of a thousandth of a mole per litre, then secants.
        let mut by = -here.signum() * 1e-3 * tank.plant.volume_l;
        for _ in 0..MOST_ROUNDS {
            if here.abs() < ENOUGH {
                break;
            }
            contents[base] += by;
            let there = off(&contents)?;
            let slope = (there - here) / by;
            if slope == 0.0 || !slope.is_finite() {
                break;
            }
            here = there;
            by = -here / slope;
        }
        Ok(contents)
    }
}
