//! Where each amount sits in the state vector, and in which unit it is of order one.

use super::Tank;

/// The slots of a tank's state: liquid, deposit, gas, area plated, gone with the liquid that left, fed
/// from each solution, volumes, gases taken up, powder settled, deposit per area.
#[derive(Debug, Clone)]
pub struct Layout {
    liquid: usize,
    deposited: usize,
    evolved: usize,
    feeds: usize,
    exchanged: usize,
    settled: usize,
    scale: Vec<f64>,
}

/// A volume of a tank's state, each L since make-up but the bath's own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Volume {
    /// Of the bath now.
    Bath,
    /// Carried out with the work.
    DraggedOut,
    /// Bled off or taken out.
    Bled,
    /// Gone over the brim.
    Overflowed,
    /// Evaporated by the declared rate.
    Evaporated,
    /// Water made up; negative at a held level that water had to leave.
    Water,
}

/// Number of [`Volume`]s.
pub(super) const VOLUMES: usize = 6;

impl Volume {
    /// All, in order.
    pub(super) const ALL: [Volume; VOLUMES] = [
        Volume::Bath,
        Volume::DraggedOut,
        Volume::Bled,
        Volume::Overflowed,
        Volume::Evaporated,
        Volume::Water,
    ];
}
/// Moles per area that make the deposit per area of order one, mol/m²: some 25 um of metal.
const DEPOSIT_MOL_M2: f64 = 3.0;
/// Smallest concentration that sets the scale of a component, mol/L.
const SMALLEST_SCALE_MOL_L: f64 = 0.1;

impl Layout {
    /// The layout of a tank; `totals_mol_l` of the fresh bath set the scales.
    pub fn new(tank: &Tank, totals_mol_l: &[f64]) -> Self {
        let (liquid, deposited, evolved) =
            (tank.bath.liquid.len(), tank.bath.deposited.len(), tank.bath.evolved.len());
        let volume = tank.plant.volume_l;
        let metal = tank.operation.set_points.metal_mol_l * volume;
        let mut of_liquid: Vec<f64> =
            totals_mol_l.iter().map(|total| total.max(SMALLEST_SCALE_MOL_L) * volume).collect();
        of_liquid.extend([SMALLEST_SCALE_MOL_L * volume, super::WATER_MOL_L * volume]);
        let mut scale = of_liquid.clone();
        scale.extend(std::iter::repeat_n(metal, deposited + evolved));
        // One turnover at a 25 um layer is about 0.03 m² per litre: order of magnitude only.
        scale.push(0.03 * volume);
        scale.extend(of_liquid);
        let feeds = tank.operation.replenishers.len();
        scale.extend(std::iter::repeat_n(volume, feeds + VOLUMES));
        let exchanged = tank.plant.exchanges.len();
        scale.extend(std::iter::repeat_n(SMALLEST_SCALE_MOL_L * volume, exchanged));
        let settled = tank.bath.settled.len();
        scale.extend(std::iter::repeat_n(metal, settled));
        scale.extend(std::iter::repeat_n(DEPOSIT_MOL_M2, deposited));
        Layout { liquid, deposited, evolved, feeds, exchanged, settled, scale }
    }

    /// Number of states.
    pub fn len(&self) -> usize {
        self.scale.len()
    }

    /// True when there are none (there always are some).
    pub fn is_empty(&self) -> bool {
        self.scale.is_empty()
    }

    /// Unit of each state.
    pub fn scale(&self) -> &[f64] {
        &self.scale
    }

    /// Moles of the liquid's slots.
    pub fn liquid(&self) -> std::ops::Range<usize> {
        0..self.liquid
    }

    /// Moles of each deposited element.
    pub fn deposited(&self) -> std::ops::Range<usize> {
        self.liquid..self.liquid + self.deposited
    }

    /// Moles of each evolved element.
    pub fn evolved(&self) -> std::ops::Range<usize> {
        let start = self.liquid + self.deposited;
        start..start + self.evolved
    }

    /// Area plated, m².
    pub fn area(&self) -> usize {
        self.evolved().end
    }

    /// Moles of the liquid's slots gone with drag-out, bleed, overflow and treatments.
    pub fn gone(&self) -> std::ops::Range<usize> {
        let start = self.area() + 1;
        start..start + self.liquid
    }

    /// Volume fed from each solution, L.
    pub fn fed(&self) -> std::ops::Range<usize> {
        let start = self.gone().end;
        start..start + self.feeds
    }

    /// A volume, L.
    pub fn volume(&self, which: Volume) -> usize {
        self.fed().end + which as usize
    }

    /// Moles of each gas taken up from the air (negative: given off), as [`super::Plant::exchanges`] lists.
    pub fn exchanged(&self) -> std::ops::Range<usize> {
        let start = self.fed().end + VOLUMES;
        start..start + self.exchanged
    }

    /// Moles of each element fallen out as powder.
    pub fn settled(&self) -> std::ops::Range<usize> {
        let start = self.exchanged().end;
        start..start + self.settled
    }
    /// Moles of each deposited element per m² of a surface that has plated since make-up.
    pub fn deposited_per_area(&self) -> std::ops::Range<usize> {
        let start = self.settled().end;
        start..start + self.deposited
    }
}
