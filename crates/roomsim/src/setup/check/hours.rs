//! What recurs every day.

use super::SetupError;
use super::range::{
    ANY, Allowed, HUMIDITY_RATIO, NOT_NEGATIVE, SHARE, TEMPERATURE, TIME_OF_DAY, number,
};
use crate::setup::Setup;
use crate::timetable::{DayAir, Humidity, Spell, Target};

impl Setup {
    pub(super) fn check_hours(&self) -> Result<(), SetupError> {
        let hours = self.timetable.hours();
        number("lights-on time", hours.lights.on_s, TIME_OF_DAY)?;
        number("photoperiod", hours.lights.photoperiod_s, TIME_OF_DAY)?;
        number("lamp ramp, s", hours.lights.ramp_s, NOT_NEGATIVE)?;
        number("setpoint ramp, s", hours.targets.ramp_s, NOT_NEGATIVE)?;
        number("transition, s", hours.transition_s, NOT_NEGATIVE)?;
        check_target("lights on", &hours.targets.lights_on)?;
        check_target("lights off", &hours.targets.lights_off)?;
        if let Some(target) = &hours.targets.transition {
            check_target("transition", target)?;
        }
        check_day_air("outdoor", &hours.outdoor)?;
        check_day_air("adjacent", &hours.adjacent)?;
        for (name, spells) in [
            ("people", &hours.people),
            ("burner", &hours.burner),
            ("other gains", &hours.other),
        ] {
            spells.iter().try_for_each(|s| check_spell(name, s))?;
        }
        number("latent gain, W", hours.latent_gain_w, NOT_NEGATIVE)?;
        if let Some(drying) = &hours.drying {
            for rate in &drying.water_kg_per_s {
                number("water of the crop hung to dry, kg/s", *rate, NOT_NEGATIVE)?;
            }
            number(
                "VPD that the crop hung to dry was surveyed at, Pa",
                drying.reference_vpd_pa,
                Allowed {
                    words: "1 to 100 000 Pa",
                    low: 1.0,
                    high: 1e5,
                },
            )?;
        }
        for wet in &hours.wet_floor {
            number("begin of the wet floor", wet.from_s, TIME_OF_DAY)?;
            number("end of the wet floor", wet.to_s, TIME_OF_DAY)?;
            number("area of the wet floor, m²", wet.area_m2, NOT_NEGATIVE)?;
            if self.floor.is_none() {
                return Err(SetupError::NoFloor {
                    at_s: wet.from_s,
                    what: "the timetable",
                });
            }
        }
        if let Some(anticipation) = &hours.anticipation {
            number(
                "lead of the anticipation, s",
                anticipation.lead_s,
                NOT_NEGATIVE,
            )?;
        }
        hours
            .irrigation_s
            .iter()
            .try_for_each(|t| number("time of irrigation", *t, TIME_OF_DAY))
    }
}

fn check_target(what: &'static str, target: &Target) -> Result<(), SetupError> {
    number(
        format!("{what}: cooling setpoint"),
        target.cooling_setpoint_c,
        TEMPERATURE,
    )?;
    number(
        format!("{what}: heating setpoint"),
        target.heating_setpoint_c,
        TEMPERATURE,
    )?;
    if target.heating_setpoint_c > target.cooling_setpoint_c {
        return Err(SetupError::Setpoints {
            what,
            heating_c: target.heating_setpoint_c,
            cooling_c: target.cooling_setpoint_c,
        });
    }
    match target.humidity_setpoint {
        Humidity::Relative(rh) => number(format!("{what}: humidity setpoint"), rh, SHARE),
        Humidity::VpdPa(vpd_pa) => {
            number(format!("{what}: VPD setpoint, Pa"), vpd_pa, NOT_NEGATIVE)
        }
        Humidity::DewPointC(t_c) => number(format!("{what}: dew-point setpoint"), t_c, TEMPERATURE),
    }
}

fn check_day_air(name: &str, day: &DayAir) -> Result<(), SetupError> {
    for (t_c, w) in day.dry_bulb_c.iter().zip(&day.humidity_ratio) {
        number(format!("{name} dry bulb"), *t_c, TEMPERATURE)?;
        number(format!("{name} humidity ratio"), *w, HUMIDITY_RATIO)?;
    }
    Ok(())
}

fn check_spell(name: &str, spell: &Spell) -> Result<(), SetupError> {
    number(format!("begin of {name}"), spell.from_s, TIME_OF_DAY)?;
    number(format!("end of {name}"), spell.to_s, TIME_OF_DAY)?;
    number(format!("heat of {name}, W"), spell.sensible_w, ANY)?;
    number(
        format!("water of {name}, kg/s"),
        spell.water_kg_per_s,
        NOT_NEGATIVE,
    )?;
    number(
        format!("electricity of {name}, W"),
        spell.electric_w,
        NOT_NEGATIVE,
    )
}
