//! When the lights burned: as the log shows, else as the room file says.

use readings::Measure;
use room::{Period, Room};

use super::series::{Sensor, Series, middle};

/// What the lights-on and lights-off of the proof rest on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LightsFrom {
    /// A light channel of the log.
    Log,
    /// The hours of the room file on the wall clock of the log.
    RoomFile,
    /// The room has no lights.
    None,
}

impl LightsFrom {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Log => "seen in the log",
            Self::RoomFile => "by the hours of the room file; the log has no light",
            Self::None => "the room has no lights",
        }
    }
}

/// The lights over the steps.
#[derive(Clone, Debug, PartialEq)]
pub struct Lit {
    /// What it rests on.
    pub from: LightsFrom,
    /// Period of each step; `None` where the log does not show it.
    pub period: Vec<Option<Period>>,
    /// The second of the room file's day that each step is like: what targets
    /// and light are asked for at.
    pub like_s: Vec<f64>,
    /// Output of the lights as a share of full at each step; not a number where
    /// no room file tells of their ramps or the log does not show them.
    pub(super) share: Vec<f64>,
    /// Steps at which the lights came on.
    pub came_on: Vec<usize>,
    /// Steps at which they went out.
    pub went_out: Vec<usize>,
}

impl Lit {
    /// Whether the lights are known not to be on at a step, the time after they
    /// went out included.
    pub(crate) fn is_dark(&self, step: usize) -> bool {
        self.period[step].is_some_and(|p| p != Period::LightsOn)
    }
}

/// The least share of its range by which light must rise to be seen.
const LEAST_CONTRAST: f64 = 0.3;
/// Share of its range above which light counts as on.
const SEEN_FROM: f64 = 0.2;

/// Follows the lights.
pub(super) fn lit(room: &Room, series: &Series, sensors: &[Sensor]) -> Lit {
    let ever = room
        .light
        .as_ref()
        .is_some_and(|l| 0.0 < l.photoperiod_s.value);
    let seen = seen(series, sensors);
    match (seen, ever) {
        (Some(on), _) => from_log(room, series, &on),
        (None, true) => by_hours(room, series, LightsFrom::RoomFile),
        (None, false) => by_hours(room, series, LightsFrom::None),
    }
}

/// The lights as the log shows them, where no room file tells of a transition
/// or of targets by the hour; `None` if no channel tells.
pub(super) fn alone(series: &Series, sensors: &[Sensor]) -> Option<Lit> {
    let on = seen(series, sensors)?;
    let of = |from: bool| -> Vec<usize> {
        (1..on.len())
            .filter(|&i| on[i - 1] == Some(from) && on[i] == Some(!from))
            .collect()
    };
    let period = |lit: &bool| match lit {
        true => Period::LightsOn,
        false => Period::LightsOff,
    };
    Some(Lit {
        from: LightsFrom::Log,
        period: on.iter().map(|on| on.as_ref().map(period)).collect(),
        like_s: vec![f64::NAN; on.len()],
        share: vec![f64::NAN; on.len()],
        came_on: of(false),
        went_out: of(true),
    })
}

/// Whether light was seen at each step; `None` if no channel tells.
fn seen(series: &Series, sensors: &[Sensor]) -> Option<Vec<Option<bool>>> {
    let all = vec![true; sensors.len()];
    let level = middle(sensors, &all, Measure::Light, series.len());
    let mut sorted: Vec<f64> = level.iter().copied().filter(|x| x.is_finite()).collect();
    sorted.sort_by(f64::total_cmp);
    let (low, high) = (*sorted.first()?, *sorted.last()?);
    // A flash is no light: of the top, what lasts a twentieth of the time.
    let high = sorted[sorted.len() * 19 / 20].min(high);
    if high <= 0.0 || (high - low) < LEAST_CONTRAST * high {
        return None;
    }
    let threshold = low + SEEN_FROM * (high - low);
    Some(
        level
            .iter()
            .map(|x| x.is_finite().then_some(threshold < *x))
            .collect(),
    )
}

