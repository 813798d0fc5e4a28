//! What a setup must be before it is run.

use super::{
    CoilWater, Cooling, CoolingControl, Dehumidifier, Evaporation, Event, HeatingControl,
    MoistureStorage, Setup,
};
use crate::timetable::{DAY_S, DayAir, Humidity, Spell, Target};

/// Why a setup cannot be run: which number, what it is, what is allowed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SetupError {
    /// A number outside its range, or not a number.
    #[error("{what} is {value}; {allowed} is allowed")]
    Number {
        /// What the number is.
        what: String,
        /// What was given.
        value: f64,
        /// What is allowed, in words.
        allowed: &'static str,
    },
    /// A step that does not divide a day.
    #[error("a step of {step_s} s does not divide a day into whole steps; 60 s does")]
    Step {
        /// The step \[s\].
        step_s: f64,
    },
    /// Start air above saturation.
    #[error(
        "air of {dry_bulb_c} °C cannot hold {humidity_ratio} kg/kg to start with; \
         it is saturated at {saturated} kg/kg"
    )]
    Supersaturated {
        /// Dry bulb \[°C\].
        dry_bulb_c: f64,
        /// Humidity ratio.
        humidity_ratio: f64,
        /// Most that the air can hold.
        saturated: f64,
    },
    /// A machine table made for another barometric pressure.
    #[error(
        "the table of {machine} holds at {table_pa} Pa and the room is at {room_pa} Pa; \
         compile it at the pressure of the room"
    )]
    Pressure {
        /// Which machine.
        machine: String,
        /// Pressure of the table \[Pa\].
        table_pa: f64,
        /// Pressure of the room \[Pa\].
        room_pa: f64,
    },
    /// An event names a machine that is not there.
    #[error("an event at {at_s} s names {machine}, and the room has {count}")]
    NoSuchMachine {
        /// When \[s\].
        at_s: f64,
        /// Which machine, counted from 0.
        machine: String,
        /// How many there are.
        count: usize,
    },
    /// A wash-down in a room without a floor to wash.
    #[error("an event at {at_s} s washes the floor, and the setup has no floor film")]
    NoFloor {
        /// When \[s\].
        at_s: f64,
    },
    /// Heating would work against cooling.
    #[error(
        "{what}: the heating setpoint {heating_c} °C is above the cooling setpoint {cooling_c} °C"
    )]
    Setpoints {
        /// Lights on or off.
        what: &'static str,
        /// Heating setpoint \[°C\].
        heating_c: f64,
        /// Cooling setpoint \[°C\].
        cooling_c: f64,
    },
}

/// Ranges in words and numbers.
#[derive(Clone, Copy)]
struct Allowed {
    words: &'static str,
    low: f64,
    high: f64,
}

const ABOVE_ZERO: Allowed = Allowed {
    words: "more than 0",
    low: f64::MIN_POSITIVE,
    high: 1e12,
};
const NOT_NEGATIVE: Allowed = Allowed {
    words: "0 or more",
    low: 0.0,
    high: 1e12,
};
const SHARE: Allowed = Allowed {
    words: "0 to 1",
    low: 0.0,
    high: 1.0,
};
const TEMPERATURE: Allowed = Allowed {
    words: "−60 to 90 °C",
    low: -60.0,
    high: 90.0,
};
const HUMIDITY_RATIO: Allowed = Allowed {
    words: "0 to 0.5 kg/kg",
    low: 0.0,
    high: 0.5,
};
const ANY: Allowed = Allowed {
    words: "a finite number",
    low: -1e12,
    high: 1e12,
};
const TIME_OF_DAY: Allowed = Allowed {
    words: "0 to 86 400 s",
    low: 0.0,
    high: DAY_S,
};

fn number(what: impl Into<String>, value: f64, allowed: Allowed) -> Result<(), SetupError> {
    if (allowed.low..=allowed.high).contains(&value) {
        Ok(())
    } else {
        Err(SetupError::Number {
            what: what.into(),
            value,
            allowed: allowed.words,
        })
    }
}

impl Setup {
    /// Whether this can be run.
    ///
    /// # Errors
    /// The first [`SetupError`] found.
    pub fn check(&self) -> Result<(), SetupError> {
        self.check_run()?;
        self.check_zone()?;
        self.check_crop()?;
        self.check_water()?;
        self.check_hours()?;
        for (index, machine) in self.cooling.iter().enumerate() {
            self.check_cooling(index, machine)?;
        }
        for (index, machine) in self.dehumidifiers.iter().enumerate() {
            self.check_dehumidifier(index, machine)?;
        }
        self.check_control()?;
        self.events.iter().try_for_each(|e| self.check_event(e))
    }

