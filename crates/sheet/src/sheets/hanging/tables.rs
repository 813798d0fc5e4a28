//! Tables of the hanging sheet.

use job::hanging::{CarriedUnit, Direction, Hanging, StrutUse, Way};
use quantity::{Dim, Text, UnitSystem, Value};
use room::Room;

use super::detail::way_words;
use crate::report::{Align, Block, Cell, Column, Level, Table};

pub(super) fn all(room: &Room, hanging: &Hanging, reader: UnitSystem) -> Vec<Block> {
    let mut out = vec![
        Block::Heading(Level::Two, "What is carried, and how".into()),
        Block::Table(units(hanging)),
    ];
    let hung: Vec<&CarriedUnit> = hanging
        .units
        .iter()
        .filter(|u| !u.rods.is_empty())
        .collect();
    if !hung.is_empty() {
        out.push(Block::Table(places(&hung, reader)));
        out.push(Block::Table(loads(&hung)));
        if hung
            .iter()
            .any(|u| u.rods.iter().any(|r| r.hanger.is_some()))
        {
            out.push(Block::Table(isolators(&hung)));
        }
    }
    if hung.iter().any(|u| !u.struts.is_empty()) {
        out.push(Block::Table(struts(&hung)));
    }
    if hanging.units.iter().any(|u| u.stand.is_some()) {
        out.push(Block::Table(stands(hanging)));
    }
    if !hung.is_empty() {
        out.push(Block::Heading(Level::Two, "Levelling".into()));
        out.push(Block::Paragraph("Set a level on the rails of the pan, back to front and right to left. Never leave the unit tilted away from its drain outlet. Turn the nuts of both rods of the high side by the same turns, then lock each pair.".into()));
        out.extend(levelling(&hung).into_iter().map(Block::Table));
    }
    let carried = hanging.units.iter().any(|u| !u.anchors.is_empty());
    if carried {
        out.push(Block::Heading(
            Level::Two,
            "Anchor schedule: licensed structural engineer to approve".into(),
        ));
        out.push(Block::Table(anchors(room, hanging)));
    }
    out
}

fn value(si: f64, dim: Dim) -> Cell {
    Cell::Value(Value::new(si, dim))
}

/// A length that a crew measures with a tape.
fn tape(m: f64) -> Cell {
    Cell::Value(Value::new(m, Dim::Length).digits(4))
}

fn percent(share: f64) -> Cell {
    Cell::Value(Value::new(share, Dim::Fraction).digits(2))
}

fn right(head: &'static str) -> Column {
    Column {
        align: Align::Right,
        ..Column::words(head)
    }
}

fn units(hanging: &Hanging) -> Table {
    let rows = hanging
        .units
        .iter()
        .map(|u| {
            let middle = u.cabinet.middle_m();
            let off = |i: usize| {
                let m = u.gravity_m[i] - middle[i];
                // Less than half a millimetre is rounding.
                let m = if m.abs() < 5e-4 { 0.0 } else { m };
                Value::new(m, Dim::Length).digits(2)
            };
            vec![
                u.tag.clone().into(),
                u.model.clone().into(),
                way_words(u.way).into(),
                value(u.dry_kg, Dim::Mass),
                value(u.wet_kg, Dim::Mass),
                Text::new()
                    .value(off(0))
                    .words(" / ")
                    .value(off(1))
                    .words(" / ")
                    .value(off(2))
                    .into(),
            ]
        })
        .collect();
    Table {
        caption: "Units: mass without and with water, centre of gravity off the middle of the cabinet along x / y / z of the room".into(),
        columns: vec![
            Column::words("Unit"),
            Column::words("Model"),
            Column::words("Carried"),
            Column::of("Dry", Dim::Mass),
            Column::of("Wet", Dim::Mass),
            right("Centre of gravity"),
        ],
        rows,
        total: None,
    }
}

