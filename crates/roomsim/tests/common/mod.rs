//! Rooms and machines for the tests.
#![allow(
    dead_code,
    unreachable_pub,
    reason = "each test binary uses its own part"
)]

use std::sync::Arc;

use roomsim::setup::{
    Boundary, Canopy, Cooling, CoolingControl, Dehumidifier, Exchange, Fan, HumidityControl,
    HumiditySpan, Lights, MoistureStorage, RunLength, Setup, Staging, StartAir, ThermalMass, Zone,
};
use roomsim::timetable::{
    DayAir, Hours, Humidity, HumidityBand, LightHours, Range, Supply, Target, Targets, Timetable,
};
use roomsim::{
    CoolingAxes, CoolingPoint, CoolingTable, PointData, RemovalAxes, RemovalPoint, RemovalTable,
};

pub const SEA_LEVEL_PA: f64 = 101_325.0;

/// Humidity ratio at a dry bulb and relative humidity.
pub fn humidity_ratio(dry_bulb_c: f64, rel_humidity: f64, pressure_pa: f64) -> f64 {
    air::humidity_ratio_from_vapour_pressure(
        rel_humidity * air::saturation_pressure_pa(dry_bulb_c),
        pressure_pa,
    )
}

/// A sealed, adiabatic box with nothing in it.
pub fn empty_box(volume_m3: f64, dry_bulb_c: f64, rel_humidity: f64) -> Setup {
    Setup {
        zone: Zone {
            volume_m3,
            pressure_pa: SEA_LEVEL_PA,
            outdoor_conductance_w_per_k: 0.0,
            adjacent_conductance_w_per_k: 0.0,
            fast_capacity_j_per_k: 0.0,
            mass: None,
            moisture: MoistureStorage::None,
            air_moisture_multiplier: 1.0,
            exchanges: Vec::new(),
            coldest_surface: None,
        },
        start: StartAir {
            dry_bulb_c,
            humidity_ratio: humidity_ratio(dry_bulb_c, rel_humidity, SEA_LEVEL_PA),
        },
        timetable: Arc::new(Timetable::new(Hours::default())),
        lights: Lights::NONE,
        canopy: None,
        medium: None,
        water_surfaces: Vec::new(),
        floor: None,
        cooling: Vec::new(),
        heating: None,
        dehumidifiers: Vec::new(),
        humidity_control: HumidityControl {
            deadband: HumiditySpan {
                rel_humidity: 0.04,
                vpd_pa: 100.0,
                dew_point_k: 1.0,
            },
            sensor_lag_s: 0.0,
            sensor_offset: 0.0,
            staging: Staging::Together,
        },
        events: Vec::new(),
        run: RunLength {
            step_s: 60.0,
            warm_up_days: 0,
            days: 1,
        },
    }
}

/// Air that leaks in at the state of what is beyond \[m³/s\].
pub fn leak(flow_m3_per_s: f64, with: Boundary) -> Exchange {
    Exchange {
        flow_m3_per_s,
        with,
        supply: Supply::Own,
    }
}

/// A dehumidifier of invented size: `litres_per_day` at 26.7 °C and 60 %,
/// public curve set A inside its range, nothing below.
pub fn removal_table(litres_per_day: f64, pressure_pa: f64) -> RemovalTable {
    let rated_kg_per_s = litres_per_day * 0.998 / 86_400.0;
    let rated_w = litres_per_day / 2.4 / 24.0 * 1000.0;
    let removal = equipment::curve::SET_A_REMOVAL.normalised();
    let factor = equipment::curve::SET_A_ENERGY_FACTOR.normalised();
    RemovalTable::tabulate(RemovalAxes::default(), pressure_pa, |t_c, rh| {
        let (t, r) = equipment::curve::SET_A_CLAMP.clamp(t_c, rh);
        let ratio = removal.at(t, r).max(0.0) * (rh / 0.35).min(1.0);
        let power_w =
            (rated_w * removal.at(t, r) / factor.at(t, r)).clamp(0.6 * rated_w, 2.0 * rated_w);
        let kg_per_s = rated_kg_per_s * ratio;
        RemovalPoint {
            removal_kg_per_s: kg_per_s,
            power_w,
            drained_heat_w: kg_per_s * air::water_enthalpy_j_per_kg(12.0),
            dry_air_kg_per_s: litres_per_day * 0.0028 * 1.17,
            data: if equipment::curve::SET_A_TRUSTED.holds(t_c, rh) {
                PointData::Inside
            } else {
                PointData::Beyond
            },
        }
    })
    .expect("a table")
}

/// A dehumidifier of that table, fan with the compressor.
pub fn dehumidifier(table: &Arc<RemovalTable>) -> Dehumidifier {
    Dehumidifier {
        table: Arc::clone(table),
        removal_factor: 1.0,
        fan: Fan::Auto,
        fan_w: 120.0,
        standby_w: 5.0,
        restart_delay_s: 180.0,
        min_on_s: 180.0,
        min_off_s: 180.0,
        coil: None,
        defrost: None,
    }
}

/// A direct-expansion machine by apparatus dew point and bypass factor: coil
/// at 10 °C, bypass 0.12, at constant volume flow.
pub fn cooling_table(airflow_m3_per_s: f64, pressure_pa: f64) -> CoolingTable {
    cooling_table_with_coil(10.0, airflow_m3_per_s, pressure_pa)
}

