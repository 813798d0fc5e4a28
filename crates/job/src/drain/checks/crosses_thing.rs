//! A pipe passes through an obstacle, a machine, a bench, a panel or an aisle.

use quantity::{Finding, Place, Severity, Source, Step, Text};

use super::Judged;
use crate::drain::crosses;
use crate::finding::Said;
use crate::placement::ThingKind;

pub(super) fn check(judged: &Judged<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    for run in &judged.drain.runs {
        for thing in judged
            .drain
            .things
            .iter()
            .filter(|t| t.kind != ThingKind::Door)
        {
            let met = run.segments.iter().find(|s| crosses(thing, &run.nodes, s));
            let Some(segment) = met else { continue };
            let (from, to) = (&run.nodes[segment.from].mark, &run.nodes[segment.to].mark);
            found.push(
                Said {
                    check: "crosses_thing",
                    severity: Severity::Fix,
                    step: Step::Drain,
                    place: Place::new(thing.name.clone()),
                    what: Text::from(format!(
                        "the line to {} meets it between points {from} and {to}",
                        run.drain
                    )),
                    why: match thing.kind {
                        ThingKind::Panel => "a pipe over a panel is forbidden: a leak would reach live parts",
                        ThingKind::Aisle => "people walk into it or trip over it",
                        _ => "the pipe cannot be laid as it is drawn",
                    },
                    remedy: "choose another drain or place of the unit, or move what is in the way: no way round it falls to the drain".into(),
                    source: match thing.kind {
                        ThingKind::Panel => Source::memory("NEC 110.26(E), dedicated space over panels", "not read"),
                        _ => Source::assumed("pipe and thing need the same space"),
                    },
                }
                .finding(),
            );
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::bench::{DRAIN, UNIT, bench};
    use super::*;

    #[test]
    fn a_way_round_is_taken_where_there_is_one() {
        let wall = |width: &str| {
            format!(
                "[[obstacle]]\nname = \"B\"\nat = [\"5 m\", \"4 m\", \"2 m\"]\nlength = \"0.2 m\"\nwidth = \"{width}\"\nheight = \"4 m\"\n"
            )
        };
        // Narrower than the room: along a side wall. All across: no way.
        assert!(
            bench(&[UNIT, DRAIN, &wall("7.6 m")])
                .found(check)
                .is_empty()
        );
        let found = bench(&[UNIT, DRAIN, &wall("8 m")]).found(check);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].place.0, "B");
    }
}
