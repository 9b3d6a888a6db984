//! Stops at known times: work in and out, analyses, doses by the clock, water by hand, declared events, temperature.

use crate::tank::{Event, Occasion, PhPolicy, RackTime, Racks, Ramp, Tank, When, Work};

/// What has been of a declared event.
#[derive(Debug, Clone, Copy, Default)]
struct Done {
    times: u32,
}

impl Done {
    /// Clock time (s) or turnovers of the next; infinite when it is over.
    fn next(self, event: &Event) -> f64 {
        let (at, every) = match event.when {
            When::Clock { at_s, every_s } => (at_s, every_s),
            When::Turnovers { at, every } => (at, every),
        };
        // Multiplied, not summed: the thousandth repeat of a third of an hour is where it was declared.
        if self.times < event.count { at + f64::from(self.times) * every } else { f64::INFINITY }
    }
}

/// A time multiplied out is the time somebody wrote to within this part of it.
const TIME_TOLERANCE: f64 = 1e-12;

/// The stops of a tank that are known before they come.
pub struct Schedule<'a> {
    tank: &'a Tank,
    racks: Racks<'a>,
    /// Since when no work has been in the tank, s; none while there is some.
    idle_since_s: Option<f64>,
    analysis_s: f64,
    ph_s: f64,
    water_s: f64,
    /// Next dose of every occasion; infinite when not by the clock.
    doses_s: Vec<f64>,
    events: Vec<Done>,
}

impl<'a> Schedule<'a> {
    /// The schedule of a tank from its make-up.
    pub fn new(tank: &'a Tank) -> Self {
        let loads: &[_] = if let Work::Loads(loads) = &tank.operation.work { loads.racks() } else { &[] };
        Schedule {
            tank,
            racks: Racks::new(loads),
            idle_since_s: Some(0.0),
            analysis_s: analysis_interval_s(tank),
            ph_s: ph_interval_s(tank),
            doses_s: tank.operation.occasions().map(|(_, occasion)| occasion.interval_s()).collect(),
            water_s: tank.operation.water_interval_s.unwrap_or(f64::INFINITY),
            events: vec![Done::default(); tank.operation.events.len()],
        }
    }

    /// Leaves out what was due up to a clock time, s, or so many turnovers; racks that hang in the tank then do.
    pub fn skip_to(&mut self, time_s: f64, turnovers: f64) {
        while self.next_move(time_s).is_some() {}
        self.analysis_due(time_s);
        self.ph_due(time_s);
        self.water_due(time_s);
        for (number, (_, occasion)) in self.tank.operation.occasions().enumerate() {
            self.dose_due(number, occasion, time_s);
        }
        for event in 0..self.events.len() {
            while self.event_due(event, time_s, turnovers) {}
        }
    }

    /// Area that plates just after a clock time, m².
    pub fn area_m2(&self, time_s: f64) -> f64 {
        match &self.tank.operation.work {
            Work::Steady(shifts) => shifts.area_at_m2(time_s),
            Work::Loads(_) => self.racks.area_m2(),
        }
    }

    fn next_work_s(&self, time_s: f64) -> f64 {
        match &self.tank.operation.work {
            Work::Steady(shifts) => shifts.next_change_s(time_s),
            Work::Loads(_) => self.racks.next_s(),
        }
    }

    /// Notes whether work is in the tank from a clock time on.
    pub fn note_work(&mut self, time_s: f64) {
        let idle = match &self.tank.operation.work {
            Work::Steady(shifts) => shifts.area_at_m2(time_s) == 0.0,
            Work::Loads(_) => self.racks.none_inside(),
        };
        self.idle_since_s = if idle { self.idle_since_s.or(Some(time_s)) } else { None };
    }

    /// The temperature from a clock time on.
    pub fn ramp(&self, time_s: f64) -> Ramp {
        let idle = self.idle_since_s.map(|since| (since, self.next_work_s(time_s)));
        self.tank.operation.programme.ramp(self.tank.operation.temperature_k, time_s, idle)
    }

    /// The first stop after a clock time, s; infinite when there is none.
    pub fn next_s(&self, time_s: f64, ramp: &Ramp) -> f64 {
        let events = self.tank.operation.events.iter().zip(&self.events);
        let clocked = events.filter(|(event, _)| matches!(event.when, When::Clock { .. }));
        [ramp.until_s, self.analysis_s, self.ph_s, self.water_s]
            .into_iter()
            .chain(self.doses_s.iter().copied())
            .chain(clocked.map(|(event, done)| done.next(event)))
            // What fell due while nobody was there waits for the next stop with work.
            .filter(|stop_s| *stop_s > time_s)
            .fold(self.next_work_s(time_s), f64::min)
    }

    /// True while work is in the tank.
    pub fn is_working(&self) -> bool {
        self.idle_since_s.is_none()
    }

    /// The next move of a rack due by a clock time.
    pub fn next_move(&mut self, time_s: f64) -> Option<RackTime> {
        self.racks.next_due(time_s)
    }

    /// True once for an analysis due by a clock time.
    pub fn analysis_due(&mut self, time_s: f64) -> bool {
        due(&mut self.analysis_s, analysis_interval_s(self.tank), time_s)
    }

    /// True once for a correction of the pH due by a clock time.
    pub fn ph_due(&mut self, time_s: f64) -> bool {
        due(&mut self.ph_s, ph_interval_s(self.tank), time_s)
    }

    /// True once for a dose by the clock, of occasion number so-and-so, due by a clock time.
    pub fn dose_due(&mut self, number: usize, occasion: Occasion, time_s: f64) -> bool {
        due(&mut self.doses_s[number], occasion.interval_s(), time_s)
    }

    /// True once for a filling up due by a clock time.
    pub fn water_due(&mut self, time_s: f64) -> bool {
        due(&mut self.water_s, self.tank.operation.water_interval_s.unwrap_or(f64::INFINITY), time_s)
    }

    /// Turnovers at which a declared event is next due; none when it goes by the clock or is over.
    pub fn event_turnovers(&self, event: usize) -> Option<f64> {
        let by_turnovers = matches!(self.tank.operation.events[event].when, When::Turnovers { .. });
        let next = self.events[event].next(&self.tank.operation.events[event]);
        (by_turnovers && next.is_finite()).then_some(next)
    }

    /// True once for each time a declared event is due by a clock time and turnovers.
    pub fn event_due(&mut self, event: usize, time_s: f64, turnovers: f64) -> bool {
        let declared = &self.tank.operation.events[event];
        let by = match declared.when {
            When::Clock { .. } => time_s * (1.0 + TIME_TOLERANCE),
            When::Turnovers { .. } => turnovers,
        };
        let due = self.events[event].next(declared) <= by;
        self.events[event].times += u32::from(due);
        due
    }
}

/// True when a repeated stop has come; then it waits for the next.
fn due(next_s: &mut f64, interval_s: f64, time_s: f64) -> bool {
    if *next_s > time_s {
        return false;
    }
    while *next_s <= time_s {
        *next_s += interval_s;
    }
    true
}

/// Time between analyses, s; infinite when the policy knows none.
fn analysis_interval_s(tank: &Tank) -> f64 {
    tank.operation.policies.analysis().map_or(f64::INFINITY, |analysis| analysis.interval_s)
}

/// Time between corrections of the pH, s; infinite when the policy knows none.
fn ph_interval_s(tank: &Tank) -> f64 {
    if let PhPolicy::Interval { interval_s, .. } = tank.operation.policies.ph {
        interval_s
    } else {
        f64::INFINITY
    }
}
