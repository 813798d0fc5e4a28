//! Vapour balance of a zone: exact periodic solutions.
//!
//! Sources: shape of IEA Annex 41, common exercise 1, cases 0A and 0B (data
//! recalled); chamber of common exercise 2 as quoted in a third-party
//! verification note; NORDTEST moisture buffer value (Rode et al. 2005).

use std::sync::Arc;

use roomsim::setup::{Boundary, MoistureStorage, RunLength, Setup, StartAir, Zone};
use roomsim::timetable::{DayAir, Hours, Spell, Supply, Timetable};
use roomsim::{Record, Series, run};

use super::common::{SEA_LEVEL_PA, empty_box, humidity_ratio, leak};

fn source(from_h: f64, to_h: f64, kg_per_h: f64) -> Spell {
    Spell {
        from_s: from_h * 3600.0,
        to_s: to_h * 3600.0,
        sensible_w: 0.0,
        water_kg_per_s: kg_per_h / 3600.0,
        electric_w: 0.0,
        supply: Supply::Own,
    }
}

/// A zone held at one temperature by a great conductance to its surroundings.
fn zone(volume_m3: f64, t_c: f64, outdoor_rh: f64, per_h: f64, spell: Spell) -> Setup {
    let base = empty_box(volume_m3, t_c, outdoor_rh);
    let w = humidity_ratio(t_c, outdoor_rh, SEA_LEVEL_PA);
    Setup {
        zone: Zone {
            outdoor_conductance_w_per_k: 1e5,
            exchanges: vec![leak(per_h * volume_m3 / 3600.0, Boundary::Outdoor)],
            ..base.zone
        },
        // The dry air held is that of the outdoor state.
        start: StartAir {
            dry_bulb_c: t_c,
            humidity_ratio: w,
        },
        timetable: Arc::new(Timetable::new(Hours {
            outdoor: DayAir::constant(t_c, w),
            other: vec![spell],
            ..Hours::default()
        })),
        run: RunLength {
            step_s: 60.0,
            warm_up_days: 3,
            days: 1,
        },
        ..base
    }
}

fn series(setup: &Setup) -> Series {
    setup.check().expect("a sound setup");
    let outcome = run(setup, Record::Minutes);
    assert!(outcome.balance.worst_step_water_kg < 1e-12);
    assert!(outcome.balance.run_storage_kg.abs() < 1e-9);
    outcome.series.expect("a series")
}

/// Relative humidity at the end of an hour, in percent.
fn at_hour(series: &Series, hour: f64) -> f64 {
    let index = (hour * 3600.0 / series.step_s).round() as usize;
    100.0 * series.rel_humidity[index - 1]
}

fn highest(series: &Series) -> f64 {
    100.0 * series.rel_humidity.iter().fold(0.0_f64, |a, b| a.max(*b))
}

fn lowest(series: &Series) -> f64 {
    100.0 * series.rel_humidity.iter().fold(1.0_f64, |a, b| a.min(*b))
}

fn tight() -> Setup {
    zone(129.6, 20.0, 0.30, 0.5, source(9.0, 17.0, 0.5))
}

// The expected column is that of a model in humidity ratio whose dry air is
// held at the outdoor state; the exact volumetric answer is 73.82 % (the
// displacement of dry air by vapour is real). Tolerance 0.1 points.
#[test]
fn tight_zone_with_a_daily_source() {
    for step_s in [60.0, 300.0] {
        let mut setup = tight();
        setup.run.step_s = step_s;
        let series = series(&setup);
        for (what, found, expected) in [
            ("highest", highest(&series), 73.08),
            ("lowest", lowest(&series), 30.01),
            ("10:00", at_hour(&series, 10.0), 47.37),
            ("12:00", at_hour(&series, 12.0), 64.16),
            ("18:00", at_hour(&series, 18.0), 56.24),
            ("21:00", at_hour(&series, 21.0), 35.89),
        ] {
            println!("{step_s} s, {what}: {found:.3} against {expected}");
            assert!(
                (found - expected).abs() < 0.1,
                "{what}: {found} against {expected}"
            );
        }
    }
}

const WALL_AREA_M2: f64 = 171.6;
const PERMEABILITY: f64 = 3e-11;
const CAPACITY_KG_PER_M3: f64 = 42.965;
const SURFACE: f64 = 2e-8;

