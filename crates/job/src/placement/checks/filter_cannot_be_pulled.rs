//! A filter cannot be drawn out.

use equipment::Face;
use quantity::{Finding, Severity, Source, Step, Text};

use super::{in_room, metres, place};
use crate::finding::Said;
use crate::geometry::{clearance_index, face_axis};
use crate::placement::scene::{Scene, Seen};

/// Room for the hand beside what is drawn \[m\], middle of 50 to 100 mm.
const HAND_M: f64 = 0.075;
const PULL: Source = Source::common_practice(
    "filter pull-out at least the filter's length and a hand's room, or the record's clearance",
);

/// Depth that drawing the filter takes \[m\]. A filter that lies in the face
/// where air enters is lifted off; one drawn from a side is as long as the
/// cabinet is deep that way.
fn pull_m(u: &Seen<'_>) -> f64 {
    let body = &u.model.body;
    let length = if body.filter == body.inlet {
        0.0
    } else {
        let axis = face_axis(body.filter);
        (0..3).map(|i| axis[i].abs() * body.size_m[i]).sum()
    };
    let own = clearance_of(u, body.filter);
    // The record knows its own filter: a shorter clearance for a side filter
    // means one in parts.
    if own > 0.0 { own } else { length + HAND_M }
}

fn clearance_of(u: &Seen<'_>, face: Face) -> f64 {
    u.model.body.clearance_m[clearance_index(face)]
}

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for (i, u) in in_room(scene) {
        let need = pull_m(u);
        let face = u.model.body.filter;
        let (free, by) = scene.free_depth_m(i, face, need);
        if need <= free + 1e-6 {
            continue;
        }
        all.push(
            Said {
                check: "filter_cannot_be_pulled",
                severity: Severity::Stop,
                step: Step::Placement,
                place: place(u),
                what: Text::from(format!("the filter comes out at the {} and needs ", face.word()))
                    .value(metres(need))
                    .words(format!("; {by} leaves "))
                    .value(metres(free)),
                why: "a filter that cannot be drawn is never changed: the air falls off and the pan pressure rises",
                remedy: "move or turn the unit".into(),
                source: PULL,
            }
            .compared(metres(free), metres(need)),
        );
    }
    all
}

#[cfg(test)]
mod tests {
    use super::super::rig::{hung, passes_and_fails};
    use super::*;

    #[test]
    fn the_record_says_how_much_the_filter_needs() {
        // Filter at the back, 24 in = 0.6096 m; back face 0.5842 m from the middle.
        let at = |x: f64| hung("D1", [x, 4.0, 3.3]);
        let f = passes_and_fails(check, &at(1.1940), &at(1.19));
        assert_eq!(f.severity, Severity::Stop);
    }
}
