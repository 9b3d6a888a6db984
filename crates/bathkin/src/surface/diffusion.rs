//! How diffusion follows the temperature.

use crate::scalar::Scalar;
use crate::solution::water;

/// h(T) = (T/eta(T))/(T_D/eta(T_D)): a diffusion coefficient at T over what it is at T_D, the same for every substance.
///
/// | symbol | meaning | unit |
/// |---|---|---|
/// | T, T_D | temperature, that of the coefficients given | K |
/// | eta | [`water::viscosity_pa_s`] | Pa s |
///
/// Good to some per cent between 0 and 100 degC; hydrogen and hydroxide ions, which hop, gain less (from memory).
/// The salts of a bath make it thicker than water, at every temperature about alike.
/// Source: Stokes and Einstein's relation, textbook form.
///
/// ```
/// use bathkin::surface::diffusion_gain;
/// // From 20 to 45 degC 1.82 times, from 25 to 88 degC 3.35 times.
/// let gain: f64 = diffusion_gain(318.15, 293.15);
/// assert!((gain - 1.82).abs() < 0.01);
/// assert!((diffusion_gain(361.15_f64, 298.15) - 3.35).abs() < 0.01);
/// ```
pub fn diffusion_gain<D: Scalar>(temperature_k: D, given_at_k: f64) -> D {
    temperature_k / water::viscosity_pa_s(temperature_k) * (water::viscosity_pa_s(given_at_k) / given_at_k)
}