fn hygroscopic(moisture: MoistureStorage) -> Setup {
    let mut setup = tight();
    setup.zone.moisture = moisture;
    setup.run.warm_up_days = 60;
    setup
}

fn wall(cells: usize) -> MoistureStorage {
    MoistureStorage::Wall {
        area_m2: WALL_AREA_M2,
        thickness_m: 0.15,
        permeability_kg_per_m_s_pa: PERMEABILITY,
        capacity_kg_per_m3: CAPACITY_KG_PER_M3,
        surface_kg_per_m2_s_pa: SURFACE,
        cells,
    }
}

/// One layer as thick as a day's wave goes, behind the film and half of itself.
fn layer() -> MoistureStorage {
    let depth_m = 6.70e-3;
    MoistureStorage::Layer {
        capacity_kg: CAPACITY_KG_PER_M3 * depth_m * WALL_AREA_M2,
        conductance_kg_per_s_pa: WALL_AREA_M2 / (1.0 / SURFACE + 0.5 * depth_m / PERMEABILITY),
    }
}

const EXACT: [(f64, f64); 5] = [
    (10.0, 45.74),
    (12.0, 47.52),
    (18.0, 46.03),
    (21.0, 44.16),
    (24.0, 43.28),
];

// Tolerance 0.2 points for a resolved wall. The exact column is for a zone in
// vapour density; the swing here is small, so the displacement of dry air is
// below 0.1 points.
#[test]
fn resolved_wall_follows_the_exact_solution() {
    let mut setup = hygroscopic(wall(30));
    // Years until the far side of the wall has settled: start it near its mean.
    setup.start.humidity_ratio = humidity_ratio(20.0, 0.4488, SEA_LEVEL_PA);
    let series = series(&setup);
    println!(
        "highest {:.3}, lowest {:.3}",
        highest(&series),
        lowest(&series)
    );
    assert!(
        (highest(&series) - 49.69).abs() < 0.2,
        "{}",
        highest(&series)
    );
    assert!((lowest(&series) - 41.88).abs() < 0.2, "{}", lowest(&series));
    for (hour, expected) in EXACT {
        let found = at_hour(&series, hour);
        println!("{hour}: {found:.3} against {expected}");
        assert!(
            (found - expected).abs() < 0.2,
            "{hour}: {found} against {expected}"
        );
    }
    // Hourly column of the table, whole day.
    let mut reader =
        csv::Reader::from_reader(include_str!("zone_moisture_periodic.csv").as_bytes());
    for row in reader.records() {
        let row = row.expect("a row");
        let hour: f64 = row[0].parse().expect("an hour");
        let expected: f64 = row[2].parse().expect("a humidity");
        let found = at_hour(&series, if hour == 0.0 { 24.0 } else { hour });
        assert!(
            (found - expected).abs() < 0.2,
            "{hour}: {found} against {expected}"
        );
    }
}

// One layer passes at one point, at the extremes and in the first hour, where
// a mere multiplier of the air's capacity does not.
#[test]
fn one_layer_passes_at_one_point_and_a_multiplier_does_not() {
    let layered = series(&hygroscopic(layer()));
    println!(
        "layer: {:.2} {:.2} {:.2}",
        highest(&layered),
        lowest(&layered),
        at_hour(&layered, 10.0)
    );
    assert!((highest(&layered) - 49.69).abs() < 1.0);
    assert!((lowest(&layered) - 41.88).abs() < 1.0);
    assert!((at_hour(&layered, 10.0) - 45.74).abs() < 1.0);
    // What the same layer gives by its own exact solution: 50.09 and 41.32.
    assert!((highest(&layered) - 50.09).abs() < 0.2);
    assert!((lowest(&layered) - 41.32).abs() < 0.2);

    let mut multiplied = tight();
    multiplied.zone.air_moisture_multiplier = 15.0;
    multiplied.run.warm_up_days = 30;
    let multiplied = series(&multiplied);
    println!(
        "× 15: {:.2} {:.2} {:.2}",
        highest(&multiplied),
        lowest(&multiplied),
        at_hour(&multiplied, 10.0)
    );
    assert!((highest(&multiplied) - 48.97).abs() < 0.3);
    assert!((lowest(&multiplied) - 41.13).abs() < 0.3);
    assert!((at_hour(&multiplied, 10.0) - 45.74).abs() > 1.0);
}

