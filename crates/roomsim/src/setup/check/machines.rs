//! Cooling machines and dehumidifiers.

use super::SetupError;
use super::range::{ABOVE_ZERO, ANY, Allowed, NOT_NEGATIVE, SHARE, number};
use crate::setup::{CoilWater, Cooling, CoolingControl, Dehumidifier, Setup};

impl Setup {
    pub(super) fn check_cooling(&self, index: usize, machine: &Cooling) -> Result<(), SetupError> {
        let name = format!("cooling machine {}", index + 1);
        self.check_pressure(&name, machine.table.pressure_pa())?;
        number(
            format!("indoor fan of {name}, W"),
            machine.indoor_fan_w,
            NOT_NEGATIVE,
        )?;
        number(
            format!("part-load degradation of {name}"),
            machine.part_load_degradation,
            Allowed {
                words: "0 to 0.9",
                low: 0.0,
                high: 0.9,
            },
        )?;
        number(
            format!("restart delay of {name}, s"),
            machine.restart_delay_s,
            NOT_NEGATIVE,
        )?;
        match machine.control {
            CoolingControl::Ideal => {}
            CoolingControl::Thermostat {
                deadband_k,
                offset_k,
                min_on_s,
                min_off_s,
            } => {
                number(format!("deadband of {name}, K"), deadband_k, NOT_NEGATIVE)?;
                number(format!("stage offset of {name}, K"), offset_k, ANY)?;
                number(format!("shortest run of {name}, s"), min_on_s, NOT_NEGATIVE)?;
                number(
                    format!("shortest rest of {name}, s"),
                    min_off_s,
                    NOT_NEGATIVE,
                )?;
            }
            CoolingControl::Modulating { band_k, min_share } => {
                number(format!("control band of {name}, K"), band_k, ABOVE_ZERO)?;
                number(format!("smallest output of {name}"), min_share, SHARE)?;
            }
        }
        check_coil(&name, machine.coil.as_ref())
    }

    pub(super) fn check_dehumidifier(
        &self,
        index: usize,
        machine: &Dehumidifier,
    ) -> Result<(), SetupError> {
        let name = format!("dehumidifier {}", index + 1);
        self.check_pressure(&name, machine.table.pressure_pa())?;
        for (what, value) in [
            ("removal over that of the table", machine.removal_factor),
            ("fan power, W,", machine.fan_w),
            ("power at rest, W,", machine.standby_w),
            ("restart delay, s,", machine.restart_delay_s),
            ("shortest run, s,", machine.min_on_s),
            ("shortest rest, s,", machine.min_off_s),
        ] {
            number(format!("{what} of {name}"), value, NOT_NEGATIVE)?;
        }
        if let Some(defrost) = &machine.defrost {
            number(
                format!("time between defrosts of {name}, s"),
                defrost.after_s,
                ABOVE_ZERO,
            )?;
            number(
                format!("length of a defrost of {name}, s"),
                defrost.lasts_s,
                NOT_NEGATIVE,
            )?;
            number(
                format!("power in defrost of {name}, W"),
                defrost.power_w,
                NOT_NEGATIVE,
            )?;
        }
        check_coil(&name, machine.coil.as_ref())
    }

    fn check_pressure(&self, machine: &str, table_pa: f64) -> Result<(), SetupError> {
        // Ten pascals are less than a metre of altitude.
        if (table_pa - self.zone.pressure_pa).abs() > 10.0 {
            return Err(SetupError::Pressure {
                machine: machine.to_owned(),
                table_pa,
                room_pa: self.zone.pressure_pa,
            });
        }
        Ok(())
    }
}

fn check_coil(name: &str, coil: Option<&CoilWater>) -> Result<(), SetupError> {
    let Some(coil) = coil else {
        return Ok(());
    };
    for (what, value) in [
        ("water held by the coil of", coil.capacity_kg),
        ("rated removal of the coil of", coil.rated_removal_kg_per_s),
        ("evaporation ratio of the coil of", coil.evaporation_ratio),
        (
            "start time constant of the coil of",
            coil.start_time_constant_s,
        ),
    ] {
        number(format!("{what} {name}"), value, NOT_NEGATIVE)?;
    }
    Ok(())
}
