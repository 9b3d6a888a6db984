//! The density that points are drawn from: Student's t of several numbers.
//!
//! x = m + L z √(ν/χ²), z standard normal and χ² of ν degrees of freedom, has with p numbers the density
//!
//! q(x) = Γ((ν + p)/2) / (Γ(ν/2) (νπ)^(p/2) |L|) (1 + d²/ν)^(-(ν + p)/2), d = |L⁻¹(x - m)|.
//!
//! | symbol | meaning |
//! |---|---|
//! | m | where it is centred |
//! | L | lower triangle with L Lᵀ the scatter; the covariance is ν/(ν - 2) times that |
//! | ν | degrees of freedom: the fewer, the heavier the tails |
//!
//! Source: S. Kotz and S. Nadarajah, *Multivariate t Distributions and Their Applications*, Cambridge 2004.

use std::f64::consts::PI;

use nalgebra::{DMatrix, DVector};

use crate::random::Stream;

/// Student's t of several numbers.
#[derive(Debug, Clone)]
pub struct Proposal {
    centre: DVector<f64>,
    root: DMatrix<f64>,
    freedom: usize,
    ln_scale: f64,
}

impl Proposal {
    /// About a centre; `None` where the scatter is no covariance, or without a degree of freedom.
    pub fn new(centre: Vec<f64>, scatter: DMatrix<f64>, freedom: usize) -> Option<Self> {
        let count = centre.len();
        if freedom == 0 || scatter.nrows() != count || scatter.iter().any(|value| !value.is_finite()) {
            return None;
        }
        let root = scatter.cholesky()?.l();
        let (nu, p) = (freedom as f64, count as f64);
        let ln_root: f64 = root.diagonal().iter().map(|value| value.ln()).sum();
        let ln_scale =
            libm::lgamma(0.5 * (nu + p)) - libm::lgamma(0.5 * nu) - 0.5 * p * (nu * PI).ln() - ln_root;
        Some(Proposal { centre: DVector::from_vec(centre), root, freedom, ln_scale })
    }

    /// How many numbers there are.
    pub fn numbers(&self) -> usize {
        self.centre.len()
    }

    /// Degrees of freedom.
    pub fn freedom(&self) -> usize {
        self.freedom
    }

    /// A point, and the logarithm of the density there.
    pub fn draw(&self, random: &mut Stream) -> (Vec<f64>, f64) {
        let z = DVector::from_fn(self.numbers(), |_, _| random.normal());
        let widen = random.student_widening(self.freedom);
        let point = &self.centre + &self.root * &z * widen;
        (point.as_slice().to_vec(), self.ln_density_at(z.norm_squared() * widen * widen))
    }

    /// Logarithm of the density at a squared distance d².
    fn ln_density_at(&self, squared: f64) -> f64 {
        let (nu, p) = (self.freedom as f64, self.numbers() as f64);
        self.ln_scale - 0.5 * (nu + p) * (squared / nu).ln_1p()
    }
}