// Chamber of Annex 41, common exercise 2, case 2-6: 4.60 m³, 0.64 air changes
// an hour, 20.5 °C, ambient 51 %, 16 g/h for six hours. Volumetric exact
// values; a model in humidity ratio with dry air held at ambient lies below
// them by the displacement of dry air, computed here beside.
#[test]
fn chamber_without_buffering() {
    let setup = zone(4.60, 20.5, 0.51, 0.64, source(0.0, 6.0, 0.016));
    let mut setup = setup;
    setup.run.warm_up_days = 0;
    let series = series(&setup);
    let p_sat = air::saturation_pressure_pa(20.5);
    let w_out = humidity_ratio(20.5, 0.51, SEA_LEVEL_PA);
    let dry_air_kg = 4.60 / air::specific_volume_m3_per_kg(20.5, w_out, SEA_LEVEL_PA);
    let rh_of =
        |w: f64| 100.0 * air::vapour_pressure_from_humidity_ratio_pa(w, SEA_LEVEL_PA) / p_sat;
    let per_h = 0.64;
    let rise = 0.016 / (per_h * dry_air_kg);
    for (hour, volumetric) in [
        (1.0, 65.43),
        (2.0, 73.04),
        (3.0, 77.06),
        (6.0, 80.88),
        (7.0, 66.75),
        (8.0, 59.31),
        (12.0, 51.64),
        (24.0, 51.00),
    ] {
        let grown = |h: f64| rise * (1.0 - (-per_h * h).exp());
        let w = w_out
            + if hour <= 6.0 {
                grown(hour)
            } else {
                grown(6.0) * (-per_h * (hour - 6.0)).exp()
            };
        let found = at_hour(&series, hour);
        println!(
            "{hour} h: {found:.3}, own exact {:.3}, volumetric {volumetric}",
            rh_of(w)
        );
        assert!(
            (found - rh_of(w)).abs() < 0.1,
            "{hour}: {found} against {}",
            rh_of(w)
        );
        // Dry air displaced: at most the vapour's share of the pressure (1.9 %
        // at 81 %) of the rise above ambient, and 0.1 points.
        let displaced = 0.019 * (volumetric - 51.0) + 0.1;
        assert!((found - volumetric).abs() < displaced, "{hour}: {found}");
    }
}

// Moisture buffer value of the same material at 23 °C: 8 h at 75 %, 16 h at
// 33 %. Ideal 3.178, with the surface coefficient 2.611 g/(m² %RH), both from
// the Fourier series; tolerance 1 %. The room is held at those humidities by
// air exchange so great that the wall cannot move it.
#[test]
fn moisture_buffer_value_of_a_thick_wall() {
    let spell = |kg_per_h: f64| source(0.0, 8.0, kg_per_h);
    let low_w = humidity_ratio(23.0, 0.33, SEA_LEVEL_PA);
    let high_w = humidity_ratio(23.0, 0.75, SEA_LEVEL_PA);
    let per_h = 2000.0;
    let volume_m3 = 100.0;
    let air_kg_per_h =
        per_h * volume_m3 / air::specific_volume_m3_per_kg(23.0, low_w, SEA_LEVEL_PA);
    let mut setup = zone(
        volume_m3,
        23.0,
        0.33,
        per_h,
        spell(air_kg_per_h * (high_w - low_w)),
    );
    setup.zone.moisture = MoistureStorage::Wall {
        area_m2: 1.0,
        thickness_m: 0.15,
        permeability_kg_per_m_s_pa: PERMEABILITY,
        capacity_kg_per_m3: CAPACITY_KG_PER_M3,
        surface_kg_per_m2_s_pa: SURFACE,
        cells: 40,
    };
    setup.start.humidity_ratio = humidity_ratio(23.0, 0.47, SEA_LEVEL_PA);
    setup.run.warm_up_days = 60;
    let series = series(&setup);
    assert!((at_hour(&series, 4.0) - 75.0).abs() < 0.1);
    assert!((at_hour(&series, 16.0) - 33.0).abs() < 0.1);
    let storage = roomsim::WaterPath::Storage as usize;
    let gained_kg: f64 = series
        .water_kg_per_s
        .iter()
        .take(8 * 60)
        .map(|paths| -paths[storage] * series.step_s)
        .sum();
    let value = 1000.0 * gained_kg / 42.0;
    println!("moisture buffer value {value:.3} g/(m² %RH)");
    assert!((value / 2.611 - 1.0).abs() < 0.01, "{value}");
}
