//! A unit takes the working space before an electrical panel.

use quantity::{Finding, Severity, Source, Step, Text};
use room::{Panel, Room};

use super::{in_room, metres, place};
use crate::finding::Said;
use crate::geometry::Cuboid;
use crate::placement::inside;
use crate::placement::scene::Scene;

/// Width and height of the working space: 30 in and 6.5 ft \[m\].
const WIDE_M: f64 = 0.762;
const HIGH_M: f64 = 1.981_2;
const WORKING_SPACE: Source = Source::published(
    "NEC 110.26(A), as quoted in adoptions and safety letters: 3 ft to 150 V to ground; 30 in wide, 6.5 ft high",
    "151 to 600 V: 3.5 ft against a grounded wall, recalled",
);

/// Depth of the working space before a panel \[m\].
fn depth_m(panel: &Panel) -> f64 {
    let to_ground = panel.to_ground_v.as_ref().map(|v| v.value);
    let volts = to_ground.or_else(|| panel.voltage_v.as_ref().map(|v| v.value));
    // 240 V between phases is 120 V to ground in the usual systems.
    let low = match (to_ground, volts) {
        (Some(v), _) => v <= 150.0,
        (None, Some(v)) => v <= 240.0,
        (None, None) => false,
    };
    if low { 0.914_4 } else { 1.066_8 }
}

/// Working space before a panel: from the nearest wall into the room.
pub fn working_space(room: &Room, panel: &Panel) -> Cuboid {
    let [x, y, _] = panel.at_m.value;
    let all = inside(room);
    let [l, w, _] = all.high_m;
    let deep = depth_m(panel);
    let half = 0.5 * WIDE_M;
    let walls = [x, l - x, y, w - y];
    let nearest = (0..4).fold(0, |best, i| if walls[i] < walls[best] { i } else { best });
    let (low, high) = match nearest {
        0 => ([0.0, y - half], [x + deep, y + half]),
        1 => ([x - deep, y - half], [l, y + half]),
        2 => ([x - half, 0.0], [x + half, y + deep]),
        _ => ([x - half, y - deep], [x + half, w]),
    };
    Cuboid {
        low_m: [low[0], low[1], 0.0],
        high_m: [high[0], high[1], HIGH_M],
    }
}

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for (_, u) in in_room(scene) {
        for panel in &scene.room.panels {
            let space = working_space(scene.room, panel);
            if !space.overlaps(&u.cabinet) {
                continue;
            }
            let deep = metres(depth_m(panel));
            // Free depth between panel and cabinet.
            let [x, y, _] = panel.at_m.value;
            let gap = (0..2)
                .map(|i| {
                    let p = [x, y][i];
                    (u.cabinet.low_m[i] - p).max(p - u.cabinet.high_m[i])
                })
                .fold(0.0, f64::max);
            all.push(
                Said {
                    check: "panel_space_taken",
                    severity: Severity::Stop,
                    step: Step::Placement,
                    place: place(u),
                    what: Text::from(format!(
                        "the cabinet stands in the working space of panel {}: ",
                        panel.name.value
                    ))
                    .value(metres(gap))
                    .words(" free of ")
                    .value(deep),
                    why: "who works at a live panel must be able to step back",
                    remedy: "move the unit out of the working space".into(),
                    source: WORKING_SPACE,
                }
                .compared(metres(gap), deep),
            );
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::super::rig::{passes_and_fails, unit};
    use super::*;

    #[test]
    fn three_feet_stay_free_before_a_panel() {
        let panel = "[[panel]]\nname = \"LP\"\nat = [\"0 m\", \"4 m\", \"1.5 m\"]\nvoltage = \"240 V\"\nto_ground = \"120 V\"\n";
        // Half of 1.1684 m before the middle: 0.9144 + 0.5842 = 1.4986.
        let at = |x: f64| unit("D1", "generic-150", [x, 4.0, 0.6], "+x") + panel;
        let f = passes_and_fails(check, &at(1.4987), &at(1.49));
        assert_eq!(f.severity, Severity::Stop);
        // 480 V between phases, ground not said: 3.5 ft.
        let high = panel
            .replace("240 V", "480 V")
            .replace("to_ground = \"120 V\"\n", "");
        let at = |x: f64| unit("D1", "generic-150", [x, 4.0, 0.6], "+x") + &high;
        passes_and_fails(check, &at(1.6511), &at(1.65));
    }
}
