//! Periods of the day, and the target at any second of it.

use quantity::Band;
use serde::Serialize;

use crate::light::Light;
use crate::target::{Humidity, Target, Targets};

/// A period of the day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Period {
    /// Lights on or ramping. A room without lights has no such period.
    LightsOn,
    /// The first time after lights-off.
    Transition,
    /// The rest of the dark.
    LightsOff,
}

impl Period {
    /// All periods in the order of a day that starts with lights-on.
    pub const ALL: [Self; 3] = [Self::LightsOn, Self::Transition, Self::LightsOff];
}

/// Target at one moment, after ramps.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct TargetNow {
    /// Dry bulb \[°C\].
    pub dry_bulb_c: Band,
    /// Humidity.
    pub humidity: Option<Humidity>,
}

impl Targets {
    /// Target of a period.
    pub fn of(&self, period: Period) -> &Target {
        match period {
            Period::LightsOn => &self.lights_on,
            Period::Transition => &self.transition,
            Period::LightsOff => &self.lights_off,
        }
    }

    /// The period at a second after midnight.
    pub fn period_at(&self, light: Option<&Light>, second_of_day: f64) -> Period {
        match light.map(|l| l.since_off_s(second_of_day)) {
            // No lights, or lights that never come on: one even period.
            None => Period::LightsOff,
            Some(None) => Period::LightsOn,
            Some(Some(_)) if light.is_some_and(|l| l.photoperiod_s.value <= 0.0) => {
                Period::LightsOff
            }
            Some(Some(since_off_s)) if since_off_s < self.transition_s.value => Period::Transition,
            Some(Some(_)) => Period::LightsOff,
        }
    }

    /// The target at a second after midnight. The dry bulb ramps; the humidity
    /// is that of the period.
    pub fn at(&self, light: Option<&Light>, second_of_day: f64) -> TargetNow {
        let period = self.period_at(light, second_of_day);
        let target = self.of(period);
        let dry_bulb_c = match (light, period) {
            (Some(light), Period::LightsOn) if light.photoperiod_s.value < 86_400.0 => {
                let since_on_s = (second_of_day - f64::from(light.on_s.value)).rem_euclid(86_400.0);
                let from = &self.lights_off;
                ramp(from, target, since_on_s, self.ramp_up_s.value)
            }
            (Some(light), _) if light.photoperiod_s.value > 0.0 => {
                let since_off_s = light.since_off_s(second_of_day).unwrap_or(0.0);
                ramp(&self.lights_on, target, since_off_s, self.ramp_down_s.value)
            }
            _ => target.dry_bulb_c.value,
        };
        TargetNow {
            dry_bulb_c,
            humidity: target.humidity.as_ref().map(|h| h.value),
        }
    }
}

/// Dry bulb on the way from one target to another \[°C\].
fn ramp(from: &Target, to: &Target, since_s: f64, ramp_s: f64) -> Band {
    let (from, to) = (from.dry_bulb_c.value, to.dry_bulb_c.value);
    if since_s >= ramp_s {
        return to;
    }
    let share = since_s / ramp_s;
    let mix = |a: f64, b: f64| a + (b - a) * share;
    Band {
        low: mix(from.low, to.low),
        likely: mix(from.likely, to.likely),
        high: mix(from.high, to.high),
    }
}
