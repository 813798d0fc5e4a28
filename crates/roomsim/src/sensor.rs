//! What the humidity controller reads.

use crate::saturation::Saturation;
use crate::setup::HumiditySpan;
use crate::timetable::Humidity;

/// A lagging, offset humidity sensor.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sensor {
    /// Share of the way to the true value in a step.
    follow: f64,
    offset: f64,
    rel_humidity: f64,
}

/// How far the reading is on the humid side, and what spans mean in the same
/// terms.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Excess {
    pub(crate) value: f64,
    pub(crate) half_deadband: f64,
    pub(crate) stage: f64,
}

impl Sensor {
    pub(crate) fn new(lag_s: f64, offset: f64, rel_humidity: f64, step_s: f64) -> Self {
        Self {
            follow: if lag_s > 0.0 {
                1.0 - (-step_s / lag_s).exp()
            } else {
                1.0
            },
            offset,
            rel_humidity,
        }
    }

    /// Follows the room.
    #[inline]
    pub(crate) fn follow(&mut self, rel_humidity: f64) {
        self.rel_humidity += self.follow * (rel_humidity - self.rel_humidity);
    }

    /// Reading against a setpoint; positive is too humid.
    #[inline]
    pub(crate) fn excess(
        &self,
        setpoint: Humidity,
        deadband: &HumiditySpan,
        stage: &HumiditySpan,
        air_saturation_pa: f64,
        table: &Saturation,
    ) -> Excess {
        let reading = self.rel_humidity + self.offset;
        match setpoint {
            Humidity::Relative(rh) => Excess {
                value: reading - rh,
                half_deadband: 0.5 * deadband.rel_humidity,
                stage: stage.rel_humidity,
            },
            Humidity::VpdPa(vpd_pa) => Excess {
                value: vpd_pa - (1.0 - reading) * air_saturation_pa,
                half_deadband: 0.5 * deadband.vpd_pa,
                stage: stage.vpd_pa,
            },
            Humidity::DewPointC(dew_c) => {
                // Kelvins of dew point, with the slope at the setpoint: exact
                // where it is decided, at the setpoint.
                let at_setpoint = table.pressure(dew_c);
                Excess {
                    value: (reading * air_saturation_pa - at_setpoint.value) / at_setpoint.per_k,
                    half_deadband: 0.5 * deadband.dew_point_k,
                    stage: stage.dew_point_k,
                }
            }
        }
    }
}