    fn check_run(&self) -> Result<(), SetupError> {
        let step_s = self.run.step_s;
        number(
            "time step",
            step_s,
            Allowed {
                words: "1 to 600 s",
                low: 1.0,
                high: 600.0,
            },
        )?;
        let steps = DAY_S / step_s;
        if (steps - steps.round()).abs() > 1e-9 {
            return Err(SetupError::Step { step_s });
        }
        number(
            "number of days",
            f64::from(self.run.days),
            Allowed {
                words: "1 to 3660",
                low: 1.0,
                high: 3660.0,
            },
        )?;
        number(
            "number of warm-up days",
            f64::from(self.run.warm_up_days),
            Allowed {
                words: "0 to 3660",
                low: 0.0,
                high: 3660.0,
            },
        )
    }

    fn check_zone(&self) -> Result<(), SetupError> {
        let zone = &self.zone;
        number("room volume, m³", zone.volume_m3, ABOVE_ZERO)?;
        number(
            "barometric pressure, Pa",
            zone.pressure_pa,
            Allowed {
                words: "50 000 to 110 000",
                low: 50_000.0,
                high: 110_000.0,
            },
        )?;
        number("start dry bulb", self.start.dry_bulb_c, TEMPERATURE)?;
        number(
            "start humidity ratio",
            self.start.humidity_ratio,
            HUMIDITY_RATIO,
        )?;
        let saturated = air::saturation_humidity_ratio(self.start.dry_bulb_c, zone.pressure_pa);
        if self.start.humidity_ratio > saturated * (1.0 + 1e-6) {
            return Err(SetupError::Supersaturated {
                dry_bulb_c: self.start.dry_bulb_c,
                humidity_ratio: self.start.humidity_ratio,
                saturated,
            });
        }
        number(
            "conductance to outdoors, W/K",
            zone.outdoor_conductance_w_per_k,
            NOT_NEGATIVE,
        )?;
        number(
            "conductance to the adjacent space, W/K",
            zone.adjacent_conductance_w_per_k,
            NOT_NEGATIVE,
        )?;
        number(
            "heat capacity that follows the air, J/K",
            zone.fast_capacity_j_per_k,
            NOT_NEGATIVE,
        )?;
        number(
            "moisture multiplier of the air",
            zone.air_moisture_multiplier,
            Allowed {
                words: "1 to 1000",
                low: 1.0,
                high: 1000.0,
            },
        )?;
        number(
            "air exchange, m³/s",
            zone.exchange.flow_m3_per_s,
            NOT_NEGATIVE,
        )?;
        if let Some(mass) = &zone.mass {
            number("thermal mass, J/K", mass.capacity_j_per_k, ABOVE_ZERO)?;
            number(
                "conductance to the thermal mass, W/K",
                mass.conductance_w_per_k,
                NOT_NEGATIVE,
            )?;
        }
        check_moisture(&zone.moisture)?;
        if let Some(cold) = &zone.coldest_surface {
            let rest = Allowed {
                words: "0 to 1 (surface no colder than what is beyond)",
                low: 0.0,
                high: 1.0,
            };
            number(
                "U × R_si of the coldest surface",
                cold.transmittance_w_per_m2_k * cold.surface_resistance_m2_k_per_w,
                rest,
            )?;
            number(
                "surface resistance of the coldest surface, m² K/W",
                cold.surface_resistance_m2_k_per_w,
                ABOVE_ZERO,
            )?;
            number(
                "area of the coldest surface, m²",
                cold.area_m2,
                NOT_NEGATIVE,
            )?;
            if let super::ColdSurfaceBoundary::At(t_c) = cold.boundary {
                number("temperature beyond the coldest surface", t_c, TEMPERATURE)?;
            }
        }
        Ok(())
    }

