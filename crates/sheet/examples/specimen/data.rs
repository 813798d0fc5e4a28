//! Invented data for a specimen of every chart. No number in it means
//! anything.

use std::f64::consts::TAU;

use quantity::{Band, Dim, UnitSystem};
use sheet::Drawing;
use sheet::charts::{
    CapacityChart, CapacityRow, DayChart, Hours, Humidity, LoadChart, Need, Panel, Part, PathPoint,
    Period, Process, PsychrometricChart, RangeChart, RangeRow, RunRow, Series, Spread, Target,
    TargetField, ZeroLine, capacity, day, load, psychrometric, range,
};

pub(crate) const L_PER_DAY: f64 = 0.998 / 86_400.0;
const L_PER_H: f64 = 0.998 / 3_600.0;

/// Every chart, with the name of its file.
pub(crate) fn drawings(units: UnitSystem) -> [(&'static str, Drawing); 5] {
    [
        ("psychrometric", psychrometric(&states(), units)),
        ("day", day(&curves(), units)),
        ("load", load(&sources(), units)),
        ("capacity", capacity(&sets(), units)),
        ("range", range(&ranges(), units)),
    ]
}

/// Hour of the chart to a share of light, 0 or 1; lights on from 6 to 18.
fn lit(h: f64) -> bool {
    (6.0..18.0).contains(&h.rem_euclid(24.0))
}

fn night() -> Vec<Hours> {
    vec![
        Hours {
            from_h: 0.0,
            to_h: 6.0,
        },
        Hours {
            from_h: 18.0,
            to_h: 24.0,
        },
    ]
}

fn t_c(h: f64) -> f64 {
    let since_on = (h - 6.0).rem_euclid(24.0);
    if since_on < 12.0 {
        26.0 - 6.0 * (-since_on / 0.8).exp() + 0.15 * (TAU * h * 2.0).sin()
    } else {
        20.0 + 6.0 * (-(since_on - 12.0) / 1.2).exp() + 0.1 * (TAU * h * 1.5).sin()
    }
}

fn rh(h: f64) -> f64 {
    let since_on = (h - 6.0).rem_euclid(24.0);
    if since_on < 12.0 {
        0.58 - 0.06 * (-since_on / 1.5).exp() + 0.01 * (TAU * h * 2.0).sin()
    } else {
        let s = since_on - 12.0;
        0.61 + 0.12 * (s / 0.8) * (1.0 - s / 0.8).exp().min(3.0) + 0.008 * (TAU * h * 1.5).sin()
    }
}

fn humidity_ratio(h: f64, pressure_pa: f64) -> f64 {
    let e = rh(h) * air::saturation_pressure_pa(t_c(h));
    air::humidity_ratio_from_vapour_pressure(e, pressure_pa)
}

/// A day in the psychrometric chart.
pub(crate) fn states() -> PsychrometricChart {
    let pressure_pa = 83_400.0;
    PsychrometricChart {
        title: "Wet for two hours after lights-off (specimen, invented data)".into(),
        pressure_pa,
        altitude_m: Some(1609.0),
        targets: vec![
            TargetField {
                period: Period::LightsOn,
                dry_bulb_c: (24.5, 27.5),
                humidity: Humidity::Vpd {
                    low_pa: 1100.0,
                    high_pa: 1500.0,
                    leaf_rise_k: 0.0,
                },
            },
            TargetField {
                period: Period::LightsOff,
                dry_bulb_c: (19.0, 22.0),
                humidity: Humidity::Rel {
                    low: 0.50,
                    high: 0.62,
                },
            },
        ],
        path: (0..24)
            .map(|h| {
                let h = f64::from(h) + 0.5;
                PathPoint {
                    clock_h: h.floor(),
                    dry_bulb_c: t_c(h),
                    humidity_ratio: humidity_ratio(h, pressure_pa),
                    period: if lit(h) {
                        Period::LightsOn
                    } else {
                        Period::LightsOff
                    },
                }
            })
            .collect(),
        processes: vec![Process {
            name: "Unit D1, 12:00".into(),
            states: vec![(26.0, humidity_ratio(12.0, pressure_pa)), (33.5, 0.0105)],
        }],
    }
}

fn curves() -> DayChart {
    let hours: Vec<f64> = (0..=240).map(|i| f64::from(i) / 10.0).collect();
    let line = |f: &dyn Fn(f64) -> f64| hours.iter().map(|h| (*h, f(*h))).collect::<Vec<_>>();
    let vpd = |h: f64| air::saturation_pressure_pa(t_c(h)) * (1.0 - rh(h));
    let target = |from_h, to_h, low, high| Target {
        hours: Hours { from_h, to_h },
        low: Some(low),
        high: Some(high),
    };
    let panel = |name: &str, dim, points| Panel {
        name: name.into(),
        dim,
        series: vec![Series {
            name: name.into(),
            points,
        }],
        spread: None,
        targets: vec![],
        outside: vec![],
        zero: ZeroLine::Free,
    };
    let outside = vec![Hours {
        from_h: 18.2,
        to_h: 20.1,
    }];
    let mut dry_bulb = panel("Dry bulb", Dim::Temperature, line(&t_c));
    dry_bulb.targets = vec![
        target(0.0, 6.0, 19.0, 22.0),
        target(6.0, 18.0, 24.5, 27.5),
        target(18.0, 24.0, 19.0, 22.0),
    ];
    let mut humidity = panel("Relative humidity", Dim::RelHumidity, line(&rh));
    humidity.spread = Some(Spread {
        of: "draws",
        points: hours
            .iter()
            .map(|h| (*h, rh(*h) - 0.025, rh(*h) + 0.03))
            .collect(),
    });
    humidity.targets = vec![target(0.0, 6.0, 0.5, 0.62), target(18.0, 24.0, 0.5, 0.62)];
    humidity.outside = outside.clone();
    let mut deficit = panel("VPD of air", Dim::VapourPressure, line(&vpd));
    deficit.targets = vec![target(6.0, 18.0, 1100.0, 1500.0)];
    let given = |h: f64| if lit(h) { 14.0 } else { 5.0 } * L_PER_H;
    let balance = Panel {
        name: "Water".into(),
        dim: Dim::WaterRate,
        series: vec![
            Series {
                name: "given off".into(),
                points: line(&given),
            },
            Series {
                name: "by the units".into(),
                points: line(&|h| -0.8 * given(h) * (1.0 + 0.1 * (TAU * h).sin())),
            },
            Series {
                name: "by the coil".into(),
                points: line(&|h| -0.2 * given(h)),
            },
        ],
        spread: None,
        targets: vec![],
        outside: vec![],
        zero: ZeroLine::Shown,
    };
    let run = |tag: &str, period: f64, share: f64| RunRow {
        tag: tag.into(),
        running: (0..)
            .map(|i| f64::from(i) * period)
            .take_while(|h| *h < 24.0)
            .map(|h| Hours {
                from_h: h,
                to_h: h + period * if lit(h) { share } else { share * 0.6 },
            })
            .collect(),
        waiting: vec![Hours {
            from_h: 6.0 + share,
            to_h: 6.25 + share,
        }],
        starts_per_h: 1.0 / period,
    };
    DayChart {
        title: "The room stays in its bands but for two hours after lights-off".into(),
        subtitle: "Specimen with invented data; median day of 400 draws".into(),
        hours: Hours {
            from_h: 0.0,
            to_h: 24.0,
        },
        shown: None,
        first_day: None,
        start_clock_h: 0.0,
        nights: night(),
        panels: vec![dry_bulb, humidity, deficit, balance],
        runs: vec![
            run("D1", 1.0, 0.8),
            run("D2", 0.8, 0.6),
            run("D3", 1.6, 0.5),
            run("D4", 2.4, 0.3),
        ],
    }
}

fn sources() -> LoadChart {
    let hours: Vec<f64> = (0..=48).map(|i| f64::from(i) / 2.0).collect();
    let part = |name: &str, f: &dyn Fn(f64) -> f64| Part {
        name: name.into(),
        values: hours.iter().map(|h| f(*h) * L_PER_H).collect(),
    };
    LoadChart {
        title: "The canopy gives off nine tenths of the water".into(),
        subtitle: "Specimen with invented data".into(),
        total: "All sources".into(),
        dim: Dim::WaterRate,
        shown: None,
        start_clock_h: 0.0,
        nights: night(),
        parts: vec![
            part("wet medium", &|_| 0.9),
            part("air from outside", &|h| {
                0.4 + 0.2 * (TAU * (h - 9.0) / 24.0).sin()
            }),
            part("canopy", &|h| {
                if lit(h) {
                    11.0 * (1.0 - (-(h - 6.0) / 0.7).exp())
                } else {
                    2.6
                }
            }),
            part("wash-down", &|h| {
                if (16.0..17.5).contains(&h) { 3.0 } else { 0.0 }
            }),
        ],
        taken: vec![
            part("cooling coil", &|h| if lit(h) { 2.4 } else { 0.3 }),
            part("dehumidifiers", &|h| if lit(h) { 9.8 } else { 3.6 }),
        ],
        hours,
    }
}

fn sets() -> CapacityChart {
    let row = |name: &str, remark: &str, rated: f64, on: f64, off: f64| CapacityRow {
        name: name.into(),
        remark: remark.into(),
        rated: rated * L_PER_DAY,
        lights_on: Some(on * L_PER_DAY),
        lights_off: Some(off * L_PER_DAY),
    };
    let band = |low: f64, likely: f64, high: f64| {
        Some(Band::new(
            low * L_PER_DAY,
            likely * L_PER_DAY,
            high * L_PER_DAY,
        ))
    };
    CapacityChart {
        title: "Four mid-size units hold the night; three do not".into(),
        subtitle: "Specimen with invented data; cabinet air as the room has it, 83.4 kPa".into(),
        rows: vec![
            row("4 × M-150", "chosen", 284.0, 201.0, 138.0),
            row("3 × M-150", "short at night", 213.0, 151.0, 104.0),
            row("2 × L-320", "runner-up", 302.0, 218.0, 131.0),
        ],
        need: Need {
            lights_on: band(150.0, 172.0, 199.0),
            lights_off: band(96.0, 117.0, 134.0),
        },
    }
}

fn ranges() -> RangeChart {
    let row = |name: &str, low: f64, likely: f64, high: f64| RangeRow {
        name: name.into(),
        band: Band::new(low * L_PER_H, likely * L_PER_H, high * L_PER_H),
    };
    RangeChart {
        title: "The lights-off rate is the least known number".into(),
        subtitle: "Specimen with invented data; 10th, 50th and 90th percentile of draws".into(),
        quantity: "Water given off".into(),
        dim: Dim::WaterRate,
        rows: vec![
            row("Lights on", 11.1, 12.8, 14.9),
            row("Transition", 6.2, 8.9, 12.7),
            row("Lights off", 2.1, 3.9, 6.8),
        ],
    }
}
