//! Tables and words of the drain sheet.

use equipment::Cabinet;
use job::Drain;
use job::drain::water::{SURGE, UnitWater};
use job::drain::{LinePart, Overflow, VentReason, pipe};
use quantity::{Dim, Text, Value};
use room::{PipeSize, PlumbingRules, Room};

use crate::report::{Block, Cell, Column, Level, Table};

fn length(m: f64) -> Value {
    Value::new(m, Dim::Length)
}

/// What is built, by which rules.
pub(super) fn in_short(room: &Room, drain: &Drain) -> Text {
    let rules = match room.piping.rules.value {
        PlumbingRules::Ipc => "International Plumbing and Mechanical Codes, 2021",
        PlumbingRules::Upc => "Uniform Plumbing and Mechanical Codes",
    };
    let mut text = Text::from(format!(
        "Rules: {rules}, as default; the authority having jurisdiction and the unit's own instructions govern. "
    ))
    .words("Least fall ")
    .value(Value::new(room.piping.fall.value, Dim::Slope))
    .words(". ");
    for run in &drain.runs {
        text = text
            .words(format!(
                "To {}: {} at most ",
                run.drain,
                run.units.join(", ")
            ))
            .value(Value::new(run.day_kg, Dim::Water))
            .words(" a day; peak for sizing ")
            .value(Value::new(run.demand.flow_kg_per_s, Dim::WaterRate));
        if let Some(last) = run.segments.iter().find(|s| s.next.is_none()) {
            text = text
                .words("; the line may carry ")
                .value(Value::new(
                    pipe::capacity_kg_per_s(last.inside_m, run.demand.fall),
                    Dim::WaterRate,
                ))
                .words(" (half of its flow half full)");
        }
        text = match run.air_gap_m {
            Some(gap) => text
                .words(". Air gap ")
                .value(length(gap))
                .words(" from the pipe's end to the rim. "),
            None => text.words(". Closed connection, without an air gap. "),
        };
    }
    text.and(&peaks(drain))
}

/// At which air the water of units is most, and the peak over it.
fn peaks(drain: &Drain) -> Text {
    let mut alike: Vec<(&UnitWater, Vec<&str>)> = Vec::new();
    for unit in &drain.units {
        match alike.iter_mut().find(|(water, _)| **water == unit.water) {
            Some((_, tags)) => tags.push(&unit.tag),
            None => alike.push((&unit.water, vec![&unit.tag])),
        }
    }
    if alike.is_empty() {
        return Text::new();
    }
    let mut text = Text::from("A peak is ")
        .value(Value::new(SURGE, Dim::Number).digits(2))
        .words(" times the most that a unit takes out at the wettest airs of the targets and at its rating: ");
    for (i, (water, tags)) in alike.iter().enumerate() {
        text = text
            .words(format!(
                "{}{} ",
                if i == 0 { "" } else { "; " },
                tags.join(", ")
            ))
            .value(Value::new(water.removal_kg_per_s, Dim::WaterRate))
            .words(if tags.len() == 1 { " at " } else { " each at " })
            .value(Value::new(water.air.dry_bulb_c(), Dim::Temperature))
            .words(" and ")
            .value(Value::new(water.air.rel_humidity(), Dim::RelHumidity).digits(2));
    }
    text.words(". ")
}

/// Points and pieces of each line.
pub(super) fn segments(room: &Room, drain: &Drain) -> Vec<Block> {
    let mut blocks = Vec::new();
    for run in &drain.runs {
        let mut rows = Vec::new();
        for s in run.segments.iter().filter(|s| 1e-3 < s.length_m) {
            let (a, b) = (&run.nodes[s.from], &run.nodes[s.to]);
            let part = match s.part {
                LinePart::Branch => "branch",
                LinePart::Main => "along the wall",
                LinePart::Drop => "straight down",
                LinePart::Foot => "low, to the drain",
            };
            rows.push(vec![
                Cell::Text(format!("{} – {}", a.mark, b.mark).into()),
                Cell::Text(part.into()),
                Cell::Value(length(a.at_m[2]).digits(4)),
                Cell::Value(length(b.at_m[2]).digits(4)),
                Cell::Value(length(s.length_m)),
                s.slope().map_or(Cell::NotApplicable, |x| {
                    Cell::Value(Value::new(x, Dim::Slope))
                }),
                s.size.map_or(Cell::Unknown, |size| {
                    Cell::Text(PipeSize::word(size).into())
                }),
                Cell::Value(Value::new(s.demand.flow_kg_per_s, Dim::WaterRate).digits(2)),
                Cell::Value(Value::new(f64::from(s.supports), Dim::Count)),
            ]);
        }
        blocks.push(Block::Table(Table {
            caption: Text::from(format!("Pieces of the line to {}, ", run.drain))
                .words(format!(
                    "{}; a support every ",
                    room.piping.material.value.word()
                ))
                .value(length(room.piping.support_spacing_m.value))
                .words(" at most. A tag is the outlet of that unit's trap"),
            columns: vec![
                Column::words("Points"),
                Column::words("Part"),
                Column::mixed("Invert from"),
                Column::mixed("to"),
                Column::mixed("Length"),
                Column::mixed("Fall"),
                Column::words("Size"),
                Column::mixed("Peak"),
                Column::mixed("Supports"),
            ],
            rows,
            total: None,
        }));
    }
    blocks
}

