//! Mass, composition and thickness of a layer.

use super::density::DensityScale;
use crate::scalar::Scalar;

/// A layer made of given amounts of elements.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layer<D = f64> {
    /// Mass, g.
    pub mass_g: D,
    /// Mass of the metal in it, g.
    pub metal_g: D,
    /// Weight per cent of the alloying element, or of everything but the metal where none is named.
    pub alloy_wt_pct: D,
    /// Density, g/cm³.
    pub density_g_cm3: D,
}

impl<D: Scalar> Layer<D> {
    /// The layer of a mass of which `metal_g` is the base metal and `alloy_g` the alloying element;
    /// what is left are traces, such as the sulfur of a stabilizer.
    pub fn of_masses(mass_g: D, metal_g: D, alloy_g: D, scale: DensityScale) -> Self {
        let there = mass_g > D::from(0.0);
        let alloy_wt_pct = if there { alloy_g * 100.0 / mass_g } else { D::from(0.0) };
        Layer { mass_g, metal_g, alloy_wt_pct, density_g_cm3: scale.density_g_cm3(alloy_wt_pct) }
    }

    /// Mean thickness on an area, um.
    pub fn thickness_um(&self, area_m2: f64) -> D {
        self.mass_g / (self.density_g_cm3 * area_m2)
    }
}

impl Layer {
    /// A layer of stated thickness and composition on an area: t = m/(rho A), turned round.
    ///
    /// ```
    /// use bathkin::deposit::Layer;
    /// // One mil on one square foot at 11 wt% P and 7.8 g/cm³ is 18.41 g, 16.38 g of it nickel.
    /// let layer = Layer::of_thickness(25.4, 0.09290304, 11.0, 7.8);
    /// assert!((layer.mass_g - 18.40595).abs() < 1e-4);
    /// assert!((layer.metal_g - 16.3813).abs() < 1e-4);
    /// ```
    pub fn of_thickness(thickness_um: f64, area_m2: f64, alloy_wt_pct: f64, density_g_cm3: f64) -> Self {
        // 1 um on 1 m² is 1 cm³.
        let mass_g = thickness_um * area_m2 * density_g_cm3;
        Layer { mass_g, metal_g: mass_g * (1.0 - alloy_wt_pct / 100.0), alloy_wt_pct, density_g_cm3 }
    }
}

/// Area plated by one turnover, m²: metal in the tank over metal in the layer.
///
/// ```
/// use bathkin::deposit::layer::area_per_turnover_m2;
/// // 200 US gal at 6 g/L, half a mil of 11 wt% P: 554.6 ft².
/// let area = area_per_turnover_m2(757.0823568, 6.0, 12.7, 11.0, 7.8);
/// assert!((area / 0.09290304 - 554.595).abs() < 0.06);
/// ```
pub fn area_per_turnover_m2(
    volume_l: f64,
    metal_g_l: f64,
    thickness_um: f64,
    alloy_wt_pct: f64,
    density_g_cm3: f64,
) -> f64 {
    volume_l * metal_g_l / Layer::of_thickness(thickness_um, 1.0, alloy_wt_pct, density_g_cm3).metal_g
}
