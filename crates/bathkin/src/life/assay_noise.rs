//! Errors of analyses: numbers that look random and are the same on every machine.
//!
//! The n-th word of a seed s is the SplitMix64 mix of s + (n + 1) x 9E3779B97F4A7C15 (hexadecimal), with
//! wrapping sums and products: a pure function of seed and count, so a life can be repeated from its recipe alone.
//! Two words give one normal deviate (Box-Muller).
//!
//! Source: G. L. Steele, D. Lea, C. H. Flood, Fast splittable pseudorandom number generators, OOPSLA 2014;
//! G. E. P. Box, M. E. Muller, Ann. Math. Stat. 29 (1958) 610.

/// A sequence of draws.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AssayNoise {
    seed: u64,
    count: u64,
}

impl AssayNoise {
    /// The sequence of a seed.
    pub fn new(seed: u64) -> Self {
        AssayNoise { seed, count: 0 }
    }

    fn word(&mut self) -> u64 {
        const GOLDEN: u64 = 0x9E37_79B9_7F4A_7C15;
        self.count += 1;
        let mut mixed = self.seed.wrapping_add(self.count.wrapping_mul(GOLDEN));
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// Evenly spread above zero up to one.
    fn uniform(&mut self) -> f64 {
        const STEPS: f64 = (1_u64 << 53) as f64;
        ((self.word() >> 11) + 1) as f64 / STEPS
    }

    /// A normal deviate: mean 0, standard deviation 1.
    pub fn normal(&mut self) -> f64 {
        let (radius, angle) = (self.uniform(), self.uniform());
        (-2.0 * radius.ln()).sqrt() * (2.0 * std::f64::consts::PI * angle).cos()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Producer: the published test vector of SplitMix64 for the seed 1234567.
    #[test]
    fn words_are_those_of_splitmix64() {
        let mut draws = AssayNoise::new(1_234_567);
        let words: Vec<u64> = (0..3).map(|_| draws.word()).collect();
        assert_eq!(words, [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]);
    }

    /// Producer: the normal distribution; 20,000 draws, four standard errors.
    #[test]
    fn deviates_have_mean_zero_and_variance_one() {
        const COUNT: f64 = 20_000.0;
        let mut draws = AssayNoise::new(7);
        let all: Vec<f64> = (0..COUNT as u32).map(|_| draws.normal()).collect();
        let mean = all.iter().sum::<f64>() / COUNT;
        let variance = all.iter().map(|value| value * value).sum::<f64>() / COUNT;
        assert!(mean.abs() < 4.0 / COUNT.sqrt(), "{mean}");
        assert!((variance - 1.0).abs() < 4.0 * (2.0 / COUNT).sqrt(), "{variance}");
    }
}
