//! Writes a specimen of every block and chart, with invented data, to a folder:
//! `cargo run -p sheet --example specimen -- FOLDER [us] [letter]`.
//!
//! It is for looking at. No number in it means anything.

use std::f64::consts::TAU;
use std::fs;
use std::path::PathBuf;

use quantity::{
    Band, Dim, Equation, Finding, Input, Place, Severity, Source, Step, Text, UnitSystem, Value,
    Working,
};
use sheet::charts::{
    CapacityChart, CapacityRow, DayChart, Hours, Humidity, LoadChart, Need, Panel, Part, PathPoint,
    Period, Process, PsychrometricChart, RangeChart, RangeRow, RunRow, Series, Spread, Target,
    TargetField, ZeroLine, capacity, day, load, psychrometric, range,
};
use sheet::report::{
    Assumption, Block, Cell, Column, Errand, KeyFigure, KeyUnits, Level, Report, Table, TitleBlock,
};
use sheet::svg::svg;
use sheet::{Drawing, Paper};

const L_PER_DAY: f64 = 0.998 / 86_400.0;
const L_PER_H: f64 = 0.998 / 3_600.0;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let folder = PathBuf::from(args.first().map_or("specimen", String::as_str));
    let units = if args.iter().any(|a| a == "us") {
        UnitSystem::Us
    } else {
        UnitSystem::Metric
    };
    let paper = if args.iter().any(|a| a == "letter") {
        Paper::Letter
    } else {
        Paper::A4
    };
    fs::create_dir_all(&folder)?;
    let drawings = [
        ("psychrometric", psychrometric(&states(), units)),
        ("day", day(&curves(), units)),
        ("load", load(&sources(), units)),
        ("capacity", capacity(&sets(), units)),
        ("range", range(&ranges(), units)),
    ];
    for (name, drawing) in &drawings {
        fs::write(folder.join(format!("{name}.svg")), svg(drawing))?;
    }
    let report = report(units, drawings.map(|d| d.1));
    #[cfg(feature = "pdf")]
    fs::write(
        folder.join("specimen.pdf"),
        sheet::pdf::pdf(&report, paper)?,
    )?;
    let _ = (report, paper);
    Ok(())
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

fn states() -> PsychrometricChart {
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
        lights_on: on * L_PER_DAY,
        lights_off: off * L_PER_DAY,
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

fn report(units: UnitSystem, [states, curves, sources, sets, ranges]: [Drawing; 5]) -> Report {
    let invented = || Source::assumed("invented for this specimen");
    let mut r = Report::new(TitleBlock {
        job: "Specimen job".into(),
        room: "Flower 2".into(),
        sheet_prefix: "H".into(),
        revision: "B".into(),
        date: "25 Nov 2026".into(),
        design_id: "7f3a91c204bb".into(),
        units,
    });
    let water = |l: f64| Value::new(l * L_PER_DAY, Dim::WaterRate);
    r.push(Block::Title {
        title: "Humidity of Flower 2: specimen".into(),
        subtitle: "Every block and chart with invented data. No number here means anything.".into(),
    });
    r.push(Block::KeyFigures(vec![
        KeyFigure {
            label: "Water to remove, lights on".into(),
            value: water(172.0),
            units: KeyUnits::Both,
            note: Text::from("9 of 10 drawn days lie under ").value(water(199.0)),
        },
        KeyFigure {
            label: "Water to remove, lights off".into(),
            value: water(117.0),
            units: KeyUnits::Both,
            note: "decides the number of units".into(),
        },
        KeyFigure {
            label: "Wettest air of the day".into(),
            value: Value::new(0.73, Dim::RelHumidity).digits(2),
            units: KeyUnits::Reader,
            note: "at 18:48, for 1.9 h above the limit".into(),
        },
    ]));
    r.push(Block::Heading(Level::One, "Findings".into()));
    let finding = |severity, what: Text, place: &'static str| Finding {
        check: "specimen".into(),
        severity,
        step: Step::Day,
        place: Place::new(place),
        what,
        measured: Some(Value::new(0.731, Dim::RelHumidity)),
        limit: Some(Value::new(0.62, Dim::RelHumidity).digits(2)),
        why: "Wet leaves for hours invite mould; the canopy dries last.".into(),
        remedy: Text::from("Ramp the temperature down over two hours, or add ")
            .value(water(20.0))
            .words(" of removal at room air."),
        source: Source::published("Author and Author, Invented handbook, 2019", "table 3"),
    };
    r.push(Block::Findings(vec![
        finding(
            Severity::Note,
            "The coil takes a fifth of the water.".into(),
            "cooling",
        ),
        finding(
            Severity::Stop,
            Text::from("The air reaches ")
                .value(Value::new(0.731, Dim::RelHumidity))
                .words(" after lights-off and stays above the limit for 1.9 h."),
            "canopy",
        ),
        finding(
            Severity::Fix,
            "Unit D3 starts more often than its maker allows.".into(),
            "unit D3",
        ),
    ]));
    r.push(Block::Figure {
        drawing: sets,
        caption: Text::new(),
    });
    r.push(Block::Heading(Level::One, "The air through the day".into()));
    r.push(Block::Figure {
        drawing: states,
        caption: "Path of the room's air. Follow the arrows: the path leaves the target when the lights go off.".into(),
    });
    r.push(Block::Figure {
        drawing: curves,
        caption: Text::new(),
    });
    r.push(Block::Heading(Level::One, "Water".into()));
    r.push(Block::Figure {
        drawing: sources,
        caption: Text::new(),
    });
    r.push(Block::Figure {
        drawing: ranges,
        caption: Text::new(),
    });
    r.push(Block::Table(table()));
    r.push(Block::Heading(Level::One, "What was assumed".into()));
    r.push(Block::Assumptions(vec![
        Assumption {
            what: "Share of the day's water given off at night".into(),
            value: Some(Value::new(0.22, Dim::Fraction).digits(2)),
            source: Source::memory("Author, Invented paper, 2007", "figure 2"),
        },
        Assumption {
            what: "Short-circuit share of every unit, until the placement is known".into(),
            value: Some(Value::new(0.10, Dim::Fraction).digits(2)),
            source: invented(),
        },
        Assumption {
            what: "Delay after power returns".into(),
            value: Some(Value::new(180.0, Dim::Duration)),
            source: Source::common_practice("three minutes where the maker says nothing"),
        },
    ]));
    r.push(Block::Heading(
        Level::Two,
        "What would make it better".into(),
    ));
    r.push(Block::Errands(vec![
        Errand {
            what: "Measure runoff for three days.".into(),
            why: "It decides one unit.".into(),
        },
        Errand {
            what: "Read the coil's leaving air with lights off.".into(),
            why: "It tells whether the coil may be counted on.".into(),
        },
    ]));
    r.push(Block::Cautions(vec![
        "The capacity is that at the room's own air. A rating at 27 °C and 60 % is more than any of these rooms will give.".into(),
        Text::from("Signs that a report must survive: # $ \" < > \\ & * _ @ [x] {y} //z ")
            .words("日本 \u{1F4A7}"),
    ]));
    r.push(Block::Heading(Level::One, "Workings".into()));
    r.push(Block::Workings(vec![working()]));
    r
}

