//! Sheet of one dehumidifier's record: its map against the points of the
//! datasheet, its plate, where the figures come from.

use air::MoistAir;
use equipment::{Data, FilterState, Model};
use quantity::{Dim, Text, UnitSystem, Value};

use crate::charts::{MapChart, MapCurve, MapPoint, map};
use crate::report::{Block, Cell, Column, Level, Table};

/// Relative humidities of the curves.
const CURVES: [f64; 5] = [0.8, 0.7, 0.6, 0.5, 0.4];
/// Steps of dry bulb of a curve.
const STEPS: usize = 24;
/// Dry bulbs of the table, as far as the unit runs at them \[°C\].
const TABLE_C: [f64; 6] = [16.0, 18.0, 20.0, 24.0, 28.0, 32.0];

/// Drawing and tables of a record, in reading order. All at the pressure of
/// its data, filter clean.
pub fn blocks(model: &Model, units: UnitSystem) -> Vec<Block> {
    vec![
        Block::Heading(Level::One, "What it removes".into()),
        Block::Figure {
            drawing: chart(model, units),
            caption: "Curves are the record's map with a clean filter at the pressure of its data; they end where the unit stops running.".into(),
        },
        Block::Table(points(model)),
        Block::Table(grid(model)),
        Block::Remark("(b) beyond the data of the record: carried on by physics; (f) the coil is below freezing: defrost is in the figure; – the unit does not run there.".into()),
        Block::Heading(Level::One, "What the record says".into()),
        Block::Table(plate(model)),
        Block::Paragraph(Text::from(provenance(model))),
    ]
}

fn state(model: &Model, dry_bulb_c: f64, rel_humidity: f64) -> Option<MoistAir> {
    MoistAir::from_rel_humidity(dry_bulb_c, rel_humidity, model.data_pressure_pa).ok()
}

fn chart(model: &Model, units: UnitSystem) -> crate::Drawing {
    let (low_c, high_c) = (model.min_inlet_c.max(5.0), model.max_inlet_c.min(40.0));
    let curve = |rel_humidity: f64| MapCurve {
        rel_humidity,
        states: (0..=STEPS)
            .filter_map(|i| {
                let t_c = low_c + (high_c - low_c) * i as f64 / STEPS as f64;
                let air = state(model, t_c, rel_humidity)?;
                Some((t_c, model.at(air, FilterState::Clean).removal_kg_per_s))
            })
            .collect(),
    };
    map(
        &MapChart {
            title: format!("Water removed by {}", model.code),
            subtitle: format!("Map of the record: {}", model.performance.word()),
            curves: CURVES.map(curve).to_vec(),
            points: model
                .ratings
                .iter()
                .map(|r| MapPoint {
                    dry_bulb_c: r.dry_bulb_c,
                    rel_humidity: r.rel_humidity,
                    removal_kg_per_s: r.removal_kg_per_s,
                })
                .collect(),
        },
        units,
    )
}

/// Points of the datasheet beside the map.
fn points(model: &Model) -> Table {
    let rows = model
        .ratings
        .iter()
        .map(|r| {
            let output = state(model, r.dry_bulb_c, r.rel_humidity)
                .map(|air| model.at(air, FilterState::Clean));
            let off = |found: f64, said: f64| {
                Cell::from(Value::new(found / said - 1.0, Dim::Fraction).digits(2))
            };
            let mut row: Vec<Cell> = vec![
                Value::new(r.dry_bulb_c, Dim::Temperature).into(),
                Value::new(r.rel_humidity, Dim::RelHumidity)
                    .digits(2)
                    .into(),
                Value::new(r.removal_kg_per_s, Dim::WaterRate).into(),
            ];
            match output {
                Some(o) => row.extend([
                    Cell::from(Value::new(o.removal_kg_per_s, Dim::WaterRate)),
                    off(o.removal_kg_per_s, r.removal_kg_per_s),
                    Value::new(r.power_w, Dim::Power).into(),
                    Value::new(o.power_w, Dim::Power).into(),
                    off(o.power_w, r.power_w),
                ]),
                None => row.resize(8, Cell::Unknown),
            }
            row
        })
        .collect();
    Table {
        caption: "Points of the datasheet beside the map".into(),
        columns: vec![
            Column::of("Dry bulb", Dim::Temperature),
            Column::of("RH", Dim::RelHumidity),
            Column::of("Datasheet", Dim::WaterRate),
            Column::of("Map", Dim::WaterRate),
            Column::of("Off by", Dim::Fraction),
            Column::of("Datasheet", Dim::Power),
            Column::of("Map", Dim::Power),
            Column::of("Off by", Dim::Fraction),
        ],
        rows,
        total: None,
    }
}

