//! Cold supply air blows into a unit's inlet.

use quantity::{Finding, Source, Step, Text};

use super::{INLET_LET_PASS_M_PER_S, at_inlet, in_room, place, speed};
use crate::finding::Said;
use crate::placement::scene::{JetKind, Scene};

const LIMIT: Source = Source::assumed(
    "jets are told from room air down to about 0.25 m/s; from 0.5 m/s the inlet breathes mostly supply air",
);

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for (_, u) in in_room(scene) {
        for jet in scene
            .fixed
            .jets
            .iter()
            .filter(|j| j.kind == JetKind::Supply)
        {
            let found = scene.speed_m_per_s(jet, u.inlet_m);
            let Some(severity) = at_inlet(found) else {
                continue;
            };
            all.push(
                Said {
                    check: "cold_supply_into_inlet",
                    severity,
                    step: Step::Placement,
                    place: place(u),
                    what: Text::from(format!("{} arrives at its inlet with ", jet.from))
                        .value(speed(found)),
                    why: "cold dry air gives the coil little water and may frost it",
                    remedy: "move or turn the unit out of the supply, or turn the supply".into(),
                    source: LIMIT,
                }
                .compared(speed(found), speed(INLET_LET_PASS_M_PER_S)),
            );
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use quantity::Severity;

    use super::super::rig::{found, passes_and_fails, unit};
    use super::*;

    /// A supply at the door wall, and a unit whose inlet looks to it, `y`
    /// beside its axis.
    fn with(y: f64) -> String {
        unit("D1", "generic-150", [5.6342, 4.0 + y, 3.0], "+x")
            + "[[cooling]]\nname = \"AC\"\ncapacity = \"5 ton\"\nsensible_share = \"75 %\"\n[[supply]]\nof = \"AC\"\nat = [\"0 m\", \"4 m\", \"3 m\"]\nblows = \"+x\"\nwidth = \"0.5 m\"\nheight = \"0.18 m\"\nair_flow = \"0.45 m3/s\"\n"
    }

    /// CHK-6.1: 5 m/s and 0.09 m² give 1.695 m/s at 5 m; the bell curve brings
    /// it to 0.25 m/s at √(ln(1.695 / 0.25) / ln 2) = 1.6617 half-widths of
    /// 0.5 m: 0.831 m.
    #[test]
    fn beside_the_supply_is_let_pass() {
        let f = passes_and_fails(check, &with(0.84), &with(0.82));
        assert_eq!(f.severity, Severity::Fix);
        let middle = found(check, &with(0.0));
        assert_eq!(middle[0].severity, Severity::Stop);
        assert!((middle[0].measured.unwrap().si - 1.695).abs() < 0.01 * 1.695);
    }
}
