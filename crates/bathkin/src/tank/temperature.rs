//! The temperature of the tank over its days: set-points, heat-up, idle hold.
//!
//! Between changes the temperature is constant or moves along a straight line. A tank with an idle
//! temperature leaves its set-point when the work is out for long enough to go down and come back,
//! and is hot again when the next work goes in.

/// A straight piece of the temperature over time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ramp {
    /// Clock time it starts, s.
    pub since_s: f64,
    /// Temperature there, K.
    pub from_k: f64,
    /// Slope, K/s.
    pub slope_k_s: f64,
    /// Clock time it ends, s; infinite when nothing follows.
    pub until_s: f64,
}

impl Ramp {
    /// A temperature held for good.
    pub fn held(kelvin: f64) -> Self {
        Ramp { since_s: 0.0, from_k: kelvin, slope_k_s: 0.0, until_s: f64::INFINITY }
    }

    /// Temperature at a clock time, K.
    pub fn at_k(&self, time_s: f64) -> f64 {
        self.from_k + self.slope_k_s * (time_s - self.since_s)
    }

    /// Straight between two (s, K).
    pub fn between(from: (f64, f64), to: (f64, f64)) -> Self {
        let slope = (to.1 - from.1) / (to.0 - from.0);
        Ramp { since_s: from.0, from_k: from.1, slope_k_s: slope, until_s: to.0 }
    }
}

/// What the tank does while no work is in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Idle {
    /// Temperature it is held at, K.
    pub temperature_k: f64,
    /// Time the heater takes from there to the set-point, s.
    pub heat_up_s: f64,
    /// Time it takes to cool there, s.
    pub cool_down_s: f64,
}

impl Idle {
    /// The piece in force at a clock time of a stretch without work, whose ends are (s, K); none where it is too
    /// short to go down and come back: the tank stays hot.
    pub fn ramp(&self, time_s: f64, since: (f64, f64), until: (f64, f64)) -> Option<Ramp> {
        let cold_from = since.0 + self.cool_down_s;
        let cold_until = until.0 - self.heat_up_s;
        if cold_from > cold_until {
            return None;
        }
        Some(if time_s < cold_from {
            Ramp::between(since, (cold_from, self.temperature_k))
        } else if time_s < cold_until {
            Ramp { since_s: cold_from, from_k: self.temperature_k, slope_k_s: 0.0, until_s: cold_until }
        } else {
            Ramp::between((cold_until, self.temperature_k), until)
        })
    }
}

/// A change of the set-point at a clock time.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Name, as in the recipe.
    pub name: String,
    /// Clock time it starts, s.
    pub at_s: f64,
    /// Time it takes, s.
    pub over_s: f64,
    /// New set-point, K.
    pub temperature_k: f64,
}

/// The temperature programme of a tank.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Programme {
    /// What happens without work; none: the tank stays hot.
    pub idle: Option<Idle>,
    /// Changes of the set-point, in order of time, one over before the next starts.
    pub steps: Vec<Step>,
}

impl Programme {
    /// True when the temperature never moves.
    pub fn is_constant(&self) -> bool {
        self.idle.is_none() && self.steps.is_empty()
    }

    /// The set-point from a clock time on, K; `operating_k` holds before the first step.
    fn set_point(&self, operating_k: f64, time_s: f64) -> Ramp {
        let mut ramp = Ramp::held(operating_k);
        for step in &self.steps {
            if time_s < step.at_s {
                ramp.until_s = step.at_s;
                return ramp;
            }
            let start_k = ramp.from_k;
            let end_s = step.at_s + step.over_s;
            if time_s < end_s {
                return Ramp::between((step.at_s, start_k), (end_s, step.temperature_k));
            }
            ramp = Ramp { since_s: end_s, ..Ramp::held(step.temperature_k) };
        }
        ramp
    }

    /// The piece in force from `time_s` on. `idle_s` is the stretch without work around it: since when,
    /// and until when (infinite when no work follows); none while work is in the tank.
    pub fn ramp(&self, operating_k: f64, time_s: f64, idle_s: Option<(f64, f64)>) -> Ramp {
        let hot = self.set_point(operating_k, time_s);
        let (Some(idle), Some((since, until))) = (self.idle, idle_s) else { return hot };
        let (before, after) =
            (self.set_point(operating_k, since).at_k(since), self.set_point(operating_k, until).at_k(until));
        idle.ramp(time_s, (since, before), (until, after)).unwrap_or(hot)
    }
}