/// The map as numbers.
fn grid(model: &Model) -> Table {
    let mut columns = vec![Column::of("Dry bulb", Dim::Temperature)];
    columns.extend(CURVES.iter().map(|rh| {
        Column::mixed(Text::from("At ").value(Value::new(*rh, Dim::RelHumidity).digits(2)))
    }));
    let rows = TABLE_C
        .iter()
        .map(|t_c| {
            let mut row = vec![Cell::from(Value::new(*t_c, Dim::Temperature).digits(3))];
            row.extend(CURVES.iter().map(|rh| {
                let Some(air) = state(model, *t_c, *rh) else {
                    return Cell::Unknown;
                };
                let output = model.at(air, FilterState::Clean);
                if output.airflow_m3_per_s == 0.0 {
                    return Cell::NotApplicable;
                }
                let value = Value::new(output.removal_kg_per_s, Dim::WaterRate);
                match output.data {
                    Data::Inside => Cell::Text(Text::default().value(value)),
                    Data::Beyond { .. } => Cell::Text(Text::default().value(value).words(" (b)")),
                    Data::Frosting { .. } => Cell::Text(Text::default().value(value).words(" (f)")),
                }
            }));
            row
        })
        .collect();
    Table {
        caption: "The map as numbers: water removed".into(),
        columns,
        rows,
        total: None,
    }
}

fn plate(model: &Model) -> Table {
    let (body, plate) = (&model.body, &model.plate);
    let length = |m: f64| Value::new(m, Dim::Length);
    let size = body.size_m;
    let row = |what: &'static str, said: Text| vec![Cell::from(what), Cell::Text(said)];
    Table {
        caption: "Plate, body, control".into(),
        columns: vec![Column::words("What"), Column::words("The record says")],
        rows: vec![
            row("supply", {
                let low = plate
                    .low_volts
                    .map(|v| format!("{v:.0}/"))
                    .unwrap_or_default();
                format!(
                    "{low}{:.0} V, {} phase, {:.0} Hz",
                    plate.volts, plate.phases, plate.hertz
                )
                .into()
            }),
            row(
                "rated current",
                Text::default().value(Value::new(plate.full_load_a, Dim::Current)),
            ),
            row(
                "minimum circuit ampacity",
                Text::default().value(Value::new(plate.min_circuit_a, Dim::Current)),
            ),
            row(
                "largest overcurrent protection",
                Text::default().value(Value::new(plate.max_protection_a, Dim::Current)),
            ),
            row(
                "refrigerant",
                Text::from(format!("{}, ", model.refrigerant))
                    .value(Value::new(model.charge_kg, Dim::Mass)),
            ),
            row(
                "mass dry, with water",
                Text::default()
                    .value(Value::new(body.dry_kg, Dim::Mass))
                    .words(", ")
                    .value(Value::new(body.wet_kg, Dim::Mass)),
            ),
            row(
                "length, width, height",
                Text::default()
                    .value(length(size[0]))
                    .words(", ")
                    .value(length(size[1]))
                    .words(", ")
                    .value(length(size[2])),
            ),
            row(
                "runs at an inlet of",
                Text::default()
                    .value(Value::new(model.min_inlet_c, Dim::Temperature))
                    .words(" to ")
                    .value(Value::new(model.max_inlet_c, Dim::Temperature)),
            ),
            row("control", model.control.family.word().into()),
        ],
        total: None,
    }
}

fn provenance(model: &Model) -> String {
    let source = model.provenance.source();
    format!("Figures: {}", crate::shown::source(&source))
}