fn places(hung: &[&CarriedUnit], reader: UnitSystem) -> Table {
    let other = match reader {
        UnitSystem::Metric => UnitSystem::Us,
        UnitSystem::Us => UnitSystem::Metric,
    };
    let rows = hung
        .iter()
        .flat_map(|u| &u.rods)
        .map(|r| {
            vec![
                r.tag.clone().into(),
                tape(r.foot_m[0]),
                tape(r.foot_m[1]),
                tape(r.foot_m[0]),
                tape(r.foot_m[1]),
                tape(r.foot_m[2]),
                tape(r.top_m),
                tape(r.cut_m),
                r.rod.word().into(),
            ]
        })
        .collect();
    Table {
        caption: "Rods: where they go, heights of their ends above the floor, and how long to cut them (both pieces together where an isolator is between; trim after levelling)".into(),
        columns: vec![
            Column::words("Rod"),
            Column::mixed("From door wall"),
            Column::mixed("From side wall"),
            Column::mixed("The same, door wall").in_units(other),
            Column::mixed("The same, side wall").in_units(other),
            Column::mixed("Lower end"),
            Column::mixed("Upper end"),
            Column::mixed("Cut"),
            Column::words("Size"),
        ],
        rows,
        total: None,
    }
}

fn loads(hung: &[&CarriedUnit]) -> Table {
    let rows = hung
        .iter()
        .flat_map(|u| &u.rods)
        .map(|r| {
            vec![
                r.tag.clone().into(),
                value(r.even_n, Dim::Force),
                value(r.worst_n, Dim::Force),
                value(r.design_n, Dim::Force),
                value(r.allowed_n, Dim::Force),
                percent(r.utilisation()),
            ]
        })
        .collect();
    let factor = hung.first().map_or(1.0, |u| u.load_factor);
    Table {
        caption: Text::from(
            "Rods: loads with the pan full; with factor means the worst load times ",
        )
        .value(Value::new(factor, Dim::Number)),
        columns: vec![
            Column::words("Rod"),
            Column::of("All rods alike", Dim::Force),
            Column::of("One rod slack", Dim::Force),
            Column::of("With factor", Dim::Force),
            Column::of("Rod may carry", Dim::Force),
            Column::mixed("Used"),
        ],
        rows,
        total: None,
    }
    .alike_once()
}

fn isolators(hung: &[&CarriedUnit]) -> Table {
    let rows = hung
        .iter()
        .flat_map(|u| &u.rods)
        .filter_map(|r| {
            let h = r.hanger?;
            Some(vec![
                r.tag.clone().into(),
                h.kind.word().into(),
                h.rated_n.map_or(Cell::Unknown, |n| value(n, Dim::Force)),
                Cell::Value(Value::new(h.deflection_m, Dim::Length).digits(2)),
                Cell::Value(Value::new(h.natural_hz, Dim::Number).digits(2)),
                percent(h.transmitted),
            ])
        })
        .collect();
    Table {
        caption: "Isolators: chosen by load, common practice; natural frequency from the deflection under the even load, passed on at the frequency of the supply. Records give no speed of fan or compressor: slower parts pass more.".into(),
        columns: vec![
            Column::words("Rod"),
            Column::words("Kind"),
            Column::of("Rated at least", Dim::Force),
            Column::mixed("Gives"),
            Column::of("Natural frequency per second", Dim::Number),
            Column::mixed("Passed on"),
        ],
        rows,
        total: None,
    }
    .alike_once()
}

fn struts(hung: &[&CarriedUnit]) -> Table {
    let rows = hung
        .iter()
        .flat_map(|u| &u.struts)
        .map(|s| {
            vec![
                s.tag.clone().into(),
                match s.used {
                    StrutUse::Across => "across the members".into(),
                    StrutUse::Trapeze => "under the unit".into(),
                },
                tape(s.span_m),
                value(s.moment_n_m, Dim::Moment),
                value(s.stress_pa, Dim::Stress),
                value(s.allowed_pa, Dim::Stress),
                Cell::Value(Value::new(s.sag_m, Dim::Length).digits(2)),
                Cell::Value(Value::new(s.allowed_sag_m, Dim::Length).digits(2)),
            ]
        })
        .collect();
    Table {
        caption: "Strut channel 1 5/8 in × 1 5/8 in, 12 gauge, plain back: moment and stress with factor, sag without".into(),
        columns: vec![
            Column::words("Channel"),
            Column::words("Lies"),
            Column::mixed("Span"),
            Column::of("Moment", Dim::Moment),
            Column::of("Stress", Dim::Stress),
            Column::of("Allowed", Dim::Stress),
            Column::mixed("Sag"),
            Column::mixed("Allowed sag"),
        ],
        rows,
        total: None,
    }
    .alike_once()
}

