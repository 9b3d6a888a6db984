//! The work that passes through: a steady load in working hours, or racks on a calendar.

use crate::constants::SECONDS_PER_HOUR;

const DAY_S: f64 = 24.0 * SECONDS_PER_HOUR;
const WEEK_DAYS: f64 = 7.0;

/// A rack: so much area, in the tank for so long, perhaps again and again.
#[derive(Debug, Clone, PartialEq)]
pub struct Load {
    /// Name, for the ledger.
    pub name: String,
    /// Area, m².
    pub area_m2: f64,
    /// Clock time of going in, s.
    pub in_s: f64,
    /// Time in the tank, s.
    pub stay_s: f64,
    /// Time between repeats, s; zero when it comes once.
    pub every_s: f64,
    /// How often it comes.
    pub count: u32,
}

/// What passes through the tank.
#[derive(Debug, Clone, PartialEq)]
pub enum Work {
    /// An area kept in the tank during working hours, plated to a thickness and replaced.
    Steady {
        /// Area in the tank, m².
        area_m2: f64,
        /// Thickness each piece gets, um: with the rate it tells the area that passes.
        thickness_um: f64,
        /// Hours worked per day, from the start of the day.
        hours_per_day: f64,
        /// Days worked per week, from the start of the week.
        days_per_week: f64,
    },
    /// Racks on a calendar.
    Loads(Vec<Load>),
}

impl Work {
    /// Area in the tank just after a clock time, m².
    pub fn area_m2(&self, time_s: f64) -> f64 {
        match self {
            Work::Steady { area_m2, hours_per_day, days_per_week, .. } => {
                let day = (time_s / DAY_S).floor();
                let into_day = time_s - day * DAY_S;
                let working = day % WEEK_DAYS < *days_per_week && into_day < hours_per_day * SECONDS_PER_HOUR;
                if working { *area_m2 } else { 0.0 }
            }
            Work::Loads(loads) => loads.iter().map(|load| load.area_at(time_s)).sum(),
        }
    }

    /// Area the bath is judged by, m²: what is kept in the tank, or the smallest rack, in which
    /// plate-out weighs most.
    pub fn least_area_m2(&self) -> f64 {
        match self {
            Work::Steady { area_m2, .. } => *area_m2,
            Work::Loads(loads) => loads.iter().map(|load| load.area_m2).fold(f64::INFINITY, f64::min),
        }
    }

    /// The first clock time after `time_s` at which the area changes, s; infinite when it never does.
    pub fn next_change_s(&self, time_s: f64) -> f64 {
        match self {
            Work::Steady { hours_per_day, days_per_week, .. } => {
                let always = *hours_per_day >= 24.0 && *days_per_week >= WEEK_DAYS;
                if always {
                    return f64::INFINITY;
                }
                let day = (time_s / DAY_S).floor();
                // Ends and starts of the shifts of a week are enough to look through.
                (0..=8)
                    .flat_map(|ahead| {
                        let start = (day + f64::from(ahead)) * DAY_S;
                        [start, start + hours_per_day * SECONDS_PER_HOUR]
                    })
                    .filter(|change| *change > time_s && self.area_m2(*change) != self.area_m2(time_s))
                    .fold(f64::INFINITY, f64::min)
            }
            Work::Loads(loads) => {
                loads.iter().map(|load| load.next_change_s(time_s)).fold(f64::INFINITY, f64::min)
            }
        }
    }

    /// Area that leaves the tank exactly at a clock time, m² (racks only).
    pub fn area_out_m2(&self, time_s: f64) -> f64 {
        match self {
            Work::Steady { .. } => 0.0,
            Work::Loads(loads) => {
                loads.iter().filter(|load| load.leaves_at(time_s)).map(|load| load.area_m2).sum()
            }
        }
    }

    /// Thickness each piece gets, um, when the work is steady.
    pub fn thickness_um(&self) -> Option<f64> {
        match self {
            Work::Steady { thickness_um, .. } => Some(*thickness_um),
            Work::Loads(_) => None,
        }
    }
}

impl Load {
    fn starts(&self) -> impl Iterator<Item = f64> + '_ {
        (0..self.count).map(|n| self.in_s + f64::from(n) * self.every_s)
    }

    /// Starts that can matter around a time, without walking a year of repeats.
    fn starts_near(&self, time_s: f64) -> impl Iterator<Item = f64> + '_ {
        let first = if self.every_s > 0.0 {
            (((time_s - self.stay_s - self.in_s) / self.every_s).floor().max(0.0)) as usize
        } else {
            0
        };
        let overlap = if self.every_s > 0.0 { (self.stay_s / self.every_s).ceil() as usize + 3 } else { 1 };
        self.starts().skip(first).take(overlap)
    }

    fn area_at(&self, time_s: f64) -> f64 {
        let inside =
            self.starts_near(time_s).filter(|start| *start <= time_s && time_s < start + self.stay_s).count();
        inside as f64 * self.area_m2
    }

    fn next_change_s(&self, time_s: f64) -> f64 {
        self.starts_near(time_s)
            .flat_map(|start| [start, start + self.stay_s])
            .filter(|change| *change > time_s)
            .fold(f64::INFINITY, f64::min)
    }

    fn leaves_at(&self, time_s: f64) -> bool {
        self.starts_near(time_s).any(|start| start + self.stay_s == time_s)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shop() -> Work {
        Work::Steady { area_m2: 1.0, thickness_um: 25.0, hours_per_day: 8.0, days_per_week: 5.0 }
    }

    #[test]
    fn works_its_week() {
        let hour = SECONDS_PER_HOUR;
        assert_eq!(shop().area_m2(0.0), 1.0);
        assert_eq!(shop().area_m2(8.0 * hour), 0.0);
        assert_eq!(shop().next_change_s(0.0), 8.0 * hour);
        assert_eq!(shop().next_change_s(8.0 * hour), 24.0 * hour);
        // Friday evening: the next change is Monday morning.
        assert_eq!(shop().next_change_s((4.0 * 24.0 + 8.0) * hour), 7.0 * 24.0 * hour);
        assert_eq!(shop().area_m2(5.5 * 24.0 * hour), 0.0);
    }

    #[test]
    fn racks_come_and_go() {
        let rack =
            Load { name: "rack".into(), area_m2: 0.5, in_s: 100.0, stay_s: 50.0, every_s: 60.0, count: 3 };
        let work = Work::Loads(vec![rack]);
        assert_eq!(work.area_m2(99.0), 0.0);
        assert_eq!(work.next_change_s(0.0), 100.0);
        assert_eq!(work.area_m2(100.0), 0.5);
        assert_eq!(work.next_change_s(100.0), 150.0);
        assert_eq!(work.area_out_m2(150.0), 0.5);
        assert_eq!(work.area_m2(155.0), 0.0);
        assert_eq!(work.next_change_s(270.0), f64::INFINITY);
    }
}
