//! Sobol's sequence: points that fill a cube evenly, each reached by its number.
//!
//! Point n has in dimension d the coordinate
//!
//! x = ⊕ₖ gₖ vₖ, g = n ⊕ ⌊n/2⌋ (the Gray code), vₖ the direction numbers of d,
//!
//! bits of a number below one. Scrambled, each of the 32 bits is flipped or not by a hash of the seed, the dimension
//! and all bits above it: nested uniform scrambling, under which every point is uniform, every mean of 2ᵏ points
//! unbiased, and each seed gives another estimate of it.
//!
//! Sources: I. M. Sobol', USSR Computational Mathematics and Mathematical Physics 7 (1967) 86-112; direction numbers
//! by S. Joe and F. Y. Kuo, SIAM Journal on Scientific Computing 30 (2008) 2635-2654; scrambling by A. B. Owen, in
//! *Monte Carlo and Quasi-Monte Carlo Methods in Scientific Computing* (Springer, 1995) 299-317.

use crate::error::FitError;
use crate::random::mixed;

const TABLE: &str = include_str!("sobol_directions.txt");
const BITS: usize = 32;

/// Sobol's sequence of some dimensions.
#[derive(Debug, Clone)]
pub struct Sobol {
    directions: Vec<[u32; BITS]>,
    seed: Option<u64>,
}

impl Sobol {
    /// The most dimensions there are direction numbers for.
    pub const MOST_DIMENSIONS: usize = 512;
    /// The most points.
    pub const MOST_POINTS: u64 = 1 << BITS;

    /// The sequence as Sobol has it, which begins with the origin.
    ///
    /// # Errors
    /// [`FitError::Count`] for no dimension, or for more than there are direction numbers for.
    pub fn plain(dimensions: usize) -> Result<Self, FitError> {
        if !(1..=Sobol::MOST_DIMENSIONS).contains(&dimensions) {
            return Err(FitError::Count {
                of: "dimensions of Sobol's sequence",
                given: dimensions,
                least: 1,
                most: Some(Sobol::MOST_DIMENSIONS),
            });
        }
        let lines = TABLE.lines().filter(|line| !line.starts_with('#')).take(dimensions - 1);
        let mut directions = vec![van_der_corput()];
        directions.extend(lines.map(|line| {
            let numbers: Vec<u32> = line.split(' ').filter_map(|word| word.parse().ok()).collect();
            directions_of(numbers[0], &numbers[1..])
        }));
        Ok(Sobol { directions, seed: None })
    }

    /// The same scrambled from a seed: all coordinates lie inside (0, 1).
    ///
    /// ```
    /// use bathkin_statistics::sobol::Sobol;
    ///
    /// let points = Sobol::scrambled(2, 1)?;
    /// let mean = (0..256).map(|number| points.coordinate(number, 1)).sum::<f64>() / 256.0;
    /// assert!((mean - 0.5).abs() < 1e-3);
    /// # Ok::<(), bathkin_statistics::FitError>(())
    /// ```
    ///
    /// # Errors
    /// As [`Sobol::plain`].
    pub fn scrambled(dimensions: usize, seed: u64) -> Result<Self, FitError> {
        Ok(Sobol { seed: Some(seed), ..Sobol::plain(dimensions)? })
    }

    /// A coordinate of a point, both counted from 0.
    ///
    /// # Panics
    /// For a dimension that the sequence does not have.
    pub fn coordinate(&self, point: u32, dimension: usize) -> f64 {
        let directions = &self.directions[dimension];
        let mut gray = point ^ (point >> 1);
        let mut bits = 0;
        while gray != 0 {
            bits ^= directions[gray.trailing_zeros() as usize];
            gray &= gray - 1;
        }
        const UNIT: f64 = 1.0 / (1_u64 << BITS) as f64;
        match self.seed {
            None => f64::from(bits) * UNIT,
            // In the middle of its cell, never at an end.
            Some(seed) => (f64::from(scrambled(bits, mixed(seed, dimension as u64))) + 0.5) * UNIT,
        }
    }
}

/// Direction numbers of the first dimension: bits in reversed order.
fn van_der_corput() -> [u32; BITS] {
    std::array::from_fn(|k| 1 << (BITS - 1 - k))
}

/// Direction numbers vₖ = mₖ 2³²⁻ᵏ, with mₖ = 2 a₁ mₖ₋₁ ⊕ 4 a₂ mₖ₋₂ ⊕ ... ⊕ 2ˢ mₖ₋ₛ ⊕ mₖ₋ₛ for a polynomial of degree s
/// with the coefficients a, k from 1.
fn directions_of(polynomial: u32, first: &[u32]) -> [u32; BITS] {
    let degree = first.len();
    let mut v = [0; BITS];
    for (k, m) in first.iter().enumerate() {
        v[k] = m << (BITS - 1 - k);
    }
    for k in degree..BITS {
        v[k] = v[k - degree] ^ (v[k - degree] >> degree);
        for back in 1..degree {
            if polynomial >> (degree - back) & 1 == 1 {
                v[k] ^= v[k - back];
            }
        }
    }
    v
}

/// Each bit flipped by a hash of the key and the bits above it. A place in the tree of bits is a one, then those bits.
fn scrambled(bits: u32, key: u64) -> u32 {
    let flip = |above: u32| {
        let place = (1_u64 << (BITS as u32 - 1 - above)) | (u64::from(bits) >> (above + 1));
        ((mixed(key, place) & 1) as u32) << above
    };
    (0..BITS as u32).fold(bits, |found, bit| found ^ flip(bit))
}
