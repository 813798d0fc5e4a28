//! The room's air, its nights, leaves and cold surfaces, lights and irrigation,
//! in logs written by hand.

use readings::{Grid, Measure, Sink as _, WallClock};

use super::super::{LightsFrom, SensorFault, Temperature, series};
use super::{checks, proof, written};
use crate::common::Sheet;

const AIR: [(Measure, &str); 2] = [(Measure::DryBulb, "temp"), (Measure::RelHumidity, "rh")];

/// VPD, dew point and humidity ratio of logged dry bulb and humidity, whichever
/// of the humidities is logged.
///
/// **Source** PsychroLib 2.5.0, `crates/air/tests/cross/psychrometric_states.csv`
/// (43 states of rooms at sea level and at 1600 m).
#[test]
fn logged_air_is_as_a_reference_library_has_it() {
    let table = include_str!("../../../../air/tests/cross/psychrometric_states.csv");
    let mut lines = table.lines();
    let heads: Vec<&str> = lines.next().unwrap().split(',').collect();
    let column = |name: &str| heads.iter().position(|h| *h == name).unwrap();
    let states: Vec<Vec<&str>> = lines
        .map(|l| l.split(',').collect::<Vec<_>>())
        .filter(|r: &Vec<&str>| r[column("group")] == "room")
        .collect();
    assert_eq!(states.len(), 43);
    for state in &states {
        let x = |name: &str| state[column(name)].parse::<f64>().unwrap();
        let (t, rh) = (x("tdb_C"), x("rh_pct") / 100.0);
        let (dew, vpd_pa, wet) = (
            x("psychrolib_tdp_C"),
            1000.0 * x("psychrolib_vpd_kPa"),
            x("psychrolib_twb_C"),
        );
        for (measure, reading) in [
            (Measure::RelHumidity, rh),
            (Measure::DewPoint, dew),
            (Measure::Vpd, vpd_pa),
            (Measure::WetBulb, wet),
        ] {
            let mut grid = Grid::new(60, 10);
            grid.channel(Measure::DryBulb, "t");
            grid.channel(measure, "h");
            grid.moment(0);
            grid.reading(0, t);
            grid.reading(1, reading);
            let sensors = series::sensors(&grid);
            let all = series::series(&grid, &WallClock::Own, &sensors, &[true; 2], x("p_Pa"));
            let close = |a: f64, b: f64, by: f64| {
                assert!((a - b).abs() <= by, "{measure:?} {t} {rh}: {a} {b}");
            };
            // The grid keeps readings in single precision; wet bulb and dew
            // point are printed to 0.0001 K.
            close(all.vpd_pa[0], vpd_pa, 0.4);
            close(all.dew_point_c[0], dew, 0.01);
            let w = x("psychrolib_w_kg_per_kg");
            close(all.humidity_ratio[0], w, 3e-4 * w + 2e-7);
        }
    }
}

/// Nights from 22:00 to 06:00 at the target but for one and two hours at 90 %
/// in the first two.
#[test]
fn the_worst_nights_come_first() {
    let room = Sheet::leafy().set("light", "on", "\"06:00\"").room();
    let log = written(&AIR, 4 * 1440, |i| {
        let (day, minute) = (i / 1440, i % 1440);
        // After midnight of the second and of the third day.
        let wet_min = [0, 60, 120, 0][day];
        let rh = if (60..60 + wet_min).contains(&minute) {
            0.90
        } else {
            0.70
        };
        vec![22.0, rh + 0.002 * (i as f64).sin()]
    });
    let proof = proof(&room, &log);
    let wet_h: Vec<f64> = proof
        .nights
        .iter()
        .map(|n| n.too_humid_s / 3600.0)
        .collect();
    assert_eq!(wet_h[..3], [2.0, 1.0, 0.0], "{wet_h:?}");
    let worst = &proof.nights[0];
    // It begins at 22:00 of the second day and lasts eight hours.
    assert_eq!((worst.from, worst.to), (1440 + 22 * 60, 2 * 1440 + 6 * 60));
    assert_eq!(worst.known_s, 8.0 * 3600.0);
    assert!((worst.highest_rel_humidity.0 - 0.90).abs() < 0.003);
    // 0.1 of the saturation pressure at 22 °C, 2645 Pa (PsychroLib).
    assert!(
        (worst.lowest_vpd_pa.0 - 264.5).abs() < 6.0,
        "{}",
        worst.lowest_vpd_pa.0
    );
}

