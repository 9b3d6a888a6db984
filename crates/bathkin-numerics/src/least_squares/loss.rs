//! Robust losses: how much a large residual may weigh.

/// ρ(z) of the squared residual z = (f/c)², defined as in `scipy.optimize.least_squares`.
///
/// | loss | ρ(z) | a residual far out weighs as |
/// | --- | --- | --- |
/// | linear | z | its square |
/// | soft_l1 | 2 (√(1+z) - 1) | its size |
/// | huber | z for z ≤ 1, 2 √z - 1 beyond | its size |
/// | cauchy | ln(1+z) | its logarithm |
///
/// The scale c is the size of a residual that is still believed: 1 when residuals are divided by sigma.
/// With cauchy F may have several minima.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Loss {
    /// Plain least squares.
    #[default]
    Linear,
    /// Smooth between square and size.
    SoftL1,
    /// Square, then size.
    Huber,
    /// Logarithm.
    Cauchy,
}

impl Loss {
    /// (ρ, dρ/dz, d²ρ/dz²) at z ≥ 0.
    ///
    /// ```
    /// use bathkin_numerics::least_squares::Loss;
    ///
    /// assert_eq!(Loss::Huber.at(4.0), (3.0, 0.5, -0.0625));
    /// ```
    pub fn at(self, z: f64) -> (f64, f64, f64) {
        match self {
            Loss::Linear => (z, 1.0, 0.0),
            Loss::SoftL1 => {
                let t = 1.0 + z;
                // 2 (√t - 1) without cancellation at small z.
                (2.0 * z / (t.sqrt() + 1.0), t.sqrt().recip(), -0.5 / (t * t.sqrt()))
            }
            Loss::Huber if z <= 1.0 => (z, 1.0, 0.0),
            Loss::Huber => (2.0 * z.sqrt() - 1.0, z.sqrt().recip(), -0.5 / (z * z.sqrt())),
            Loss::Cauchy => (z.ln_1p(), (1.0 + z).recip(), -(1.0 + z).powi(-2)),
        }
    }

    /// F = ½ Σ c² ρ((f/c)²).
    pub fn cost(self, scale: f64, residuals: &[f64]) -> f64 {
        if self == Loss::Linear {
            return 0.5 * residuals.iter().map(|f| f * f).sum::<f64>();
        }
        0.5 * scale * scale * residuals.iter().map(|f| self.at((f / scale).powi(2)).0).sum::<f64>()
    }

    /// (ψ, dψ/df) of a residual: ψ = f ρ'(z) is the derivative of F by it.
    ///
    /// ```
    /// use bathkin_numerics::least_squares::Loss;
    ///
    /// assert_eq!(Loss::Huber.influence(1.5, 1.0), (1.0, 1.0));
    /// assert_eq!(Loss::Huber.influence(1.5, 6.0), (1.5, 0.0));
    /// ```
    pub fn influence(self, scale: f64, residual: f64) -> (f64, f64) {
        let z = (residual / scale).powi(2);
        let (_, first, second) = self.at(z);
        (residual * first, first + 2.0 * z * second)
    }

    /// Factors (on f, on its row of J) that turn F near a point into a plain sum of squares: with them
    /// Jᵀf is the gradient of F and JᵀJ its Gauss-Newton matrix, ρ' + 2 ρ'' z.
    ///
    /// Source: B. Triggs, P. F. McLauchlan, R. I. Hartley, A. W. Fitzgibbon, *Bundle adjustment - a modern
    /// synthesis*, in Vision Algorithms: Theory and Practice, Lecture Notes in Computer Science 1883,
    /// Springer 2000, 298-372, appendix on robust costs. Where the loss is concave the curvature is held
    /// at a ten-thousandth of ρ': smaller, and the weighted residuals would drown all others in rounding.
    pub fn weights(self, scale: f64, residual: f64) -> (f64, f64) {
        if self == Loss::Linear {
            return (1.0, 1.0);
        }
        let z = (residual / scale).powi(2);
        let (_, first, second) = self.at(z);
        let curvature = (first + 2.0 * second * z).max(1e-4 * first).sqrt();
        (first / curvature, curvature)
    }
}