fn stands(hanging: &Hanging) -> Table {
    let rows = hanging
        .units
        .iter()
        .filter_map(|u| {
            let s = u.stand?;
            Some(vec![
                u.tag.clone().into(),
                tape(s.height_m),
                value(s.foot_n, Dim::Force),
                tape(s.to_edge_m),
                value(s.tips_at_rad, Dim::Angle),
                value(s.push_n, Dim::Force),
            ])
        })
        .collect();
    Table {
        caption: "Stands: worst foot with factor; tilt, and push at the centre of gravity, that tips the unit if it is not bolted down".into(),
        columns: vec![
            Column::words("Unit"),
            Column::mixed("Height of stand"),
            Column::of("Worst foot", Dim::Force),
            Column::mixed("Centre of gravity to edge"),
            Column::of("Tips at", Dim::Angle),
            Column::of("Tips by", Dim::Force),
        ],
        rows,
        total: None,
    }
}

/// One table for each set of equal rod spacings.
fn levelling(hung: &[&CarriedUnit]) -> Vec<Table> {
    let mut groups: Vec<(job::hanging::Levelling, Vec<&str>)> = Vec::new();
    for unit in hung {
        let Some(level) = unit.levelling else {
            continue;
        };
        match groups.iter_mut().find(|(l, _)| *l == level) {
            Some((_, tags)) => tags.push(&unit.tag),
            None => groups.push((level, vec![&unit.tag])),
        }
    }
    groups
        .into_iter()
        .map(|(level, tags)| {
            let rows = [0.5, 1.0, 2.0, 3.0, 4.0]
                .into_iter()
                .map(|times| {
                    let tilt = times * level.tolerance;
                    let turns = |way| {
                        Cell::Value(Value::new(level.turns(tilt, way), Dim::Number).digits(2))
                    };
                    let rise = |i: usize| {
                        Cell::Value(Value::new(tilt * level.spacing_m[i], Dim::Length).digits(2))
                    };
                    vec![
                        Cell::Value(Value::new(tilt, Dim::Slope).digits(2)),
                        rise(0),
                        turns(Direction::BackToFront),
                        rise(1),
                        turns(Direction::RightToLeft),
                        if times <= 1.0 {
                            "level enough".into()
                        } else {
                            "turn".into()
                        },
                    ]
                })
                .collect();
            Table {
                caption: Text::from(format!("{}: rods ", tags.join(", ")))
                    .value(Value::new(level.spacing_m[0], Dim::Length).digits(4))
                    .words(" apart back to front, ")
                    .value(Value::new(level.spacing_m[1], Dim::Length).digits(4))
                    .words(" right to left; out of level by at most ")
                    .value(Value::new(level.tolerance, Dim::Slope).digits(2))
                    .words(", half of the pan's own fall"),
                columns: vec![
                    Column::of("Measured tilt", Dim::Slope),
                    Column::mixed("Rise, back to front"),
                    Column::of("Turns", Dim::Number),
                    Column::mixed("Rise, right to left"),
                    Column::of("Turns", Dim::Number),
                    Column::words("Verdict"),
                ],
                rows,
                total: None,
            }
        })
        .collect()
}

fn anchors(room: &Room, hanging: &Hanging) -> Table {
    let kind = room
        .structure
        .as_ref()
        .map_or("not surveyed", |s| s.kind.value.word());
    let rows = hanging
        .units
        .iter()
        .flat_map(|u| {
            let on = if u.way == Way::Stand { "floor" } else { kind };
            let seismic = u.sway.and_then(|s| s.seismic_n);
            u.anchors.iter().map(move |a| {
                vec![
                    a.tag.clone().into(),
                    tape(a.at_m[0]),
                    tape(a.at_m[1]),
                    on.into(),
                    if u.way == Way::Stand { "down" } else { "pull" }.into(),
                    value(a.reaction_n, Dim::Force),
                    seismic.map_or(Cell::NotApplicable, |n| value(n, Dim::Force)),
                    Cell::Blank,
                ]
            })
        })
        .collect();
    Table {
        caption: "Reactions with the pan full, one rod or foot slack, with factor. A channel across members gives the largest pull that any one member may get. Sideways: the seismic force of the whole unit, for its braces.".into(),
        columns: vec![
            Column::words("Anchor"),
            Column::mixed("From door wall"),
            Column::mixed("From near side wall"),
            Column::words("In"),
            Column::words("Acts"),
            Column::of("Reaction", Dim::Force),
            Column::of("Sideways, unit", Dim::Force),
            Column::words("Type and approval"),
        ],
        rows,
        total: None,
    }
}
