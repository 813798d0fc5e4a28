//! Curves of the psychrometric chart against states of a reference library.

use quantity::UnitSystem;
use sheet::charts::{PsychrometricChart, plot, psychrometric};
use sheet::drawing::{PaperPoint, Point, Role, Shape};

/// Dry bulb °C, relative humidity %, humidity ratio g/kg at 101.325 kPa, from
/// PsychroLib 2.5.0 (`GetHumRatioFromRelHum`).
const STATES: [(f64, u32, f64); 6] = [
    (18.0, 60, 7.697),
    (20.0, 50, 7.262),
    (24.0, 60, 11.192),
    (25.0, 50, 9.881),
    (28.0, 60, 14.249),
    (30.0, 70, 18.795),
];

/// Dry bulb °C, humidity ratio g/kg of saturated air at 101.325 kPa, from
/// PsychroLib 2.5.0.
const SATURATED: [(f64, f64); 4] = [(10.0, 7.63), (15.0, 10.65), (20.0, 14.70), (25.0, 20.08)];

fn empty() -> PsychrometricChart {
    PsychrometricChart {
        title: "Curves".into(),
        pressure_pa: 101_325.0,
        altitude_m: None,
        targets: vec![],
        path: vec![],
        processes: vec![],
    }
}

fn curves(role: Role) -> Vec<Vec<Point>> {
    let drawing = psychrometric(&empty(), UnitSystem::Metric);
    drawing
        .views
        .iter()
        .flat_map(|v| &v.items)
        .filter(|i| i.role == role)
        .filter_map(|i| match &i.shape {
            Shape::Polyline(p) => Some(p.clone()),
            _ => None,
        })
        .collect()
}

fn height_at(curve: &[Point], x: f64) -> f64 {
    curve
        .windows(2)
        .find(|w| w[0].x <= x && x <= w[1].x)
        .map(|w| w[0].y + (x - w[0].x) / (w[1].x - w[0].x) * (w[1].y - w[0].y))
        .expect("a curve that reaches so far")
}

#[test]
fn lines_of_relative_humidity_pass_through_reference_states() {
    let lines = curves(Role::RelHumidity);
    assert_eq!(lines.len(), 9);
    for (t_c, percent, w) in STATES {
        // Drawn lines are straight between points 1.5 mm apart; a pen is 0.18 mm,
        // which is 0.04 g/kg on this chart.
        let on_chart = height_at(&lines[percent as usize / 10 - 1], t_c);
        assert!(
            (on_chart - w).abs() < 0.04,
            "{t_c} °C {percent} %: {on_chart} {w}"
        );
    }
}

#[test]
fn saturation_passes_through_reference_states() {
    let curve = &curves(Role::Saturation)[0];
    for (t_c, w) in SATURATED {
        let on_chart = height_at(curve, t_c);
        assert!((on_chart - w).abs() < 0.04, "{t_c} °C: {on_chart} {w}");
    }
}

#[test]
fn wet_bulb_lines_pass_through_reference_states() {
    let lines = curves(Role::WetBulb);
    let line = lines
        .iter()
        .find(|l| (l[0].x - 15.0).abs() < 1e-9)
        .expect("the line of 15 °C wet bulb");
    let on_chart = height_at(line, 25.0);
    assert!((on_chart - REFERENCE_25_15).abs() < 0.04, "{on_chart}");
}

/// g/kg at 25 °C dry bulb, 15 °C wet bulb and 101.325 kPa, from PsychroLib
/// 2.5.0 (`GetHumRatioFromTWetBulb`).
const REFERENCE_25_15: f64 = 6.519;

#[test]
fn the_chart_reads_back_what_was_put_in() {
    for units in [UnitSystem::Metric, UnitSystem::Us] {
        let plot = plot(&empty(), units);
        for (t_c, _, w) in STATES {
            let p = plot.transform.to_paper(plot.point(t_c, w / 1000.0));
            // As precise as the file: 0.01 mm.
            let rounded = PaperPoint {
                x_mm: (p.x_mm * 100.0).round() / 100.0,
                y_mm: (p.y_mm * 100.0).round() / 100.0,
            };
            let (t_back_c, w_back) = plot.state(plot.transform.to_world(rounded));
            assert!((t_back_c - t_c).abs() < 0.01, "{t_c} {t_back_c}");
            assert!((w_back * 1000.0 - w).abs() < 0.01, "{w} {w_back}");
        }
    }
}