fn table() -> Table {
    let mut rows: Vec<Vec<Cell>> = [
        ("canopy", 154.0, 31.2),
        ("wet medium", 10.8, 10.8),
        ("air from outside", 5.25, 4.4),
        ("wash-down", 4.5, 0.0),
        ("people", 1.25, 0.0),
        ("tanks", 0.8, 0.75),
        ("drying crop", 0.0, 0.0),
    ]
    .into_iter()
    .map(|(name, on, off)| {
        let v = |x: f64| Value::new(x * L_PER_DAY, Dim::WaterRate);
        vec![
            Cell::from(name),
            v(on).into(),
            v(on).into(),
            v(off).into(),
            v(off).into(),
        ]
    })
    .collect();
    rows[6] = vec![
        "drying crop".into(),
        Cell::NotApplicable,
        Cell::NotApplicable,
        Cell::Unknown,
        Cell::Blank,
    ];
    let v = |x: f64| Cell::Value(Value::new(x * L_PER_DAY, Dim::WaterRate));
    Table {
        caption: "Water by source".into(),
        columns: vec![
            Column::words("Source"),
            Column::of("Lights on", Dim::WaterRate).in_units(UnitSystem::Metric),
            Column::of("Lights on", Dim::WaterRate).in_units(UnitSystem::Us),
            Column::of("Lights off", Dim::WaterRate).in_units(UnitSystem::Metric),
            Column::of("Lights off", Dim::WaterRate).in_units(UnitSystem::Us),
        ],
        rows,
        total: Some(vec!["All".into(), v(176.6), v(176.6), v(47.2), v(47.2)]),
    }
}

fn working() -> Working {
    let given = |name: &'static str, symbol: &'static str, value: Value| {
        Input::given(
            name,
            symbol,
            value,
            Source::measured("survey", "flower-2.room.toml:14"),
        )
    };
    let density = Working {
        name: "Density of dry air in the room".into(),
        symbol: "rho_da".into(),
        equation: Equation::Algebra("p / (287.042 * (T + 273.15) * (1 + 1.607858 * W_in))".into()),
        inputs: vec![
            given("Pressure", "p", Value::new(83_400.0, Dim::Pressure)),
            given("Dry bulb", "T", Value::new(26.0, Dim::Temperature)),
            given(
                "Humidity ratio at the inlet",
                "W_in",
                Value::new(0.0146, Dim::HumidityRatio),
            ),
        ],
        result: Value::new(0.949, Dim::Density),
        source: Source::published("ASHRAE Handbook Fundamentals 2017", "ch. 1, eq. 26"),
    };
    Working {
        name: "Water that one unit takes from the air".into(),
        symbol: "m_w".into(),
        equation: Equation::Algebra("V * rho_da * (W_in - W_out)^1".into()),
        inputs: vec![
            given("Air flow of the unit", "V", Value::new(0.25, Dim::AirFlow)),
            Input::computed(density),
            given(
                "Humidity ratio at the inlet",
                "W_in",
                Value::new(0.0146, Dim::HumidityRatio),
            ),
            given(
                "Humidity ratio of the discharge",
                "W_out",
                Value::new(0.0121, Dim::HumidityRatio),
            ),
        ],
        result: Value::new(5.9e-4, Dim::WaterRate),
        source: Source::published("Mass balance of a steady stream", ""),
    }
}
