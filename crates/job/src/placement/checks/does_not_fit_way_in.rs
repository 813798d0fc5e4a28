//! A unit does not go through the door or the narrowest place before it.

use quantity::{Finding, Severity, Source, Step, Text};

use super::{in_room, metres, place};
use crate::finding::Said;
use crate::placement::scene::Scene;

/// Clear width and height to get through \[m\]: the least of the way in and
/// the largest door.
fn opening_m(scene: &Scene<'_>) -> Option<(f64, f64)> {
    let room = scene.room;
    let access = room.access.as_ref();
    let access = access.map(|a| (a.width_m.value, a.height_m.value));
    let door = room
        .doors
        .iter()
        .map(|d| (d.width_m.value, d.height_m.value))
        .max_by(|a, b| (a.0 * a.1).total_cmp(&(b.0 * b.1)));
    match (access, door) {
        (Some(a), Some(d)) => Some((a.0.min(d.0), a.1.min(d.1))),
        (a, d) => a.or(d),
    }
}

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let Some((wide_m, high_m)) = opening_m(scene) else {
        return Vec::new();
    };
    let mut all = Vec::new();
    for (_, u) in in_room(scene) {
        let [l, w, h] = u.model.body.size_m;
        let narrow = l.min(w);
        let (measured, limit, way) = if wide_m < narrow {
            (narrow, wide_m, "wide")
        } else if high_m < h {
            (h, high_m, "high")
        } else {
            continue;
        };
        all.push(
            Said {
                check: "does_not_fit_way_in",
                severity: Severity::Stop,
                step: Step::Placement,
                place: place(u),
                what: Text::from(format!("{} is ", u.unit.model))
                    .value(metres(measured))
                    .words(format!(" {way} upright, the way in "))
                    .value(metres(limit)),
                why: "a refrigerating unit is carried upright; it does not get into the room",
                remedy: "choose a smaller model, find another way in, or take it apart if its instructions allow".into(),
                source: Source::measured("survey", "[access] and [[door]]"),
            }
            .compared(metres(measured), metres(limit)),
        );
    }
    all
}

#[cfg(test)]
mod tests {
    use super::super::rig::{hung, passes_and_fails};
    use super::*;

    #[test]
    fn the_narrower_side_goes_through_upright() {
        // 0.6604 m wide, 0.5588 m high.
        let with = |w: &str, h: &str| {
            hung("D1", [5.0, 4.0, 3.3]) + &format!("[access]\nwidth = \"{w}\"\nheight = \"{h}\"\n")
        };
        let f = passes_and_fails(check, &with("0.67 m", "2 m"), &with("0.65 m", "2 m"));
        assert_eq!(f.severity, Severity::Stop);
        passes_and_fails(check, &with("0.67 m", "0.56 m"), &with("0.67 m", "0.55 m"));
    }
}
