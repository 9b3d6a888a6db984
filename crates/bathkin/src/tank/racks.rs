//! The calendar of the racks: who goes in, starts to plate and comes out, in order.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use super::work::Load;

/// What a rack does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Move {
    /// Comes out: before others go in at the same moment, as one hoist has it.
    Out,
    /// Goes in.
    In,
    /// Starts to plate, its induction over.
    Starts,
}

/// A rack's move at a clock time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RackTime {
    /// Clock time, s.
    pub time_s: f64,
    /// What it does.
    pub what: Move,
    /// Which of the loads.
    pub load: usize,
    /// Which of its visits.
    pub visit: u32,
}

impl Eq for RackTime {}

impl Ord for RackTime {
    /// The earliest is the greatest: the heap hands out its greatest.
    fn cmp(&self, other: &Self) -> Ordering {
        let key = |moment: &RackTime| (moment.what, moment.load, moment.visit);
        other.time_s.total_cmp(&self.time_s).then_with(|| key(other).cmp(&key(self)))
    }
}

impl PartialOrd for RackTime {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// The moves to come of all racks.
#[derive(Debug, Clone)]
pub struct Racks<'a> {
    loads: &'a [Load],
    coming: BinaryHeap<RackTime>,
    plating_m2: f64,
    plating: u32,
    inside: u32,
}

impl<'a> Racks<'a> {
    /// All racks before their first visit.
    pub fn new(loads: &'a [Load]) -> Self {
        let first = |(load, of): (usize, &Load)| RackTime { time_s: of.in_s, what: Move::In, load, visit: 0 };
        let coming = loads.iter().enumerate().map(first).collect();
        Racks { loads, coming, plating_m2: 0.0, plating: 0, inside: 0 }
    }

    /// Area that plates, m².
    pub fn area_m2(&self) -> f64 {
        self.plating_m2
    }

    /// True when no rack hangs in the tank.
    pub fn none_inside(&self) -> bool {
        self.inside == 0
    }

    /// Clock time of the next move, s; infinite when there is none.
    pub fn next_s(&self) -> f64 {
        self.coming.peek().map_or(f64::INFINITY, |moment| moment.time_s)
    }

    /// The next move due at or before a clock time.
    pub fn next_due(&mut self, time_s: f64) -> Option<RackTime> {
        if self.next_s() > time_s {
            return None;
        }
        let moment = self.coming.pop()?;
        let load = &self.loads[moment.load];
        match moment.what {
            Move::In => {
                self.inside += 1;
                let leaves_s = moment.time_s + load.stay_s;
                let starts_s = moment.time_s + load.induction_s;
                self.coming.push(RackTime { time_s: leaves_s, what: Move::Out, ..moment });
                if starts_s < leaves_s {
                    self.coming.push(RackTime { time_s: starts_s, what: Move::Starts, ..moment });
                }
                let visit = moment.visit + 1;
                if visit < load.count {
                    let time_s = load.in_s + f64::from(visit) * load.every_s;
                    self.coming.push(RackTime { time_s, visit, ..moment });
                }
            }
            Move::Starts => {
                self.plating += 1;
                self.plating_m2 += load.area_m2;
            }
            Move::Out => {
                self.inside -= 1;
                if load.induction_s < load.stay_s {
                    self.plating -= 1;
                    // Sums and differences of areas must not leave a trace of a rack behind.
                    self.plating_m2 = if self.plating == 0 { 0.0 } else { self.plating_m2 - load.area_m2 };
                }
            }
        }
        Some(moment)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn racks_come_start_and_go() {
        let loads = [Load {
            name: "rack".into(),
            area_m2: 0.5,
            weighed_g: None,
            in_s: 100.0,
            stay_s: 50.0,
            every_s: 60.0,
            count: 2,
            substrate: None,
            induction_s: 5.0,
            drain_s: None,
        }];
        let mut racks = Racks::new(&loads);
        let mut seen = Vec::new();
        while racks.next_s().is_finite() {
            let now = racks.next_s();
            while let Some(moment) = racks.next_due(now) {
                seen.push((moment.time_s, moment.what, racks.area_m2()));
            }
        }
        let expected = [
            (100.0, Move::In, 0.0),
            (105.0, Move::Starts, 0.5),
            (150.0, Move::Out, 0.0),
            (160.0, Move::In, 0.0),
            (165.0, Move::Starts, 0.5),
            (210.0, Move::Out, 0.0),
        ];
        assert_eq!(seen, expected);
        assert!(racks.none_inside());
    }
}
