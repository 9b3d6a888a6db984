//! How well simulations are carried, and what differences between them are good for.

/// How well simulations are carried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Grain {
    /// As fine as they can be, slopes from differences to both sides.
    Fine,
    /// As fine, slopes from differences to one side: the way to a minimum.
    OneSided,
    /// As coarse as a search can do with, slopes from differences to one side.
    Coarse,
}

impl Grain {
    pub fn relative_tolerance(self) -> f64 {
        match self {
            Grain::Fine | Grain::OneSided => FINE,
            Grain::Coarse => COARSE,
        }
    }

    pub fn sides(self) -> &'static [f64] {
        match self {
            Grain::Fine => &BOTH_SIDES,
            Grain::OneSided | Grain::Coarse => &BOTH_SIDES[1..],
        }
    }
}

pub(crate) const BOTH_SIDES: [f64; 2] = [-1.0, 1.0];

/// Relative tolerances of simulations.
pub(crate) const FINE: f64 = 1e-8;
const COARSE: f64 = 1e-6;

/// Step of the differences: their formula is off by its square, rounding by 1e-14 over it.
pub(crate) const STEP: f64 = 3e-5;

/// Step of differences to one side, whose formula is off by the step itself.
pub(crate) const STEP_TO_ONE_SIDE: f64 = 1e-6;
