//! Setpoints by period, from the targets or the room file.

use quantity::{Dim, Value};
use room::{Humidity, Period, Room, Setpoint, Target};

use crate::settable::{Wanted, settable, stays_inside, wanted};

/// What is set on the control for a period.
#[derive(Clone, Debug, PartialEq)]
pub struct Setting {
    /// Period.
    pub period: Period,
    /// When it holds, in words: a room without lights has no "lights off".
    pub when: &'static str,
    /// Setpoint.
    pub setpoint: Value,
    /// Where the control cannot be set to what is wanted.
    pub moved: Option<Moved>,
    /// Whole width between on and off.
    pub deadband: Value,
    /// Where units start.
    pub on_at: Value,
    /// Where units stop.
    pub off_at: Value,
    /// Least and greatest of the target, in the setpoint's quantity; `None`
    /// where the target is of another kind.
    pub band: Option<[Value; 2]>,
    /// What could be set so that units start and stop inside the target.
    pub inside: Option<Value>,
}

/// A setpoint that the control does not have.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moved {
    /// What is wanted.
    pub from: Value,
    /// What to set.
    pub to: Value,
    /// Where units start with that.
    pub on_at: Value,
    /// Where they stop with that.
    pub off_at: Value,
    /// Steps of the control.
    pub step: Value,
    /// Whether the room file says what is wanted; then it stands as it says.
    pub said: bool,
}

/// A setting for each period that the room has, where one can be read.
///
/// - `step`: the coarsest step of relative humidity of those where it is set
pub(super) fn settings(room: &Room, step: Option<f64>) -> Vec<Setting> {
    [Period::LightsOn, Period::LightsOff]
        .into_iter()
        .filter(|period| 0.0 < room.period_length_s(*period))
        .filter_map(|period| {
            let wanted = wanted(room, period, step)?;
            let target = room.targets.of(period);
            let set = Setting {
                moved: step.and_then(|step| moved(wanted, room.control.deadband.value, step)),
                ..setting(room, period, target, wanted.set())
            };
            Some(Setting {
                inside: inside(&set, step),
                ..set
            })
        })
        .collect()
}

/// Where a relative humidity is not on a step.
fn moved(wanted: Wanted, deadband: f64, step: f64) -> Option<Moved> {
    let (Setpoint::RelHumidity(from), Setpoint::RelHumidity(to)) = (wanted.setpoint, wanted.can_be)
    else {
        return None;
    };
    let value = |x: f64| Value::new(x, Dim::RelHumidity);
    (1e-9 < (to - from).abs()).then(|| Moved {
        from: value(from),
        to: value(to),
        on_at: value(to + 0.5 * deadband),
        off_at: value(to - 0.5 * deadband),
        step: Value::new(step, Dim::RelHumidityDifference).digits(2),
        said: wanted.said,
    })
}

/// What could be set so that units start and stop inside the target: near its
/// middle, on a step where a humidity goes in steps.
fn inside(set: &Setting, step: Option<f64>) -> Option<Value> {
    let band = set.band?.map(|b| b.si);
    let middle = 0.5 * (band[0] + band[1]);
    let at = match step {
        Some(step) if set.setpoint.dim == Dim::RelHumidity => {
            settable(middle, band, set.deadband.si, step)
        }
        _ => middle,
    };
    stays_inside(at, band, set.deadband.si).then(|| Value::new(at, set.setpoint.dim))
}

fn setting(room: &Room, period: Period, target: &Target, setpoint: Setpoint) -> Setting {
    let c = &room.control;
    let band = target.humidity.as_ref().map(|h| h.value);
    let (at, width, dims, band, drier) = match (setpoint, band) {
        (Setpoint::RelHumidity(x), b) => (
            x,
            c.deadband.value,
            (Dim::RelHumidity, Dim::RelHumidityDifference),
            match b {
                Some(Humidity::RelHumidity(b)) => Some(b),
                _ => None,
            },
            -1.0,
        ),
        // A greater deficit is drier air: units start below.
        (Setpoint::VpdPa(x), b) => (
            x,
            c.deadband_vpd_pa.value,
            (Dim::VapourPressure, Dim::VapourPressure),
            match b {
                Some(Humidity::VpdPa(b)) => Some(b),
                _ => None,
            },
            1.0,
        ),
        (Setpoint::DewPointC(x), b) => (
            x,
            c.deadband_dew_point_k.value,
            (Dim::Temperature, Dim::TemperatureDifference),
            match b {
                Some(Humidity::DewPointC(b)) => Some(b),
                _ => None,
            },
            -1.0,
        ),
    };
    let value = |x: f64| Value::new(x, dims.0);
    Setting {
        period,
        when: when(room, period),
        setpoint: value(at),
        moved: None,
        deadband: Value::new(width, dims.1).digits(2),
        on_at: value(at - 0.5 * drier * width),
        off_at: value(at + 0.5 * drier * width),
        band: band.map(|b| [value(b.low), value(b.high)]),
        inside: None,
    }
}

const DAY_S: f64 = 86_400.0;

fn when(room: &Room, period: Period) -> &'static str {
    if DAY_S <= room.period_length_s(period) {
        return "all hours";
    }
    match period {
        Period::LightsOn => "lights on",
        Period::Transition => "lights just off",
        Period::LightsOff => "lights off",
    }
}
