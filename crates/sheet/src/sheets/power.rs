//! Sheet of the step "power": one-line diagram of each panel, schedules,
//! conductors, what happens after an outage.

mod one_line;
mod plan;
pub(super) mod tables;

use equipment::Catalog;
use job::power::edition;
use job::{Control, Placement, Power};
use quantity::{Text, UnitSystem};
use room::Room;

use crate::report::{Block, Level};

pub use one_line::one_line;
pub use plan::plan;

/// Drawings, tables and findings of this step, in reading order.
pub fn blocks(
    room: &Room,
    catalog: &Catalog,
    placement: &Placement,
    (power, control): (&Power, &Control),
    units: UnitSystem,
) -> Vec<Block> {
    let rules = room.wiring.rules.value;
    let mut out = vec![
        Block::Heading(Level::One, "Power".into()),
        Block::Paragraph(Text::from(format!(
            "By {}, as far as it is quoted here; local amendments, the plate of each unit and a licensed electrician overrule every figure.",
            edition(rules)
        ))),
    ];
    if power.branches.iter().any(|b| b.run.is_some()) {
        out.push(Block::Figure {
            drawing: plan(room, catalog, placement, (power, control), units),
            caption: "Ways of circuits and control cables, along walls and under the ceiling: power and control apart; lengths along the way, of cables with make-up".into(),
        });
    }
    for panel in &power.panels {
        // A page holds so many branches.
        for (i, part) in panel_pages(power, &panel.name).iter().enumerate() {
            let caption = if i == 0 {
                Text::from(format!(
                    "One-line diagram of panel {}: supply on top, units at the bottom",
                    panel.name
                ))
            } else {
                Text::from(format!(
                    "One-line diagram of panel {}, continued",
                    panel.name
                ))
            };
            out.push(Block::Figure {
                drawing: one_line(room, panel, part, units),
                caption,
            });
        }
    }
    for panel in &power.panels {
        out.push(Block::Table(tables::schedule(panel)));
        out.push(Block::Remark(tables::capacity(panel)));
        out.extend(tables::voltages(panel).map(Block::Remark));
    }
    if !power.branches.is_empty() {
        out.push(Block::Table(tables::conductors(power)));
        out.push(Block::Table(tables::plates(power)));
        out.push(Block::Table(tables::ways(power)));
        out.push(Block::Remark(
            "Length: along walls and ceiling at right angles, a tenth more for bends, a tail at each end. A disconnect is drawn where the nearest wall sees the unit; the electrician may set it at the unit.".into(),
        ));
    }
    for restart in &power.restarts {
        out.push(Block::Table(tables::restart(power, restart)));
        out.extend(
            restart
                .dip
                .as_ref()
                .map(|d| Block::Remark(tables::dip(&restart.panel, d))),
        );
    }
    if let Some(generator) = &power.generator {
        out.push(Block::Remark(tables::generator(generator)));
    }
    out.push(Block::Heading(Level::Two, "Findings".into()));
    out.push(Block::Findings(power.findings.clone()));
    out.push(Block::Cautions(cautions()));
    out
}

/// Branches of a panel, so many to a drawing.
fn panel_pages<'a>(power: &'a Power, panel: &str) -> Vec<Vec<&'a job::power::Branch>> {
    let all: Vec<_> = power
        .branches
        .iter()
        .filter(|b| b.panel.as_deref() == Some(panel))
        .collect();
    all.chunks(one_line::MOST_BRANCHES)
        .map(<[_]>::to_vec)
        .collect()
}

fn cautions() -> Vec<Text> {
    [
        "Work by a licensed electrician under the local code, with its permit and inspection.",
        "Switch off, lock, tag, and verify dead on all conductors before touching them; capacitors keep a charge.",
        "A unit starts by itself after its delay when the supply comes back: lock its disconnect before reaching in.",
        "Wet floors and benches: keep cords, plugs and open enclosures dry. A ground-fault device that trips has found a leak.",
        "Torque the terminals as marked; match conductors by terminal, not by colour.",
    ]
    .into_iter()
    .map(Text::from)
    .collect()
}
