//! A pipe passes through the opening of a door.

use quantity::{Finding, Place, Severity, Source, Step, Text};

use super::{Judged, length};
use crate::drain::crosses;
use crate::finding::Said;
use crate::placement::ThingKind;

pub(super) fn check(judged: &Judged<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    for run in &judged.drain.runs {
        for door in judged
            .drain
            .things
            .iter()
            .filter(|t| t.kind == ThingKind::Door)
        {
            let met = run.segments.iter().find(|s| crosses(door, &run.nodes, s));
            let Some(segment) = met else { continue };
            let z_m = run.nodes[segment.from].at_m[2].min(run.nodes[segment.to].at_m[2]);
            let head_m = door.cuboid.high_m[2];
            found.push(
                Said {
                    check: "crosses_door",
                    severity: Severity::Fix,
                    step: Step::Drain,
                    place: Place::new(door.name.clone()),
                    what: Text::from(format!("the line to {} passes it at ", run.drain))
                        .value(length(z_m))
                        .words("; the door is free up to ")
                        .value(length(head_m)),
                    why: "the door hits the pipe, or people trip over it",
                    remedy: "lead the line over the door or round the other way, choose another drain, or lift the water with a pump".into(),
                    source: Source::assumed("a door's opening stays free"),
                }
                .compared(length(z_m), length(head_m)),
            );
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::bench::{UNIT, bench};
    use super::*;
    use crate::common::one;

    /// Doors in both side walls leave no way round.
    fn doors(height_m: f64) -> Vec<Finding> {
        let door = |wall: &str| {
            format!(
                "[[door]]\nwall = \"{wall}\"\nalong = \"4 m\"\nwidth = \"2 m\"\nheight = \"{height_m} m\"\n"
            )
        };
        let drain = "[[drain]]\nname = \"FD-1\"\nat = [\"9.9 m\", \"4 m\", \"0 m\"]\n";
        let unit = UNIT.replace("\"3 m\", \"4 m\"", "\"1 m\", \"4 m\"");
        let walls = [door("-y"), door("+y")].concat();
        // Two beams keep the pipe from going straight to the far wall.
        let beam = |x: u8| {
            format!(
                "[[obstacle]]\nname = \"B{x}\"\nat = [\"{x} m\", \"4 m\", \"2 m\"]\nlength = \"0.2 m\"\nwidth = \"7.6 m\"\nheight = \"4 m\"\n"
            )
        };
        let beams = [beam(5), beam(6)].concat();
        bench(&[&unit, drain, &walls, &beams]).found(check)
    }

    #[test]
    fn a_line_over_the_doors_passes() {
        assert!(doors(2.1).is_empty());
        let (_, measured, limit) = one(doors(2.8));
        assert!(measured < limit);
    }
}
