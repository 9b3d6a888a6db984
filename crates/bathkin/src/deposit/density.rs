//! Density of the deposit as a named function of its composition.
//!
//! Published scales for nickel-phosphorus differ by 0.1 g/cm³, which is 1.3 % in thickness, or
//! one weight per cent of phosphorus read back from a density: say which one was used.

use crate::scalar::Scalar;

/// A density scale: rho(w), g/cm³, with w the weight per cent of the alloying element.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum DensityScale {
    /// rho = 8.9 - 0.1 w, 0-11 wt% P.
    ///
    /// Source: a point-by-point table for 0-9 wt% P (8.9 to 8.0) with 7.8 at 11 wt%, printed in a
    /// trade magazine's article on plated area per turnover (Products Finishing, "Calculating
    /// electroless nickel square footage").
    AreaTable,
    /// rho = 8.8 - 0.1 w, the line through 8.4 at 4 wt% P and 7.8 at 10 wt% P.
    ///
    /// Source: two points quoted in a public trade forum (finishing.com, letter 238/26).
    TwoPoint,
    /// One value whatever the composition, g/cm³.
    Constant(f64),
}

impl DensityScale {
    /// Names accepted in a recipe (besides a plain number).
    pub const NAMES: [&str; 2] = ["area-table", "two-point"];

    /// A scale by its name.
    pub fn parse(name: &str) -> Option<Self> {
        match name {
            "area-table" => Some(DensityScale::AreaTable),
            "two-point" => Some(DensityScale::TwoPoint),
            _ => None,
        }
    }

    /// Its name.
    pub fn name(&self) -> String {
        match self {
            DensityScale::AreaTable => "area-table".to_owned(),
            DensityScale::TwoPoint => "two-point".to_owned(),
            DensityScale::Constant(value) => format!("constant {value} g/cm3"),
        }
    }

    /// Density, g/cm³, at `alloy_wt_pct`; held at its value at 25 wt% beyond that, where a straight
    /// line would run into zero.
    ///
    /// ```
    /// use bathkin::deposit::DensityScale;
    /// // The same 7.8 g/cm³ means 11 wt% P on one scale and 10 wt% P on the other.
    /// assert!((DensityScale::AreaTable.density_g_cm3(11.0_f64) - 7.8).abs() < 1e-12);
    /// assert!((DensityScale::TwoPoint.density_g_cm3(10.0_f64) - 7.8).abs() < 1e-12);
    /// ```
    pub fn density_g_cm3<D: Scalar>(&self, alloy_wt_pct: D) -> D {
        const HELD_ABOVE_WT_PCT: f64 = 25.0;
        let held = alloy_wt_pct > D::from(HELD_ABOVE_WT_PCT);
        let alloy_wt_pct = if held { D::from(HELD_ABOVE_WT_PCT) } else { alloy_wt_pct };
        match self {
            DensityScale::AreaTable => -alloy_wt_pct * 0.1 + 8.9,
            DensityScale::TwoPoint => -alloy_wt_pct * 0.1 + 8.8,
            DensityScale::Constant(value) => D::from(*value),
        }
    }

    /// A warning outside the range of the scale.
    pub fn warning(&self, alloy_wt_pct: f64) -> Option<String> {
        let (low, high) = match self {
            DensityScale::AreaTable => (0.0, 11.0),
            DensityScale::TwoPoint => (4.0, 10.0),
            DensityScale::Constant(_) => return None,
        };
        // Half a per cent of slack: the scales are read to the nearest per cent.
        (alloy_wt_pct < low - 0.5 || alloy_wt_pct > high + 0.5).then(|| {
            format!(
                "density scale {} is extrapolated: {alloy_wt_pct:.1} wt% is outside {low}-{high} wt%",
                self.name()
            )
        })
    }
}
