//! Drag-out: the film of bath that leaves with the work.
//!
//! d = max(d_ref (t_ref / t)^n, d_least)
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | d | liquid carried out per area | L/m² |
//! | d_ref | liquid carried out after the reference drain time | L/m² |
//! | t, t_ref | time the rack hangs over the tank, its reference | s |
//! | n | exponent, 1/2 for a film that drains down a vertical plate | 1 |
//! | d_least | what edges, holes and cups keep however long it drains | L/m² |
//!
//! Source: H. Jeffreys, Proc. Camb. Phil. Soc. 26 (1930) 204 (thickness of a draining film falls as
//! t^(-1/2)); the liquid kept for ever is common practice. From a few seconds to a minute; a rack
//! that dries while it hangs is outside.

/// Liquid carried out per area.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DragOut {
    /// After the reference drain time, L/m².
    pub reference_l_m2: f64,
    /// Reference drain time, s.
    pub reference_drain_s: f64,
    /// Exponent of the drain time.
    pub exponent: f64,
    /// What stays however long it drains, L/m².
    pub least_l_m2: f64,
    /// Drain time of work that says nothing of its own, s.
    pub drain_s: f64,
}

impl DragOut {
    /// The same whatever the drain time.
    pub fn constant(l_m2: f64) -> Self {
        DragOut { reference_l_m2: l_m2, reference_drain_s: 1.0, exponent: 0.0, least_l_m2: 0.0, drain_s: 1.0 }
    }

    /// Liquid carried out after a drain time (the tank's own when none is said), L/m².
    pub fn l_m2(&self, drain_s: Option<f64>) -> f64 {
        let ratio = self.reference_drain_s / drain_s.unwrap_or(self.drain_s);
        (self.reference_l_m2 * ratio.powf(self.exponent)).max(self.least_l_m2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_times_the_drain_time_halves_it() {
        let law = DragOut {
            reference_l_m2: 0.1,
            reference_drain_s: 10.0,
            exponent: 0.5,
            least_l_m2: 0.03,
            drain_s: 10.0,
        };
        assert!((law.l_m2(Some(40.0)) - 0.05).abs() < 1e-15);
        assert_eq!(law.l_m2(None), 0.1);
        assert_eq!(law.l_m2(Some(1000.0)), 0.03);
        assert_eq!(DragOut::constant(0.1).l_m2(Some(60.0)), 0.1);
    }
}