/// Vapour pressure of water over what it is at another temperature.
///
/// ln(p/p_c) = T_c/T (a1 u + a2 u^1.5 + a3 u^3 + a4 u^3.5 + a5 u^4 + a6 u^7.5), u = 1 - T/T_c
///
/// Source: W. Wagner & A. Pruss, J. Phys. Chem. Ref. Data 22 (1993) 783, eq. 1 (IAPWS SR1-86);
/// triple point to critical point.
pub fn vapour_pressure_ratio(temperature_k: f64, of_k: f64) -> f64 {
    (ln_vapour_pressure(temperature_k) - ln_vapour_pressure(of_k)).exp()
}

/// ln(p/p_c) of water.
fn ln_vapour_pressure(temperature_k: f64) -> f64 {
    const CRITICAL_K: f64 = 647.096;
    const TERMS: [(f64, f64); 6] = [
        (-7.859_517_83, 1.0),
        (1.844_082_59, 1.5),
        (-11.786_649_7, 3.0),
        (22.680_741_1, 3.5),
        (-15.961_871_9, 4.0),
        (1.801_225_02, 7.5),
    ];
    let u = 1.0 - temperature_k / CRITICAL_K;
    CRITICAL_K / temperature_k * TERMS.iter().map(|(a, power)| a * u.powf(*power)).sum::<f64>()
}

/// Evaporation of a bath at one temperature from what it is at another, L/h: in proportion to the
/// vapour pressure of water. Hoods, lids and salts are in the measured figure.
pub fn evaporation_l_h(at_operating_l_h: f64, operating_k: f64, temperature_k: f64) -> f64 {
    if at_operating_l_h == 0.0 || temperature_k == operating_k {
        return at_operating_l_h;
    }
    at_operating_l_h * vapour_pressure_ratio(temperature_k, operating_k)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::constants::ZERO_CELSIUS_K;

    #[test]
    fn vapour_pressures_of_the_release() {
        // IAPWS SR1-86 table: 273.16 K 611.657 Pa, 373.1243 K 0.101325 MPa.
        const CRITICAL_PA: f64 = 22.064e6;
        let pa = |kelvin: f64| CRITICAL_PA * ln_vapour_pressure(kelvin).exp();
        assert!((pa(273.16) - 611.657).abs() < 0.1, "{}", pa(273.16));
        assert!((pa(373.1243) - 101_325.0).abs() < 15.0, "{}", pa(373.1243));
    }

    #[test]
    fn cools_for_the_night_and_is_hot_in_the_morning() {
        let hot = 88.0 + ZERO_CELSIUS_K;
        let cold = 50.0 + ZERO_CELSIUS_K;
        let idle = Idle { temperature_k: cold, heat_up_s: 7200.0, cool_down_s: 3600.0 };
        let programme = Programme { idle: Some(idle), steps: Vec::new() };
        let night = Some((0.0, 57_600.0));
        let at = |time: f64| programme.ramp(hot, time, night).at_k(time);
        assert_eq!(at(0.0), hot);
        assert!((at(1800.0) - (hot + cold) / 2.0).abs() < 1e-9);
        assert_eq!(at(20_000.0), cold);
        assert!((programme.ramp(hot, 55_000.0, night).at_k(57_600.0) - hot).abs() < 1e-9);
        // Too short a break to go down and come back.
        assert_eq!(programme.ramp(hot, 100.0, Some((0.0, 7200.0))).at_k(100.0), hot);
        assert_eq!(programme.ramp(hot, 100.0, None), Ramp::held(hot));
    }

    #[test]
    fn the_set_point_steps() {
        let step = Step { name: "warmer".into(), at_s: 100.0, over_s: 50.0, temperature_k: 360.0 };
        let programme = Programme { idle: None, steps: vec![step] };
        assert_eq!(programme.ramp(350.0, 0.0, None).until_s, 100.0);
        assert_eq!(programme.ramp(350.0, 125.0, None).at_k(125.0), 355.0);
        assert_eq!(programme.ramp(350.0, 200.0, None).at_k(300.0), 360.0);
    }
}
