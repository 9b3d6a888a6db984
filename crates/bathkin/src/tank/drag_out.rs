//! Drag-out: the film of bath that leaves with the work.
//!
//! d = max(d_ref (t_ref / t)^n, d_least)
//!
//! or, with a rate k of draining,
//!
//! d = d_least + (d_ref - d_least) exp(-k (t - t_ref))
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | d | liquid carried out per area | L/m² |
//! | d_ref | liquid carried out after the reference drain time | L/m² |
//! | t, t_ref | time the rack hangs over the tank, its reference | s |
//! | n | exponent, 1/2 for a film that drains down a vertical plate | 1 |
//! | k | rate of draining of drops | 1/s |
//! | d_least | what edges, holes and cups keep however long it drains | L/m² |
//!
//! Source: H. Jeffreys, Proc. Camb. Phil. Soc. 26 (1930) 204 (thickness of a draining film falls as
//! t^(-1/2)); the exponential and the liquid kept for ever are common practice (a rinsing calculator, a
//! public discussion of panels that drain no further after 40 s). Either way the limit is d_least, not zero. From a few seconds to a minute; a rack
//! that dries while it hangs is outside.

use crate::error::{Error, Place, Result};
use bathkin_numerics::short;

/// Liquid carried out per area.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DragOut {
    /// After the reference drain time, L/m².
    pub reference_l_m2: f64,
    /// Reference drain time, s.
    pub reference_drain_s: f64,
    /// How the liquid runs off.
    pub draining: Draining,
    /// What stays however long it drains, L/m².
    pub least_l_m2: f64,
    /// Drain time of work that says nothing of its own, s.
    pub drain_s: f64,
}

/// How liquid runs off a rack that hangs over the tank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Draining {
    /// A film that thins with a power of the time.
    Film {
        /// Exponent of the drain time.
        exponent: f64,
    },
    /// Drops that fall at a rate in proportion to what is left.
    Drops {
        /// Rate, 1/s.
        rate_1_s: f64,
    },
}

impl DragOut {
    /// The same whatever the drain time.
    pub fn constant(l_m2: f64) -> Self {
        DragOut {
            reference_l_m2: l_m2,
            reference_drain_s: 1.0,
            draining: Draining::Film { exponent: 0.0 },
            least_l_m2: 0.0,
            drain_s: 1.0,
        }
    }

    /// Liquid carried out after a drain time (the tank's own when none is said), L/m².
    pub fn l_m2(&self, drain_s: Option<f64>) -> f64 {
        let drain_s = drain_s.unwrap_or(self.drain_s);
        match self.draining {
            Draining::Film { exponent } => {
                let ratio = self.reference_drain_s / drain_s;
                (self.reference_l_m2 * ratio.powf(exponent)).max(self.least_l_m2)
            }
            Draining::Drops { rate_1_s } => {
                let left = (-rate_1_s * (drain_s - self.reference_drain_s)).exp();
                self.least_l_m2 + (self.reference_l_m2 - self.least_l_m2) * left
            }
        }
    }
}

/// Bath carried out over a time, L, from what had to be added of a salt that nothing uses up.
///
/// V = m / c, with m the mass added to hold the salt at c. Whatever else takes bath along (bleed, leaks,
/// overflow) is in it.
///
/// # Errors
/// [`Error::Recipe`] for a salt that a reaction consumes, of which the reaction's share is not known, and
/// for a value that is not above zero.
///
/// ```
/// // 1 kg added to a bath held at 50 g/L.
/// let litres = bathkin::tank::drag_out::drag_out_from_use_l(1000.0, 50.0, false)?;
/// assert!((litres - 20.0).abs() < 1e-12);
/// assert!(bathkin::tank::drag_out::drag_out_from_use_l(1000.0, 50.0, true).is_err());
/// # Ok::<(), bathkin::Error>(())
/// ```
pub fn drag_out_from_use_l(added_g: f64, held_g_l: f64, consumed_by_reaction: bool) -> Result<f64> {
    let refuse = |key: &str, value: String, expected: &str| Error::Recipe {
        place: Place { file: "drag_out_from_use_l".to_owned(), line: None },
        key: key.to_owned(),
        value,
        expected: expected.to_owned(),
        hint: None,
    };
    if consumed_by_reaction {
        let expected = "a salt that leaves with the liquid only: what the reaction uses is no drag-out";
        return Err(refuse("consumed_by_reaction", "true".to_owned(), expected));
    }
    for (key, value) in [("added_g", added_g), ("held_g_l", held_g_l)] {
        if !(value > 0.0 && value.is_finite()) {
            return Err(refuse(key, short(value), "a number above zero"));
        }
    }
    Ok(added_g / held_g_l)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_times_the_drain_time_halves_it() {
        let law = DragOut {
            reference_l_m2: 0.1,
            reference_drain_s: 10.0,
            draining: Draining::Film { exponent: 0.5 },
            least_l_m2: 0.03,
            drain_s: 10.0,
        };
        assert!((law.l_m2(Some(40.0)) - 0.05).abs() < 1e-15);
        assert_eq!(law.l_m2(None), 0.1);
        assert_eq!(law.l_m2(Some(1000.0)), 0.03);
        assert_eq!(DragOut::constant(0.1).l_m2(Some(60.0)), 0.1);
    }
}
