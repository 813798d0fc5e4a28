//! What the control asks of the air of a log.

use room::{Humidity, Room, Setpoint};

use super::series::Series;

/// How far the air of a step is more humid than the setpoint, over half the
/// deadband; `None` where the air is unknown or nothing is set.
pub(crate) fn over_setpoint(room: &Room, series: &Series, step: usize) -> Option<f64> {
    if !series.knows(step) {
        return None;
    }
    let second = f64::from(series.second[step]);
    let set = if room.lights_on_at(second) {
        &room.control.lights_on
    } else {
        &room.control.lights_off
    };
    let target = room.target_at(second);
    let set = set.as_ref().map(|s| s.value).or_else(|| {
        target.humidity.map(|h| match h {
            Humidity::RelHumidity(b) => Setpoint::RelHumidity(b.likely),
            Humidity::VpdPa(b) => Setpoint::VpdPa(b.likely),
            Humidity::DewPointC(b) => Setpoint::DewPointC(b.likely),
        })
    });
    Some(match set? {
        Setpoint::RelHumidity(x) => {
            (series.rel_humidity[step] - x) / (room.control.deadband.value / 2.0)
        }
        Setpoint::VpdPa(x) => {
            (x - series.vpd_pa[step]) / (room.control.deadband_vpd_pa.value / 2.0)
        }
        Setpoint::DewPointC(x) => {
            (series.dew_point_c[step] - x) / (room.control.deadband_dew_point_k.value / 2.0)
        }
    })
}
