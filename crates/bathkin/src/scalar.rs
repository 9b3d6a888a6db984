//! The number the laws are written over: a plain `f64`, or a dual number that carries derivatives.

use num_dual::DualNum;

/// A number a law can be evaluated with.
///
/// Every law of the model is written once over this trait, so the same lines give values (`f64`)
/// and exact derivatives (a dual number).
///
/// ```
/// use bathkin::solution::water;
/// use num_dual::Dual64;
///
/// // Slope of the ionic product of water with temperature, from the same formula as its value.
/// let at = water::pkw(Dual64::from(298.15).derivative());
/// assert!((at.re - 13.9945).abs() < 1e-3);
/// assert!((at.eps + 0.0327).abs() < 1e-3);
/// ```
pub trait Scalar: DualNum<Primitive = f64> + Copy {}

impl<T: DualNum<Primitive = f64> + Copy> Scalar for T {}
