//! Sums without rounding: the same bits in whatever order, and in however many parts, the numbers come.
//!
//! A number m·2ᵉ, m of 53 bits, is added as an integer to a fixed-point number that spans all of `f64`, kept as digits of
//! 32 bits in 64: R. M. Neal, *Fast exact summation using small and large superaccumulators*, arXiv:1505.05571 (2015).

use serde::{Deserialize, Serialize};

const DIGIT_BITS: i32 = 32;
const DIGITS: usize = 68;
/// Exponent of the least bit of the smallest number.
const LEAST: i32 = -1074;
/// Additions after which digits might overflow unless they are carried.
const UNCARRIED: u32 = 1 << 29;

/// A sum of finite numbers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ExactSum {
    digits: Vec<i64>,
    uncarried: u32,
}

impl Default for ExactSum {
    fn default() -> Self {
        ExactSum { digits: vec![0; DIGITS], uncarried: 0 }
    }
}

impl ExactSum {
    /// Adds a finite number.
    pub fn add(&mut self, number: f64) {
        let bits = number.to_bits();
        let (exponent, fraction) = ((bits >> 52 & 0x7ff) as i32, bits & ((1 << 52) - 1));
        let (mantissa, exponent) =
            if exponent == 0 { (fraction, LEAST) } else { (fraction | 1 << 52, exponent - 1075) };
        let from = exponent - LEAST;
        let (digit, shift) = ((from / DIGIT_BITS) as usize, from % DIGIT_BITS);
        let mut left = u128::from(mantissa) << shift;
        let sign = if number < 0.0 { -1 } else { 1 };
        for place in self.digits[digit..].iter_mut().take(3) {
            *place += sign * (left & 0xffff_ffff) as i64;
            left >>= DIGIT_BITS;
        }
        self.uncarried += 1;
        if self.uncarried >= UNCARRIED {
            self.carry();
        }
    }

    /// Adds all of another sum.
    pub fn merge(&mut self, other: &ExactSum) {
        let mut other = other.clone();
        other.carry();
        self.carry();
        self.digits.iter_mut().zip(&other.digits).for_each(|(mine, theirs)| *mine += theirs);
        self.carry();
    }

    /// The sum to the last place of an `f64`.
    ///
    /// ```
    /// use bathkin_statistics::exact_sum::ExactSum;
    ///
    /// let mut sum = ExactSum::default();
    /// [1e16, 1.0, -1e16, 0.5].into_iter().for_each(|number| sum.add(number));
    /// assert_eq!(sum.value(), 1.5);
    /// ```
    pub fn value(&self) -> f64 {
        let mut carried = self.clone();
        carried.carry();
        // All digits but the last are positive then: a negative sum is turned round first.
        let negative = carried.digits.last().is_some_and(|last| *last < 0);
        if negative {
            carried.digits.iter_mut().for_each(|digit| *digit = -*digit);
            carried.carry();
        }
        let Some(top) = carried.digits.iter().rposition(|digit| *digit != 0) else { return 0.0 };
        // Four digits hold at least 97 bits, beyond what a number has.
        let weight = |place: usize| {
            let exponent = place as i32 * DIGIT_BITS + LEAST;
            // In two steps: neither end of the range of powers is passed on the way.
            2_f64.powi(exponent / 2) * 2_f64.powi(exponent - exponent / 2)
        };
        let from = top.saturating_sub(3);
        let sum: f64 = (from..=top).map(|place| carried.digits[place] as f64 * weight(place)).sum();
        if negative { -sum } else { sum }
    }

    /// Digits between 0 and 2³², but for the last, which has the sign.
    fn carry(&mut self) {
        let mut over = 0;
        let last = self.digits.len() - 1;
        for digit in &mut self.digits[..last] {
            *digit += over;
            over = *digit >> DIGIT_BITS;
            *digit &= 0xffff_ffff;
        }
        self.digits[last] += over;
        self.uncarried = 0;
    }
}
