//! exp of a number that moves little from one call to the next.

/// The last exponential that was taken in full; near it a short series does.
#[derive(Debug, Clone, Copy)]
pub(super) struct Exponential {
    at: f64,
    value: f64,
}

impl Exponential {
    /// Nothing taken yet.
    pub(super) const NEW: Self = Exponential { at: f64::NAN, value: f64::NAN };

    /// exp(x), to a rounding error.
    ///
    /// Within 1/64 of the last full one: exp(a) (1 + d + ... + d⁶/6!), whose remainder is below
    /// 1/64⁷/7! = 5e-17.
    #[inline]
    pub(super) fn of(&mut self, x: f64) -> f64 {
        const NEAR: f64 = 1.0 / 64.0;
        let d = x - self.at;
        if d.abs() < NEAR {
            let square = d * d;
            let low = 1.0 + d;
            let middle = 0.5 + d * (1.0 / 6.0);
            let high = (1.0 / 24.0 + d * (1.0 / 120.0)) + square * (1.0 / 720.0);
            return self.value * (low + square * (middle + square * high));
        }
        *self = Exponential { at: x, value: x.exp() };
        self.value
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn near_and_far_are_the_exponential() {
        let mut exponential = Exponential::NEW;
        for x in [-30.0, -29.99, -29.985, 0.3, 0.3151, 0.2849, 1e-9, f64::NEG_INFINITY, 2.0] {
            let (found, expected) = (exponential.of(x), x.exp());
            assert!(
                (found - expected).abs() <= 4.0 * f64::EPSILON * expected,
                "exp({x}): {found} {expected}"
            );
        }
        assert!(exponential.of(f64::NAN).is_nan());
    }
}