/// At 20 °C and 95 % a leaf at 20 °C is at 95 %: at risk. One at 23 °C is at
/// 0.95 · 2338.8 / 2810.4 = 79 %, and 3.8 K above the dew point of 19.2 °C: not.
///
/// **Source** saturation pressures of PsychroLib 2.5.0.
#[test]
fn hours_of_leaf_wetness_are_counted() {
    let room = Sheet::leafy().set("light", "on", "\"06:00\"").room();
    let channels = [AIR[0], AIR[1], (Measure::Leaf, "leaf temp")];
    let log = written(&channels, 2 * 1440, |i| {
        // Wet air from 00:00 to 07:00 of the second day, the leaf warm from
        // 05:00 on.
        let wet = (1440..1440 + 420).contains(&i);
        let warm = 1440 + 300 <= i;
        vec![
            20.0,
            if wet { 0.95 } else { 0.60 },
            if warm { 23.0 } else { 20.0 },
        ]
    });
    let proof = proof(&room, &log);
    let surfaces = &proof.surfaces;
    assert_eq!(surfaces.leaf_from, Some(Temperature::Logged));
    let hours = |s: f64| s / 3600.0;
    let all: f64 = surfaces.leaf_risk_s.iter().sum();
    assert!((hours(all) - 5.0).abs() < 0.1, "{}", hours(all));
    assert!((hours(surfaces.longest_leaf_risk_s) - 5.0).abs() < 0.1);
    // All of it in the dark.
    assert_eq!(surfaces.leaf_risk_s[0], 0.0);
    assert!(checks(&proof).contains(&"leaves_at_risk"));
}

/// Surface temperatures and dew points of five walls and windows.
///
/// **Source** computed with PsychroLib 2.5.0 from t_si = t_i − U R_si (t_i − t_e),
/// R_si of ISO 6946:2007 (0.13 m²K/W) and of ISO 13788 (0.25): inside °C and %,
/// outside °C, U, R_si, surface °C, dew point °C.
#[test]
fn margins_of_the_coldest_surface_are_as_reckoned_elsewhere() {
    for (t_i, rh, t_e, u, r_si, t_si, dew) in [
        (26.0, 0.65, -10.0, 0.35, 0.13, 24.36, 18.91),
        (26.0, 0.65, -10.0, 1.80, 0.13, 17.58, 18.91),
        (24.0, 0.60, -15.0, 0.25, 0.25, 21.56, 15.76),
        (22.0, 0.70, 5.0, 0.50, 0.13, 20.90, 16.28),
        (20.0, 0.80, 10.0, 2.80, 0.13, 16.36, 16.45),
    ] {
        let room = Sheet::leafy()
            .and(&format!(
                "[[cold_surface]]\nname = \"window\"\nu = \"{u} W/m2K\"\nside = \"outdoor\"\nfilm = \"{} W/m2K\"\n",
                1.0 / r_si
            ))
            .room();
        let channels = [AIR[0], AIR[1], (Measure::OutdoorDryBulb, "outdoor temp")];
        let log = written(&channels, 300, |_| vec![t_i, rh, t_e]);
        let proof = proof(&room, &log);
        let surfaces = &proof.surfaces;
        assert_eq!(surfaces.margin_from, Temperature::Reckoned);
        let (margin, _) = surfaces.least_margin_k.unwrap();
        assert!((margin - (t_si - dew)).abs() < 0.03, "{t_i} {u}: {margin}");
        assert_eq!(surfaces.wet_s, if t_si < dew { 300.0 * 60.0 } else { 0.0 });
        assert_eq!(checks(&proof).contains(&"surface_sweats"), t_si < dew);
    }
    // Logged, it is taken as it is; the coldest of two.
    let channels = [
        AIR[0],
        AIR[1],
        (Measure::Surface, "duct"),
        (Measure::Surface, "frame"),
    ];
    let log = written(&channels, 300, |_| vec![26.0, 0.65, 20.0, 18.0]);
    let proof = proof(&Sheet::leafy().room(), &log);
    assert_eq!(proof.surfaces.margin_from, Temperature::Logged);
    let (margin, _) = proof.surfaces.least_margin_k.unwrap();
    assert!((margin - (18.0 - 18.91)).abs() < 0.02, "{margin}");
}

