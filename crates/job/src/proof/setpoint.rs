//! What the control asks of the air of a log.

use room::{Room, Setpoint};

use super::series::Series;
use crate::settable::wanted;

/// How far the air of a step is more humid than the setpoint, over half the
/// deadband; `None` where the air is unknown or nothing is set.
///
/// - `goes_in`: the coarsest step of relative humidity of those where it is set
pub(crate) fn over_setpoint(
    room: &Room,
    goes_in: Option<f64>,
    series: &Series,
    step: usize,
) -> Option<f64> {
    if !series.knows(step) {
        return None;
    }
    let second = f64::from(series.second[step]);
    let wanted = wanted(room, room.period_at(second), goes_in)?;
    Some(match wanted.set() {
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
