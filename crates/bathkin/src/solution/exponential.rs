//! exp of numbers that move little from one call to the next.

/// For each number the last exponential that was taken in full; near it a short series does.
#[derive(Debug, Clone)]
pub(crate) struct Exponentials {
    at: Vec<f64>,
    values: Vec<f64>,
}

impl Exponentials {
    /// Nothing taken yet, of so many numbers.
    pub(crate) fn new(numbers: usize) -> Self {
        Exponentials { at: vec![f64::NAN; numbers], values: vec![f64::NAN; numbers] }
    }

    /// exp of each x, number by number from `first` on, to a rounding error.
    ///
    /// Within 1/64 of the last full one: exp(a) (1 + d + ... + d⁶/6!), whose remainder is below
    /// 1/64⁷/7! = 5e-17.
    pub(crate) fn of(&mut self, first: usize, x: &[f64], exponentials: &mut [f64]) {
        const NEAR: f64 = 1.0 / 64.0;
        let far = |d: f64| d.is_nan() || d.abs() >= NEAR;
        let count = x.len();
        let (at, values) = (&mut self.at[first..first + count], &mut self.values[first..first + count]);
        let exponentials = &mut exponentials[..count];
        let mut any_far = false;
        // Without branches, so that several are taken side by side.
        for i in 0..count {
            let d = x[i] - at[i];
            any_far |= far(d);
            let square = d * d;
            let low = 1.0 + d;
            let middle = 0.5 + d * (1.0 / 6.0);
            let high = (1.0 / 24.0 + d * (1.0 / 120.0)) + square * (1.0 / 720.0);
            exponentials[i] = values[i] * (low + square * (middle + square * high));
        }
        if any_far {
            for i in 0..count {
                if !far(x[i] - at[i]) {
                    continue;
                }
                (at[i], values[i]) = (x[i], x[i].exp());
                exponentials[i] = values[i];
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn near_and_far_are_the_exponential() {
        let mut exponentials = Exponentials::new(3);
        for x in [-30.0, -29.99, -29.985, 0.3, 0.3151, 0.2849, 1e-9, f64::NEG_INFINITY, 2.0] {
            let (given, mut found) = ([x, 0.5, x + 0.01], [0.0; 3]);
            exponentials.of(0, &given, &mut found);
            for (x, found) in given.iter().zip(found) {
                let expected = x.exp();
                assert!(
                    (found - expected).abs() <= 4.0 * f64::EPSILON * expected,
                    "exp({x}): {found} {expected}"
                );
            }
        }
        let mut found = [0.0; 3];
        exponentials.of(0, &[1.0, f64::NAN, 1.0], &mut found);
        assert!(found[1].is_nan() && found[0] == found[2]);
    }
}
