//! What a bath holds, as numbers that move independently and leave it neutral.
//!
//! For each component j but one the moles n_j, with the charge made good by the counter-ion c; for c the total charge of the
//! components, which is the base in excess: q = Σ z_j n_j. So more nickel is more nickel salt, and q alone is more of the
//! pH corrector. Back: n_c = (q - Σ_{j≠c} z_j n_j)/z_c. With a free level the volume is one more, and where a measured pH is
//! followed the litres of pH corrector that this took so far.

use bathkin::tank::{Balances, Level, PH, Tank, Volume, WATER_MOL_L};

/// Coordinates of the contents of a tank.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Coordinates {
    charges: Vec<f64>,
    counter_ion: usize,
    /// Whether the volume moves.
    free_level: bool,
    /// Slot of the pH corrector fed so far, where that is counted.
    corrector: Option<usize>,
    proton: usize,
    water: usize,
    volume: usize,
    scale: Vec<f64>,
}

impl Coordinates {
    /// Of a tank with its balances, which know the scales.
    pub fn of(tank: &Tank, balances: &Balances, fresh_totals_mol_l: &[f64]) -> Self {
        let charges = tank.bath.equilibrium.component_charges().to_vec();
        let roles = [tank.bath.roles.metal, tank.bath.roles.reductant, tank.bath.roles.by_product];
        let of_corrector =
            |slot: &usize| (tank.operation.replenishers[PH].per_litre[*slot] * charges[*slot]).abs();
        let of_bath = |slot: &usize| {
            if roles.contains(slot) { 0.0 } else { (fresh_totals_mol_l[*slot] * charges[*slot]).abs() }
        };
        let most = |of: &dyn Fn(&usize) -> f64| {
            (0..charges.len()).max_by(|a, b| of(a).total_cmp(&of(b))).filter(|slot| of(slot) > 0.0)
        };
        let counter_ion = most(&of_corrector).or_else(|| most(&of_bath)).unwrap_or(0);
        Coordinates {
            counter_ion,
            free_level: tank.plant.level != Level::Held,
            corrector: None,
            proton: tank.bath.proton(),
            water: tank.bath.water(),
            volume: balances.layout().volume(Volume::Bath),
            scale: balances.layout().scale().to_vec(),
            charges,
        }
    }

    /// The same with the pH corrector fed so far as one more.
    pub fn counting_corrector(self, balances: &Balances) -> Self {
        Coordinates { corrector: Some(balances.layout().fed().start + PH), ..self }
    }

    /// The same of states with another scale.
    pub fn scaled(&self, scale: Vec<f64>) -> Self {
        Coordinates { scale, ..self.clone() }
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.charges.len() + usize::from(self.free_level) + usize::from(self.corrector.is_some())
    }

    /// The one that is the base in excess.
    pub fn base(&self) -> usize {
        self.counter_ion
    }

    /// The one that is the volume, if it moves.
    pub fn volume(&self) -> Option<usize> {
        self.free_level.then_some(self.charges.len())
    }

    /// The one that is the litres of pH corrector fed so far, if they are counted.
    pub fn corrector(&self) -> Option<usize> {
        self.corrector.map(|_| self.len() - 1)
    }

    /// Of a (scaled) state.
    pub fn read(&self, state: &[f64]) -> Vec<f64> {
        let moles: Vec<f64> = (0..self.charges.len()).map(|slot| state[slot] * self.scale[slot]).collect();
        let mut read = self.of_moles(&moles);
        read.extend(self.free_level.then(|| state[self.volume] * self.scale[self.volume]));
        read.extend(self.corrector.map(|slot| state[slot] * self.scale[slot]));
        read
    }

    /// Of moles of each component.
    fn of_moles(&self, moles: &[f64]) -> Vec<f64> {
        let mut read = moles.to_vec();
        read[self.counter_ion] = moles.iter().zip(&self.charges).map(|(n, z)| n * z).sum();
        read
    }

    /// What a litre of a solution brings.
    pub fn of_solution(&self, tank: &Tank, solution: usize) -> Vec<f64> {
        let brings = &tank.operation.replenishers[solution].per_litre;
        let mut read = self.of_moles(&brings[..self.charges.len()]);
        read.extend(self.free_level.then_some(1.0));
        read.extend(self.corrector.map(|_| if solution == PH { 1.0 } else { 0.0 }));
        read
    }

    /// What a litre of water brings.
    pub fn of_water(&self) -> Vec<f64> {
        let mut read = vec![0.0; self.charges.len()];
        read.extend(self.free_level.then_some(1.0));
        read.extend(self.corrector.map(|_| 0.0));
        read
    }

    /// Puts them into a (scaled) state; an amount that came out below nothing is a trace. Everything else stays.
    pub fn write(&self, state: &mut [f64], values: &[f64]) {
        const TRACE_MOL: f64 = 1e-9;
        let mut moles: Vec<f64> = values[..self.charges.len()].iter().map(|n| n.max(TRACE_MOL)).collect();
        let own = self.charges[self.counter_ion];
        if own != 0.0 {
            let others: f64 = (0..moles.len())
                .filter(|slot| *slot != self.counter_ion)
                .map(|slot| moles[slot] * self.charges[slot])
                .sum();
            moles[self.counter_ion] = ((values[self.counter_ion] - others) / own).max(TRACE_MOL);
        }
        let charge: f64 = moles.iter().zip(&self.charges).map(|(n, z)| n * z).sum();
        for (slot, n) in moles.iter().enumerate() {
            state[slot] = n / self.scale[slot];
        }
        state[self.proton] = -charge / self.scale[self.proton];
        if self.free_level {
            let before_l = state[self.volume] * self.scale[self.volume];
            let litres = values[self.charges.len()].max(1e-3 * before_l);
            state[self.volume] = litres / self.scale[self.volume];
            state[self.water] += (litres - before_l) * WATER_MOL_L / self.scale[self.water];
        }
        if let (Some(slot), Some(place)) = (self.corrector, self.corrector()) {
            state[slot] = values[place] / self.scale[slot];
        }
    }
}