/// Trap, vent, priming, overflow of each unit.
pub(super) fn units(drain: &Drain) -> Vec<Block> {
    let optional = |v: Option<Value>| v.map_or(Cell::NotApplicable, Cell::Value);
    let rows = drain
        .units
        .iter()
        .map(|u| {
            let cabinet = match u.pan.cabinet {
                Cabinet::DrawThrough => "draw",
                Cabinet::BlowThrough => "blow",
            };
            vec![
                Cell::Text(u.tag.clone().into()),
                Cell::Text(cabinet.into()),
                Cell::Value(Value::new(u.pan.worst_pa(), Dim::Pressure)),
                optional(u.trap.map(|t| length(t.built.drop_m))),
                optional(u.trap.map(|t| length(t.built.seal_m))),
                optional(u.trap.map(|t| length(t.depth_m()))),
                optional(u.trap.map(|t| {
                    Value::new(1000.0 * quantity::WATER_KG_PER_L * t.priming_m3, Dim::Water)
                        .digits(2)
                })),
                u.dry_out.map_or(Cell::NotApplicable, |d| {
                    Cell::Text(
                        Text::new()
                            .value(Value::new(d.shortest_s, Dim::Duration).digits(1))
                            .words(" to ")
                            .value(Value::new(d.longest_s, Dim::Duration).digits(2)),
                    )
                }),
                Cell::Text(
                    match u.vent.as_ref().map(|v| v.why) {
                        None => "none",
                        Some(VentReason::SharedLine) => "yes: shared line",
                        Some(VentReason::ClosedDrain) => "yes: closed drain",
                        Some(VentReason::LongLine) => "yes: long line",
                    }
                    .into(),
                ),
            ]
        })
        .collect();
    let heights = drain
        .units
        .iter()
        .filter_map(|u| {
            let way = u.way.as_ref()?;
            let stop = match &u.overflow {
                Overflow::Terminal(mark) => format!("float switch to {mark}"),
                Overflow::NoTerminal => "float switch: no terminal named".into(),
            };
            let pump = way.pump.map_or_else(
                || Text::from("none"),
                |p| {
                    Text::new()
                        .value(Value::new(
                            p.flow_m3_per_s * pipe::WATER_KG_PER_M3,
                            Dim::WaterRate,
                        ))
                        .words(" at ")
                        .value(length(p.head_m()))
                        .words(format!(
                            ", tube {}, check valve; its high-level switch stops the unit",
                            p.tube
                        ))
                },
            );
            Some(vec![
                Cell::Text(u.tag.clone().into()),
                Cell::Value(length(u.outlet_invert_m).digits(4)),
                Cell::Value(length(way.available_m)),
                Cell::Value(length(way.needed_m)),
                Cell::Value(Value::new(u.water.peak_kg_per_s, Dim::WaterRate)),
                Cell::Text(pump),
                Cell::Text(stop.into()),
            ])
        })
        .collect::<Vec<_>>();
    let mut blocks = vec![Block::Table(Table {
        caption: "Traps: H and J at least, measured as in the section; an idle seal lasts from the shorter time (air swept over it) to the longer (still air)".into(),
        columns: vec![
            Column::words("Unit"),
            Column::words("Fan"),
            Column::mixed("Pan, worst"),
            Column::mixed("H"),
            Column::mixed("J"),
            Column::mixed("Depth L"),
            Column::mixed("To prime"),
            Column::mixed("Idle seal lasts"),
            Column::words("Vent"),
        ],
        rows,
        total: None,
    })];
    if !heights.is_empty() {
        blocks.push(Block::Table(Table {
            caption: "Height from the pan outlet to the drain, pumps, and what stops a unit whose pan fills".into(),
            columns: vec![
                Column::words("Unit"),
                Column::mixed("Pan outlet IL"),
                Column::mixed("Height at hand"),
                Column::mixed("Height needed"),
                Column::mixed("Peak"),
                Column::words("Pump"),
                Column::words("Overflow"),
            ],
            rows: heights,
            total: None,
        }));
    }
    blocks
}

/// What to do, in order.
pub(super) fn steps(drain: &Drain) -> Vec<Block> {
    let mut steps = vec![
        "Join each outlet with a short flexible connector, so that a unit that moves does not load the joints; its own trap ahead of any common line.",
        "Never narrow the pipe between pan and drain. Lay each piece to the inverts of the table, no low spots between supports.",
        "Prime each trap until water leaves it; see it drain with the fan running and with the fan stopped.",
        "Prime again after any idle time of more than a week, and at every seasonal start.",
        "Pour water into each pan with the outlet plugged: the unit must stop before the pan runs over.",
    ];
    if drain.units.iter().any(|u| u.vent.is_some()) {
        steps.push("A vent stands after the trap, never on the pan's side; keep its open end free and over the pan's overflow.");
    }
    let mut blocks = vec![Block::Heading(Level::Three, "To do, in order".into())];
    blocks.extend(
        steps
            .into_iter()
            .enumerate()
            .map(|(i, s)| Block::Paragraph(format!("{}. {s}", i + 1).into())),
    );
    blocks.push(Block::Remark(
        "On a trap that stands already: H not over the pan's water head, it holds water while it runs; J not over half of it (draw-through) or all of it (blow-through), its seal blows at each start.".into(),
    ));
    blocks
}

/// What a crew must not forget.
pub(super) fn cautions() -> Vec<Text> {
    [
        "Condensate is indirect waste: end it over an air gap at a receptor that can be reached; never join it to a sewer, a vent stack or a walk.",
        "No cross-connection: condensate holds dust, metals and microbes; never into drinking or feed water, and no reuse without treatment.",
        "A trap that can freeze breaks: keep it in heated space, heat and insulate it, or use a listed waterless seal.",
        "Disconnect and lock out the unit before opening pan, trap or pump; it restarts by itself.",
        "No chlorine on coils: clean pans and traps with what the unit's instructions allow.",
        "Local codes, the authority having jurisdiction and a licensed plumber govern.",
    ]
    .into_iter()
    .map(Text::from)
    .collect()
}
