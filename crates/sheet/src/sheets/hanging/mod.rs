//! Sheet of the step "hanging": what a rigger builds from.

mod detail;
mod layout;
mod tables;

use std::f64::consts::FRAC_PI_3;

use equipment::Catalog;
use job::Placement;
use job::hanging::lifting::sling_tension_n;
use job::hanging::{Hanging, Way};
use quantity::{Dim, Text, UnitSystem, Value};
use room::Room;

use crate::report::{Block, Level};

pub use layout::{VIEW, layout};

/// Drawings, tables and findings of this step, in reading order.
pub fn blocks(
    room: &Room,
    _catalog: &Catalog,
    _placement: &Placement,
    hanging: &Hanging,
    units: UnitSystem,
) -> Vec<Block> {
    let mut out = vec![Block::Heading(Level::One, "Hanging".into())];
    if hanging.units.is_empty() {
        out.push(Block::Paragraph(
            "No unit is placed: nothing is carried.".into(),
        ));
        return out;
    }
    out.push(Block::Figure {
        drawing: layout(room, hanging, units),
        caption: layout_caption(hanging),
    });
    for unit in detail::one_of_each_way(hanging) {
        out.push(Block::Figure {
            drawing: detail::drawing(unit, units),
            caption: detail::caption(unit),
        });
    }
    out.extend(tables::all(room, hanging, units));
    out.push(Block::Heading(Level::Two, "Findings of the hanging".into()));
    out.push(Block::Findings(hanging.findings.clone()));
    out.push(Block::Cautions(cautions(hanging)));
    out
}

fn layout_caption(hanging: &Hanging) -> Text {
    let factor = hanging.units.first().map_or(1.0, |u| u.load_factor);
    Text::from("Hanging layout, seen from above: set out each rod from the two walls; the load of a rod is the largest with one rod slack, times ")
        .value(Value::new(factor, Dim::Number))
        .words(". Rod 1 is front left, 2 front right, 3 back left, 4 back right, seen from behind the unit; the arrow is its discharge.")
}

fn cautions(hanging: &Hanging) -> Vec<Text> {
    let heaviest = hanging
        .units
        .iter()
        .filter(|u| u.way != Way::Outside)
        .map(|u| u.dry_kg)
        .fold(0.0, f64::max);
    let mut out = vec![
        Text::from(
            "A licensed structural engineer approves the structure, anchors, reactions and sway braces before anything hangs. Local code and the authority having jurisdiction rule; these figures are screening.",
        ),
        Text::from(
            "Hang nothing from sprinkler pipe, conduit, ceiling grid, insulated panels or the lips of purlins. Anchors are inspected as the code requires.",
        ),
    ];
    if 0.0 < heaviest {
        out.push(
            Text::from("The heaviest unit has ")
                .value(Value::new(heaviest, Dim::Mass))
                .words(": use a lift or hoist rated for it (slings: 29 CFR 1910.184, 1926.251). On a sling of two legs at 60° from the horizontal each leg pulls ")
                .value(Value::new(sling_tension_n(heaviest, FRAC_PI_3), Dim::Force))
                .words("; flatter legs pull more."),
        );
    }
    out.extend([
        Text::from("Nobody beneath a suspended unit. Keep it on its temporary support until all nuts are locked in pairs."),
        Text::from("Work at height: ladders 29 CFR 1910.23 and 1926.1053, lifts 1926.453 and 1910.67, fall protection 1910.28 and 1926.501."),
        Text::from("Rods carry straight tension only: do not bend them, weld to them or push on them. Look at all nuts and the level again after 24 h under load and when the pan is wet."),
    ]);
    out
}
