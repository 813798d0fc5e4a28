//! A rod is thinner than 3/8 in or M10.
//!
//! Thin rods carry the load on paper, but bend and lose their thread on site.
//! Remedy: 3/8 in or M10; thinner only where the load case passes and an
//! engineer agrees.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::finding::Said;
use crate::hanging::thread::{INCH_M, reaches_minimum, thread};
use crate::hanging::{Hanging, HangingRod};

pub(super) fn check(_room: &Room, hanging: &Hanging) -> Vec<Finding> {
    hanging
        .units
        .iter()
        .filter_map(|unit| {
            let rod = unit.rods.first()?;
            let carries = unit.rods.iter().all(|r| r.utilisation() <= 1.0);
            (!reaches_minimum(rod.rod)).then(|| said(&unit.tag, rod, carries))
        })
        .collect()
}

fn said(tag: &str, rod: &HangingRod, carries: bool) -> Finding {
    let length = |m: f64| Value::new(m, Dim::Length);
    let diameter_m = thread(rod.rod).diameter_m;
    Said {
        check: "rod_below_minimum",
        // Chosen on purpose where the load case passes.
        severity: if carries {
            Severity::Note
        } else {
            Severity::Fix
        },
        step: Step::Hanging,
        place: Place::new(tag.to_owned()),
        what: Text::from(format!("{} rod, ", rod.rod.word()))
            .value(length(diameter_m))
            .words(if carries {
                " thick, carries the load, but is below the usual minimum"
            } else {
                " thick, is below the usual minimum"
            }),
        why: "thin rods bend and lose their thread when they are handled",
        remedy:
            "take 3/8 in or M10 rod, unless a licensed structural engineer agrees to the thinner one"
                .into(),
        source: Source::published(
            "piping handbook, 2nd edition, 2009",
            "least rod for pipe supports inside a facility",
        ),
    }
    .compared(length(diameter_m), length(3.0 / 8.0 * INCH_M))
}

#[cfg(test)]
mod tests {
    use super::super::bench::{SLAB, of, room};
    use super::*;
    use crate::common::one;
    use room::Mount;

    #[test]
    fn three_eighths_and_m10_reach_the_minimum() {
        let with = |rod: &str| {
            let room = room(&format!("{SLAB}\n[hanging]\nrod = \"{rod}\""));
            check(&room, &of(&room, Mount::Hung))
        };
        for rod in ["3/8 in", "1/2 in", "5/8 in", "M10", "M12"] {
            assert!(with(rod).is_empty(), "{rod}");
        }
        for rod in ["M8", "M6", "1/4 in"] {
            let (_, measured, limit) = one(with(rod));
            assert!(measured < limit, "{rod}");
        }
        // 100 kg with factor 1.5: half is 750 N, more than M6 would like to
        // carry only above 1110 N.
        let (finding, ..) = one(with("M8"));
        assert_eq!(finding.severity, Severity::Note);
    }
}
