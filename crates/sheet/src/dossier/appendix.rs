//! Remarks, assumptions, cautions, workings.

use job::{Design, HoldRule};
use quantity::{Finding, Severity, Source, Text};
use room::Room;

use super::Workings;
use crate::report::{Assumption, Block, Level};

pub(super) fn blocks(room: &Room, design: &Design, workings: Workings) -> Vec<Block> {
    let notes: Vec<Finding> = design
        .findings()
        .into_iter()
        .filter(|f| f.severity == Severity::Note)
        .cloned()
        .collect();
    let mut blocks = vec![Block::PageBreak];
    if !notes.is_empty() {
        blocks.push(Block::Heading(Level::One, "Worth knowing".into()));
        blocks.push(Block::Findings(notes));
    }
    blocks.push(Block::Heading(Level::One, "What was assumed".into()));
    blocks.push(Block::Assumptions(assumptions(room)));
    blocks.push(Block::Heading(Level::One, "Cautions".into()));
    blocks.push(Block::Cautions(cautions()));
    if workings == Workings::Appended {
        blocks.push(Block::PageBreak);
        blocks.push(Block::Heading(Level::One, "Workings".into()));
        blocks.push(Block::Remark(
            "Inputs are in the reader's units; the equations hold in SI, with temperatures in °C."
                .into(),
        ));
        blocks.push(Block::Workings(
            design
                .load
                .workings
                .iter()
                .chain(&design.selection.workings)
                .cloned()
                .collect(),
        ));
    }
    blocks
}

/// Assumptions of the survey, then those of the steps.
fn assumptions(room: &Room) -> Vec<Assumption> {
    let survey = room.assumptions.iter().map(|a| Assumption {
        what: Text::from(format!("{} [{}]", a.what.trim_end_matches('.'), a.key)),
        taken: a.taken.clone(),
        source: a.source.clone(),
    });
    let of_program = [
        ("a drawn day holds", HoldRule::SOURCE),
        (
            "one air state for the whole room",
            Source::assumed("well mixed by the circulation fans; placement shows where it is not"),
        ),
        (
            "what a unit removes lies within ±5 % of its own data, ±10 % where only a rating is known",
            Source::published(
                "Winkler, Christensen and Tomerlin 2011 against the example curves of a public simulation program",
                "the two sets differ by this much away from the rating point; ±5 % assumed for own data",
            ),
        ),
    ];
    survey
        .chain(of_program.into_iter().map(|(what, source)| Assumption {
            what: what.into(),
            taken: Text::new(),
            source,
        }))
        .collect()
}

/// The usual cautions of the work that this dossier leads to.
fn cautions() -> Vec<Text> {
    [
        "Electricity: work on circuits and connections is for licensed electricians; lock out and test before touching.",
        "Lifting and height: units are heavier than they look; use rated lifting gear, keep people from under the load, and guard against falls.",
        "Structure: what may hang from a roof or ceiling is for a licensed engineer to say.",
        "Refrigerant: circuits are opened by certified people only; ventilate after a leak.",
        "Drinking water: condensate is not drinking water; drains end in an indirect waste with an air gap.",
        "Carbon dioxide and burners: measure before entering an enriched room; unvented burners need working sensors and ventilation.",
        "Local codes and the instructions of the maker stand above this dossier.",
    ]
    .map(Text::from)
    .to_vec()
}