/// The same with a coil at another temperature (35 °C outdoors).
pub fn cooling_table_with_coil(
    coil_c: f64,
    airflow_m3_per_s: f64,
    pressure_pa: f64,
) -> CoolingTable {
    let axes = CoolingAxes::around(25.0, vec![15.0, 45.0]);
    CoolingTable::tabulate(&axes, pressure_pa, |t_c, w, outdoor_c| {
        let entering = air::MoistAir::new(t_c, w, pressure_pa).expect("possible air");
        let dry_air = airflow_m3_per_s / entering.specific_volume_m3_per_kg();
        let adp_c = (coil_c + 0.05 * (outdoor_c - 35.0)).min(t_c);
        let bypass = 0.12;
        let at_coil = air::saturation_humidity_ratio(adp_c, pressure_pa).min(w);
        let w_out = at_coil + bypass * (w - at_coil);
        let t_out = adp_c + bypass * (t_c - adp_c);
        let h_g = air::vapour_enthalpy_j_per_kg(t_c);
        let total = dry_air * (entering.enthalpy_j_per_kg() - air::enthalpy_j_per_kg(t_out, w_out));
        let latent_w = dry_air * (w - w_out) * h_g;
        CoolingPoint {
            gross_sensible_w: total - latent_w,
            latent_w,
            power_w: (total / 3.5 * (1.0 + 0.015 * (outdoor_c - 35.0))).max(0.0),
            data: PointData::Inside,
        }
    })
    .expect("a table")
}

/// A cooling machine of that table on a thermostat.
pub fn cooling(table: &Arc<CoolingTable>, control: CoolingControl) -> Cooling {
    Cooling {
        table: Arc::clone(table),
        control,
        indoor_fan_w: 500.0,
        fan: Fan::Auto,
        part_load_degradation: 0.15,
        coil: None,
        restart_delay_s: 180.0,
    }
}

pub const THERMOSTAT: CoolingControl = CoolingControl::Thermostat {
    deadband_k: 1.0,
    offset_k: 0.0,
    min_on_s: 180.0,
    min_off_s: 180.0,
};

/// Hours of a flowering room: 12 h of light from 06:00, 27 °C and 60 % by day,
/// 22 °C and 55 % at night.
pub fn flowering_hours() -> Hours {
    let target = |cool_c: f64, rh: f64| Target {
        cooling_setpoint_c: cool_c,
        heating_setpoint_c: cool_c - 4.0,
        humidity_setpoint: Humidity::Relative(rh),
        dry_bulb_band_c: Range {
            low: cool_c - 3.0,
            high: cool_c + 2.0,
        },
        humidity_band: HumidityBand::Relative(Range {
            low: rh - 0.15,
            high: rh + 0.06,
        }),
    };
    Hours {
        lights: LightHours {
            on_s: 6.0 * 3600.0,
            photoperiod_s: 12.0 * 3600.0,
            ramp_s: 600.0,
        },
        targets: Targets {
            lights_on: target(27.0, 0.60),
            lights_off: target(22.0, 0.55),
            transition: None,
            ramp_s: 1800.0,
        },
        outdoor: DayAir::constant(30.0, 0.014),
        adjacent: DayAir::constant(24.0, 0.010),
        ..Hours::default()
    }
}

/// A flowering room of 60 m² canopy with four dehumidifiers and one cooling
/// machine on a thermostat. Invented.
pub fn flowering_room() -> Setup {
    flowering_room_at(SEA_LEVEL_PA)
}

/// The same at a barometric pressure.
pub fn flowering_room_at(pressure_pa: f64) -> Setup {
    let units = Arc::new(removal_table(90.0, pressure_pa));
    let cooler = Arc::new(cooling_table(1.6, pressure_pa));
    let base = empty_box(370.0, 24.0, 0.55);
    Setup {
        zone: Zone {
            pressure_pa,
            outdoor_conductance_w_per_k: 60.0,
            adjacent_conductance_w_per_k: 90.0,
            fast_capacity_j_per_k: 1.5e6,
            mass: Some(ThermalMass {
                capacity_j_per_k: 8.0e6,
                conductance_w_per_k: 1500.0,
            }),
            moisture: MoistureStorage::Layer {
                capacity_kg: 12.0,
                conductance_kg_per_s_pa: 2.0e-7,
            },
            exchanges: vec![leak(0.02, Boundary::Outdoor)],
            ..base.zone
        },
        start: StartAir {
            dry_bulb_c: 24.0,
            humidity_ratio: humidity_ratio(24.0, 0.55, pressure_pa),
        },
        timetable: Arc::new(Timetable::new(flowering_hours())),
        lights: Lights {
            power_w: 21_600.0,
            ppfd_umol_per_m2_s: 900.0,
            share_to_mass: 0.2,
        },
        canopy: Some(canopy(60.0)),
        cooling: vec![cooling(&cooler, THERMOSTAT)],
        dehumidifiers: (0..4).map(|_| dehumidifier(&units)).collect(),
        run: RunLength {
            step_s: 60.0,
            warm_up_days: 1,
            days: 2,
        },
        ..base
    }
}

/// A canopy after Graamans et al. 2017 with the night default.
pub fn canopy(area_m2: f64) -> Canopy {
    Canopy {
        area_m2,
        leaves: crop::Canopy {
            coverage: 0.95,
            ..crop::Canopy::CLOSED
        },
        still_air_resistance_s_per_m: 200.0,
        day_resistance_factor: 1.0,
        co2_factor: 1.0,
        night_resistance_s_per_m: 1200.0,
        stomatal_lag_s: 900.0,
    }
}
