//! Humidity control and heating.

use super::SetupError;
use super::range::{Allowed, NOT_NEGATIVE, number};
use crate::setup::{HeatingControl, Setup, Staging};

impl Setup {
    pub(super) fn check_control(&self) -> Result<(), SetupError> {
        let control = &self.humidity_control;
        for (what, value) in [
            ("humidity deadband", control.deadband.rel_humidity),
            ("VPD deadband, Pa", control.deadband.vpd_pa),
            ("dew-point deadband, K", control.deadband.dew_point_k),
            ("lag of the humidity sensor, s", control.sensor_lag_s),
        ] {
            number(what, value, NOT_NEGATIVE)?;
        }
        number(
            "offset of the humidity sensor",
            control.sensor_offset,
            Allowed {
                words: "−0.5 to 0.5",
                low: -0.5,
                high: 0.5,
            },
        )?;
        match control.staging {
            Staging::Together => {}
            Staging::Stepped(span) => {
                number("humidity stage", span.rel_humidity, NOT_NEGATIVE)?;
                number("VPD stage, Pa", span.vpd_pa, NOT_NEGATIVE)?;
                number("dew-point stage, K", span.dew_point_k, NOT_NEGATIVE)?;
            }
            Staging::OneByOne { wait_s } => {
                number("wait between starts, s", wait_s, NOT_NEGATIVE)?;
            }
        }
        if let Some(heating) = &self.heating {
            number("heating capacity, W", heating.capacity_w, NOT_NEGATIVE)?;
            number(
                "electricity per heat of the heating",
                heating.electricity_per_heat,
                NOT_NEGATIVE,
            )?;
            if let HeatingControl::Thermostat { deadband_k } = heating.control {
                number("heating deadband, K", deadband_k, NOT_NEGATIVE)?;
            }
        }
        Ok(())
    }
}
