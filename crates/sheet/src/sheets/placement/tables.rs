//! Tables of the placement.

use equipment::{Catalog, FACES};
use job::Placement;
use job::placement::{JetKind, PlacedBy};
use quantity::{Dim, Text, Value};

use super::marks::recorded;
use crate::report::{Cell, Column, Table};

/// Units with their places.
pub(super) fn units(catalog: &Catalog, placement: &Placement) -> Table {
    let length = |m: f64| Cell::Value(Value::new(m, Dim::Length).digits(4));
    let rows = recorded(catalog, placement)
        .map(|(u, model)| {
            let [x, y, z] = u.frame.at_m;
            vec![
                u.tag.clone().into(),
                u.model.clone().into(),
                length(x),
                length(y),
                length(z - 0.5 * model.body.size_m[2]),
                u.frame.facing.word().into(),
                u.mount.word().into(),
                Cell::Value(Value::new(u.short_circuit, Dim::Fraction).digits(2)),
                match u.by {
                    PlacedBy::Survey => "surveyed".into(),
                    PlacedBy::FacingSearched => "surveyed, direction proposed".into(),
                    PlacedBy::Search => "proposed".into(),
                },
            ]
        })
        .collect();
    Table {
        caption: "Units: x and y of the middle, z of the underside".into(),
        columns: vec![
            Column::words("Tag"),
            Column::words("Model"),
            Column::of("x", Dim::Length),
            Column::of("y", Dim::Length),
            Column::of("Underside z", Dim::Length),
            Column::words("Blows to"),
            Column::words("Mount"),
            Column::of("Short circuit", Dim::Fraction),
            Column::words("Place"),
        ],
        rows,
        total: None,
    }
}

/// Space that each model needs on its sides.
pub(super) fn clearances(catalog: &Catalog, placement: &Placement) -> Table {
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    let mut seen: Vec<&str> = Vec::new();
    for (u, model) in recorded(catalog, placement) {
        if seen.contains(&u.model.as_str()) {
            continue;
        }
        seen.push(&u.model);
        let mut row = vec![u.model.clone().into()];
        for m in model.body.clearance_m {
            row.push(Cell::Value(Value::new(m, Dim::Length)));
        }
        row.push(Text::from(model.body.filter.word()).into());
        row.push(Text::from(model.body.panel.word()).into());
        rows.push(row);
    }
    let mut columns = vec![Column::words("Model")];
    for (_, word) in FACES {
        columns.push(Column::of(word, Dim::Length));
    }
    columns.push(Column::words("Filter at"));
    columns.push(Column::words("Panel at"));
    Table {
        caption: "Free space needed at each side, seen from behind the unit looking where it blows"
            .into(),
        columns,
        rows,
        total: None,
    }
}

/// What blows, and how far.
pub(super) fn jets(placement: &Placement) -> Table {
    let rows = placement
        .jets
        .iter()
        .map(|j| {
            vec![
                j.from.clone().into(),
                match j.kind {
                    JetKind::Discharge => "discharge, warm",
                    JetKind::Supply => "cold supply",
                    JetKind::Fan => "circulation fan",
                }
                .into(),
                Value::new(j.opening.speed_m_per_s * j.opening.area_m2, Dim::AirFlow).into(),
                Value::new(j.opening.speed_m_per_s, Dim::Speed).into(),
                Value::new(j.reach_m, Dim::Length).into(),
            ]
        })
        .collect();
    Table {
        caption: Text::from("Jets: reach is where the axis has slowed to ")
            .value(Value::new(job::placement::scene::REACH_M_PER_S, Dim::Speed).digits(1))
            .words(", or a wall or thing ahead"),
        columns: vec![
            Column::words("From"),
            Column::words("What"),
            Column::of("Air flow", Dim::AirFlow),
            Column::of("At the opening", Dim::Speed),
            Column::of("Reach", Dim::Length),
        ],
        rows,
        total: None,
    }
}