fn from_log(room: &Room, series: &Series, on: &[Option<bool>]) -> Lit {
    let (on_s, photoperiod_s) = room.light.as_ref().map_or((0.0, 43_200.0), |l| {
        (f64::from(l.on_s.value), l.photoperiod_s.value)
    });
    let transition_s = room.targets.transition_s.value;
    let mut lit = Lit {
        from: LightsFrom::Log,
        period: Vec::with_capacity(on.len()),
        like_s: Vec::with_capacity(on.len()),
        share: shares(room, series.step_s, on),
        came_on: Vec::new(),
        went_out: Vec::new(),
    };
    // Since when; `None` as long as no switching was seen.
    let mut since: Option<usize> = None;
    let mut before: Option<bool> = None;
    for (i, now) in on.iter().enumerate() {
        match (before, now) {
            (Some(false), Some(true)) => {
                lit.came_on.push(i);
                since = Some(i);
            }
            (Some(true), Some(false)) => {
                lit.went_out.push(i);
                since = Some(i);
            }
            (_, None) => since = None,
            _ => {}
        }
        before = *now;
        let passed_s = since.map(|s| (i - s) as f64 * series.step_s);
        let (period, like_s) = match now {
            None => (None, f64::NAN),
            Some(true) => {
                let into = passed_s.unwrap_or(photoperiod_s / 2.0);
                let into = into.min((photoperiod_s - 1.0).max(0.0));
                (Some(Period::LightsOn), on_s + into)
            }
            Some(false) => {
                let dark_s = 86_400.0 - photoperiod_s;
                let into = passed_s
                    .unwrap_or(dark_s / 2.0)
                    .min((dark_s - 1.0).max(0.0));
                let period = match passed_s {
                    Some(s) if s < transition_s => Period::Transition,
                    _ => Period::LightsOff,
                };
                (Some(period), on_s + photoperiod_s + into)
            }
        };
        lit.period.push(period);
        lit.like_s.push(like_s.rem_euclid(86_400.0));
    }
    lit
}

/// Output of the lights at each step by when they were seen to switch and the
/// ramps of the room file: light is seen from early in the ramp up to late in the
/// ramp down.
fn shares(room: &Room, step_s: f64, on: &[Option<bool>]) -> Vec<f64> {
    let Some(light) = &room.light else {
        return on.iter().map(|on| on.map_or(f64::NAN, |_| 0.0)).collect();
    };
    let ramp_s = light.ramp_s.value;
    let mut shares = Vec::with_capacity(on.len());
    for stretch in on.chunk_by(|a, b| a == b) {
        // A gap tells of no switching.
        let seen = |other: Option<&Option<bool>>| matches!(other, Some(Some(_)));
        let begins = shares.len();
        let begin_seen = 0 < begins && seen(on.get(begins - 1));
        let end_seen = seen(on.get(begins + stretch.len()));
        shares.extend(stretch.iter().enumerate().map(|(i, now)| {
            let away = |seen: bool, steps: f64| if seen { steps * step_s } else { f64::INFINITY };
            let since_s = away(begin_seen, i as f64 + 0.5);
            let until_s = away(end_seen, (stretch.len() - i) as f64 - 0.5);
            let ramps = since_s.min(until_s) / ramp_s;
            match now {
                None => f64::NAN,
                Some(true) if 0.0 < ramp_s => (SEEN_FROM + ramps).min(1.0),
                Some(false) if 0.0 < ramp_s => (SEEN_FROM - ramps).max(0.0),
                Some(lit) => f64::from(u8::from(*lit)),
            }
        }));
    }
    shares
}

fn by_hours(room: &Room, series: &Series, from: LightsFrom) -> Lit {
    let mut lit = Lit {
        from,
        period: Vec::with_capacity(series.len()),
        like_s: series.second.iter().map(|s| f64::from(*s)).collect(),
        share: series
            .second
            .iter()
            .map(|s| room.light_share_at(f64::from(*s)))
            .collect(),
        came_on: Vec::new(),
        went_out: Vec::new(),
    };
    for i in 0..series.len() {
        let period = room.period_at(lit.like_s[i]);
        let on = period == Period::LightsOn;
        if let Some(Some(before)) = lit.period.last() {
            let was_on = *before == Period::LightsOn;
            if on && !was_on {
                lit.came_on.push(i);
            } else if was_on && !on {
                lit.went_out.push(i);
            }
        }
        lit.period.push(Some(period));
    }
    lit
}