/// Lamps from 07:10 to 23:10 where the room file says 06:00 to 22:00.
#[test]
fn lights_are_seen_when_they_burn_and_a_clock_off_by_an_hour_is_told_of() {
    let room = Sheet::leafy().set("light", "on", "\"06:00\"").room();
    let channels = [AIR[0], AIR[1], (Measure::Light, "lux")];
    let lit = |from: usize| move |i: usize| (from..from + 960).contains(&(i % 1440));
    let of = |lit: &dyn Fn(usize) -> bool| {
        written(&channels, 3 * 1440, |i| {
            vec![22.0, 0.70, if lit(i) { 12_000.0 } else { 3.0 }]
        })
    };
    let late = proof(&room, &of(&lit(430)));
    assert_eq!(late.lit.from, LightsFrom::Log);
    assert_eq!(late.lit.came_on, [430, 430 + 1440, 430 + 2880]);
    assert_eq!(late.lit.went_out, [1390, 1390 + 1440, 1390 + 2880]);
    let told = late.findings.iter().filter(|f| f.check == "lights_differ");
    assert_eq!(told.count(), 2);
    let right = proof(&room, &of(&lit(360)));
    assert!(!checks(&right).contains(&"lights_differ"));
    // Lights that never change tell nothing: the room file's hours stand in.
    let always = proof(&room, &of(&|_| true));
    assert_eq!(always.lit.from, LightsFrom::RoomFile);
}

/// Six irrigations of ten minutes a day, two of them in the dark.
#[test]
fn irrigation_is_counted_and_that_in_the_dark_told_of() {
    let room = Sheet::leafy().set("light", "on", "\"06:00\"").room();
    let channels = [AIR[0], AIR[1], (Measure::Irrigation, "irrigation flow")];
    let of = |hours: &[usize]| {
        let hours = hours.to_vec();
        written(&channels, 4 * 1440, move |i| {
            let (hour, minute) = (i % 1440 / 60, i % 60);
            let flows = hours.contains(&hour) && (5..15).contains(&minute);
            vec![22.0, 0.70, if flows { 8.0 } else { 0.0 }]
        })
    };
    let by_night = proof(&room, &of(&[1, 7, 10, 13, 16, 23]));
    let seen = by_night.irrigation.unwrap();
    assert_eq!((seen.count, seen.in_the_dark), (24, 8));
    assert!((seen.per_day - 6.0).abs() < 1e-9);
    assert!(checks(&by_night).contains(&"irrigated_in_the_dark"));
    let by_day = proof(&room, &of(&[7, 10, 13, 16]));
    assert_eq!(by_day.irrigation.unwrap().in_the_dark, 0);
    assert!(!checks(&by_day).contains(&"irrigated_in_the_dark"));
    let none = proof(&room, &written(&AIR, 1440, |_| vec![22.0, 0.7]));
    assert!(none.irrigation.is_none());
    // A log that never moves is a stuck sensor's.
    assert!(
        none.faults
            .iter()
            .any(|f| matches!(f.fault, SensorFault::Stuck { .. }))
    );
}
