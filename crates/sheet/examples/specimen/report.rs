//! Invented data for a specimen of every block. No number in it means anything.

use quantity::{
    Dim, Equation, Finding, Input, Place, Severity, Source, Step, Text, UnitSystem, Value, Working,
};
use sheet::report::{
    Assumption, Block, Cell, Column, Errand, KeyFigure, KeyUnits, Level, Report, Table, TitleBlock,
};

use crate::data::{L_PER_DAY, drawings};

/// Every block.
pub(crate) fn specimen(units: UnitSystem) -> Report {
    let [states, curves, sources, sets, ranges] = drawings(units).map(|d| d.1);
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
            keys: "crop.night_share".into(),
            taken: Text::new().value(Value::new(0.22, Dim::Fraction).digits(2)),
            source: Source::memory("Author, Invented paper, 2007", "figure 2"),
        },
        Assumption {
            what: "Short-circuit share of every unit, until the placement is known".into(),
            keys: "selection.short_circuit".into(),
            taken: Text::new().value(Value::new(0.10, Dim::Fraction).digits(2)),
            source: invented(),
        },
        Assumption {
            what: "Delay after power returns".into(),
            keys: "control.power_up_delay".into(),
            taken: Text::new().value(Value::new(180.0, Dim::Duration)),
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