    fn check_crop(&self) -> Result<(), SetupError> {
        number("lamp power, W", self.lights.power_w, NOT_NEGATIVE)?;
        number(
            "photon flux density, µmol/(m² s)",
            self.lights.ppfd_umol_per_m2_s,
            NOT_NEGATIVE,
        )?;
        number(
            "share of lamp heat to the mass",
            self.lights.share_to_mass,
            SHARE,
        )?;
        let Some(canopy) = &self.canopy else {
            return Ok(());
        };
        number("canopy area, m²", canopy.area_m2, NOT_NEGATIVE)?;
        number("leaf area index", canopy.leaves.lai, NOT_NEGATIVE)?;
        number("canopy coverage", canopy.leaves.coverage, SHARE)?;
        number("leaf reflectance", canopy.leaves.reflectance, SHARE)?;
        number(
            "photon energy, J/µmol",
            canopy.leaves.photon_energy_j_per_umol,
            NOT_NEGATIVE,
        )?;
        let resistance = Allowed {
            words: "1 to 1 000 000 s/m",
            low: 1.0,
            high: 1e6,
        };
        number(
            "air-layer resistance of the leaves",
            canopy.leaves.leaf_aero_resistance_s_per_m,
            resistance,
        )?;
        number(
            "air-layer resistance of the leaves in still air",
            canopy.still_air_resistance_s_per_m,
            resistance,
        )?;
        number(
            "stomatal resistance at night",
            canopy.night_resistance_s_per_m,
            Allowed {
                words: "0 to 1 000 000 s/m",
                low: 0.0,
                high: 1e6,
            },
        )?;
        number(
            "factor on the day resistance",
            canopy.day_resistance_factor,
            ABOVE_ZERO,
        )?;
        number(
            "carbon dioxide factor of the stomata",
            canopy.co2_factor,
            ABOVE_ZERO,
        )?;
        number("stomatal lag, s", canopy.stomatal_lag_s, NOT_NEGATIVE)
    }

    fn check_water(&self) -> Result<(), SetupError> {
        if let Some(medium) = &self.medium {
            number("medium area, m²", medium.area_m2, NOT_NEGATIVE)?;
            number(
                "air-layer resistance over the medium, s/m",
                medium.aero_resistance_s_per_m,
                ABOVE_ZERO,
            )?;
            number(
                "surface resistance of the medium, s/m",
                medium.surface_resistance_s_per_m,
                NOT_NEGATIVE,
            )?;
            number("light share of the medium", medium.light_share, SHARE)?;
            number(
                "photon energy at the medium, J/µmol",
                medium.photon_energy_j_per_umol,
                NOT_NEGATIVE,
            )?;
            number(
                "water per irrigation, kg",
                medium.water_per_irrigation_kg,
                NOT_NEGATIVE,
            )?;
            number("time at full rate, s", medium.constant_rate_s, NOT_NEGATIVE)?;
            number(
                "half-time of the medium, s",
                medium.half_time_s,
                NOT_NEGATIVE,
            )?;
        }
        for (index, surface) in self.water_surfaces.iter().enumerate() {
            let name = |what: &str| format!("{what} of water surface {}", index + 1);
            number(name("area, m²,"), surface.area_m2, NOT_NEGATIVE)?;
            number(name("temperature"), surface.water_c, TEMPERATURE)?;
            number(
                name("share of heat from the air"),
                surface.heat_from_air,
                SHARE,
            )?;
            if let Evaporation::Blown {
                air_speed_m_per_s,
                activity,
            } = surface.law
            {
                number(name("air speed, m/s,"), air_speed_m_per_s, NOT_NEGATIVE)?;
                number(name("activity factor"), activity, NOT_NEGATIVE)?;
            }
        }
        if let Some(floor) = &self.floor {
            number("wet floor area, m²", floor.area_m2, NOT_NEGATIVE)?;
            number(
                "floor area that never dries, m²",
                floor.always_wet_m2,
                Allowed {
                    words: "0 to the wet floor area",
                    low: 0.0,
                    high: floor.area_m2,
                },
            )?;
            number(
                "heat transfer at the floor, W/(m² K)",
                floor.heat_transfer_w_per_m2_k,
                ABOVE_ZERO,
            )?;
            number(
                "cooling time of the film, s",
                floor.cooling_time_s,
                NOT_NEGATIVE,
            )?;
            for wash in &floor.daily_wash_downs {
                number("time of wash-down", wash.time_s, TIME_OF_DAY)?;
                number("film of a wash-down, kg", wash.film_kg, NOT_NEGATIVE)?;
            }
        }
        Ok(())
    }

