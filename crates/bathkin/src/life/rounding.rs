//! Doses rounded to what a measure can tell.

/// Why a dose has the size it has: this rules how it may be rounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Size {
    /// By what the bath lacks, called for by a reading: never rounded to nothing, or the call would stand.
    Called,
    /// By what the bath lacks: the next dose makes good what rounding left.
    Lacking,
    /// By a rule that does not look at the bath: what rounding left is carried to the next dose.
    Counted,
    /// Brought by a pump, which knows no marks.
    Pumped,
}

/// A measure, with what it has left over of each solution.
#[derive(Debug, Clone)]
pub struct Rounding {
    step_l: f64,
    left_l: Vec<f64>,
}

impl Rounding {
    /// A measure with marks every `step_l`, for so many solutions.
    pub fn new(step_l: f64, solutions: usize) -> Self {
        Rounding { step_l, left_l: vec![0.0; solutions] }
    }

    /// A volume of a solution to the nearest mark, L.
    pub fn round_l(&mut self, solution: usize, volume_l: f64, sized: Size) -> f64 {
        if volume_l <= 0.0 {
            return volume_l;
        }
        let to_mark = |volume: f64| (volume / self.step_l).round() * self.step_l;
        match sized {
            Size::Called => to_mark(volume_l).max(self.step_l),
            Size::Lacking => to_mark(volume_l),
            Size::Pumped => volume_l,
            Size::Counted => {
                let wanted = volume_l + self.left_l[solution];
                let poured = to_mark(wanted);
                self.left_l[solution] = wanted - poured;
                poured
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counted_doses_sum_to_what_was_wanted() {
        let mut measure = Rounding::new(0.05, 2);
        let poured: f64 = (0..101).map(|_| measure.round_l(1, 0.033, Size::Counted)).sum();
        assert!((poured - 101.0 * 0.033).abs() <= 0.025 + 1e-12, "{poured}");
        assert_eq!(measure.round_l(0, 0.01, Size::Called), 0.05);
        assert_eq!(measure.round_l(0, 0.01, Size::Lacking), 0.0);
        assert_eq!(measure.round_l(0, 0.13, Size::Lacking), 3.0 * 0.05);
        assert_eq!(measure.round_l(0, 0.0, Size::Called), 0.0);
    }
}
