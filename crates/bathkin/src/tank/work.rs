//! The work that passes through: a steady load in working hours, or racks on a calendar.

use std::sync::Arc;

use crate::constants::SECONDS_PER_HOUR;

const DAY_S: f64 = 24.0 * SECONDS_PER_HOUR;
const WEEK_DAYS: f64 = 7.0;

/// A rack: so much area, in the tank for so long, perhaps again and again.
#[derive(Debug, Clone, PartialEq)]
pub struct Load {
    /// Name, for the records.
    pub name: String,
    /// Area, m².
    pub area_m2: f64,
    /// What it gained on a balance, g, when somebody weighed it.
    pub weighed_g: Option<f64>,
    /// Clock time of going in, s.
    pub in_s: f64,
    /// Time in the tank, s.
    pub stay_s: f64,
    /// Time between repeats, s; zero when it comes once.
    pub every_s: f64,
    /// How often it comes.
    pub count: u32,
    /// What it is made of, when the calendar says.
    pub substrate: Option<String>,
    /// Time in the tank before it plates, s.
    pub induction_s: f64,
    /// Time it drains over the tank, s; none: the tank's own.
    pub drain_s: Option<f64>,
}

/// An area kept in the tank during working hours, plated to a thickness and replaced.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shifts {
    /// Area in the tank, m².
    pub area_m2: f64,
    /// Thickness each piece gets, um: with the rate it tells the area that passes.
    pub thickness_um: f64,
    /// Hours worked per day, from the start of the day.
    pub hours_per_day: f64,
    /// Days worked per week, from the start of the week.
    pub days_per_week: f64,
}

/// The racks of a calendar; copies share them.
#[derive(Debug, Clone, PartialEq)]
pub struct Loads {
    racks: Arc<[Load]>,
    /// Looked for once: it is asked for at every reading.
    least_area_m2: f64,
}

impl Loads {
    /// These racks.
    pub fn new(racks: Vec<Load>) -> Self {
        let least_area_m2 = racks.iter().map(|load| load.area_m2).fold(f64::INFINITY, f64::min);
        Loads { racks: racks.into(), least_area_m2 }
    }

    /// The racks, in the order they were declared.
    pub fn racks(&self) -> &[Load] {
        &self.racks
    }
}

/// What passes through the tank.
#[derive(Debug, Clone, PartialEq)]
pub enum Work {
    /// A steady load in shifts.
    Steady(Shifts),
    /// Racks on a calendar.
    Loads(Loads),
}

impl Work {
    /// Area the bath is judged by, m²: what is kept in the tank, or the smallest rack, in which
    /// plate-out weighs most.
    pub fn least_area_m2(&self) -> f64 {
        match self {
            Work::Steady(shifts) => shifts.area_m2,
            Work::Loads(loads) => loads.least_area_m2,
        }
    }

    /// Thickness each piece gets, um, when the work is steady.
    pub fn thickness_um(&self) -> Option<f64> {
        match self {
            Work::Steady(shifts) => Some(shifts.thickness_um),
            Work::Loads(_) => None,
        }
    }
}

impl Shifts {
    /// Area in the tank just after a clock time, m².
    pub fn area_at_m2(&self, time_s: f64) -> f64 {
        let day = (time_s / DAY_S).floor();
        let into_day = time_s - day * DAY_S;
        let working =
            day % WEEK_DAYS < self.days_per_week && into_day < self.hours_per_day * SECONDS_PER_HOUR;
        if working { self.area_m2 } else { 0.0 }
    }

    /// The first clock time after `time_s` at which the area changes, s; infinite when it never does.
    pub fn next_change_s(&self, time_s: f64) -> f64 {
        if self.hours_per_day >= 24.0 && self.days_per_week >= WEEK_DAYS {
            return f64::INFINITY;
        }
        let day = (time_s / DAY_S).floor();
        // Ends and starts of the shifts of a week are enough to look through.
        (0..=8)
            .flat_map(|ahead| {
                let start = (day + f64::from(ahead)) * DAY_S;
                [start, start + self.hours_per_day * SECONDS_PER_HOUR]
            })
            .filter(|change| *change > time_s && self.area_at_m2(*change) != self.area_at_m2(time_s))
            .fold(f64::INFINITY, f64::min)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn works_its_week() {
        let shop = Shifts { area_m2: 1.0, thickness_um: 25.0, hours_per_day: 8.0, days_per_week: 5.0 };
        let hour = SECONDS_PER_HOUR;
        assert_eq!(shop.area_at_m2(0.0), 1.0);
        assert_eq!(shop.area_at_m2(8.0 * hour), 0.0);
        assert_eq!(shop.next_change_s(0.0), 8.0 * hour);
        assert_eq!(shop.next_change_s(8.0 * hour), 24.0 * hour);
        // Friday evening: the next change is Monday morning.
        assert_eq!(shop.next_change_s((4.0 * 24.0 + 8.0) * hour), 7.0 * 24.0 * hour);
        assert_eq!(shop.area_at_m2(5.5 * 24.0 * hour), 0.0);
    }
}