    fn check_hours(&self) -> Result<(), SetupError> {
        let hours = self.timetable.hours();
        number("lights-on time", hours.lights.on_s, TIME_OF_DAY)?;
        number("photoperiod", hours.lights.photoperiod_s, TIME_OF_DAY)?;
        number("lamp ramp, s", hours.lights.ramp_s, NOT_NEGATIVE)?;
        number("setpoint ramp, s", hours.targets.ramp_s, NOT_NEGATIVE)?;
        number("transition, s", hours.transition_s, NOT_NEGATIVE)?;
        check_target("lights on", &hours.targets.lights_on)?;
        check_target("lights off", &hours.targets.lights_off)?;
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
        if let Some(table) = &hours.drying_kg_per_s {
            for rate in table {
                number("water of the crop hung to dry, kg/s", *rate, NOT_NEGATIVE)?;
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

    fn check_cooling(&self, index: usize, machine: &Cooling) -> Result<(), SetupError> {
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

    fn check_dehumidifier(&self, index: usize, machine: &Dehumidifier) -> Result<(), SetupError> {
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

    fn check_control(&self) -> Result<(), SetupError> {
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
            super::Staging::Together => {}
            super::Staging::Stepped(span) => {
                number("humidity stage", span.rel_humidity, NOT_NEGATIVE)?;
                number("VPD stage, Pa", span.vpd_pa, NOT_NEGATIVE)?;
                number("dew-point stage, K", span.dew_point_k, NOT_NEGATIVE)?;
            }
            super::Staging::OneByOne { wait_s } => {
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

    fn check_event(&self, event: &Event) -> Result<(), SetupError> {
        let at_s = event.at_s();
        number("time of an event, s", at_s, NOT_NEGATIVE)?;
        let exists = |kind: &str, index: usize, count: usize| {
            if index < count {
                Ok(())
            } else {
                Err(SetupError::NoSuchMachine {
                    at_s,
                    machine: format!("{kind} {index}"),
                    count,
                })
            }
        };
        match *event {
            Event::PowerCut { lasts_s, .. } => {
                number("length of a power cut, s", lasts_s, NOT_NEGATIVE)
            }
            Event::WashDown { film_kg, .. } => {
                if self.floor.is_none() {
                    return Err(SetupError::NoFloor { at_s });
                }
                number("film of a wash-down, kg", film_kg, NOT_NEGATIVE)
            }
            Event::Irrigation { .. } => Ok(()),
            Event::FilterLoaded {
                dehumidifier,
                removal_factor,
                power_factor,
                ..
            } => {
                exists("dehumidifier", dehumidifier, self.dehumidifiers.len())?;
                number("removal factor of a loaded filter", removal_factor, SHARE)?;
                number(
                    "power factor of a loaded filter",
                    power_factor,
                    Allowed {
                        words: "0 to 3",
                        low: 0.0,
                        high: 3.0,
                    },
                )
            }
            Event::DehumidifierFails { dehumidifier, .. } => {
                exists("dehumidifier", dehumidifier, self.dehumidifiers.len())
            }
            Event::CoolingFails { cooling, .. } => {
                exists("cooling machine", cooling, self.cooling.len())
            }
        }
    }
}

fn check_moisture(moisture: &MoistureStorage) -> Result<(), SetupError> {
    match *moisture {
        MoistureStorage::None => Ok(()),
        MoistureStorage::Layer {
            capacity_kg,
            conductance_kg_per_s_pa,
        } => {
            number(
                "capacity of the moisture layer, kg",
                capacity_kg,
                ABOVE_ZERO,
            )?;
            number(
                "conductance to the moisture layer, kg/(s Pa)",
                conductance_kg_per_s_pa,
                NOT_NEGATIVE,
            )
        }
        MoistureStorage::Wall {
            area_m2,
            thickness_m,
            permeability_kg_per_m_s_pa,
            capacity_kg_per_m3,
            surface_kg_per_m2_s_pa,
            cells,
        } => {
            for (what, value) in [
                ("area of the moisture wall, m²", area_m2),
                ("thickness of the moisture wall, m", thickness_m),
                (
                    "permeability of the moisture wall",
                    permeability_kg_per_m_s_pa,
                ),
                ("moisture capacity of the wall, kg/m³", capacity_kg_per_m3),
                ("surface coefficient of the wall", surface_kg_per_m2_s_pa),
            ] {
                number(what, value, ABOVE_ZERO)?;
            }
            number(
                "cells of the moisture wall",
                cells as f64,
                Allowed {
                    words: "2 to 64",
                    low: 2.0,
                    high: 64.0,
                },
            )
        }
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
