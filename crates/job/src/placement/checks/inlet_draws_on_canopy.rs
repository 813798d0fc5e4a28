//! A unit draws air off leaves close to its inlet.

use quantity::{Finding, Severity, Source, Step, Text};
use room::{DuctSection, DuctSide};

use super::{in_room, place, speed};
use crate::finding::Said;
use crate::geometry::{Cuboid, Point, distance_m};
use crate::placement::ducts;
use crate::placement::scene::{Scene, Seen, ThingKind, face_m2};
use crate::placement::sink::{Flange, Inlet, suction_m_per_s};

/// Speed on leaves that is let pass \[m/s\].
const LET_PASS_M_PER_S: f64 = 0.25;
const LIMIT: Source = Source::assumed("an inlet is told from room air down to about 0.25 m/s");

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for (_, u) in in_room(scene) {
        let (at, inlet) = inlet(scene, u);
        let canopies = scene.fixed.things.iter();
        let worst = canopies
            .filter(|t| t.kind == ThingKind::Canopy)
            .map(|t| (t, suction_m_per_s(&inlet, away_m(at, &t.cuboid))))
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .filter(|worst| LET_PASS_M_PER_S < worst.1);
        let Some((thing, found)) = worst else {
            continue;
        };
        all.push(
            Said {
                check: "inlet_draws_on_canopy",
                severity: Severity::Fix,
                step: Step::Placement,
                place: place(u),
                what: Text::from(format!("it draws air over {} with ", thing.name))
                    .value(speed(found)),
                why: "leaves and dust are drawn onto the filter, and the unit dries those leaves first",
                remedy: "hang it higher, or turn its inlet to an aisle".into(),
                source: LIMIT,
            }
            .compared(speed(found), speed(LET_PASS_M_PER_S)),
        );
    }
    all
}

/// Where a unit draws, and how.
fn inlet(scene: &Scene<'_>, u: &Seen<'_>) -> (Point, Inlet) {
    let (frame, body) = (&u.unit.frame, &u.model.body);
    let duct = scene.room.ducts.iter().find(|d| {
        d.unit.value == u.unit.tag && d.side.value == DuctSide::Inlet && d.ends_m.is_some()
    });
    let air_flow_m3_per_s = u.unit.ducted.air_flow_m3_per_s;
    match duct.and_then(|d| d.ends_m.as_ref().map(|e| (d, e.value))) {
        Some((duct, end)) => {
            let inlet = Inlet {
                air_flow_m3_per_s,
                area_m2: match duct.section {
                    DuctSection::Round { diameter_m } => ducts::round_m2(diameter_m),
                    DuctSection::Rectangular { width_m, height_m } => width_m * height_m,
                },
                flange: Flange::None,
            };
            (end, inlet)
        }
        None => {
            let inlet = Inlet {
                air_flow_m3_per_s,
                area_m2: face_m2(u.model, body.inlet),
                flange: Flange::Wide,
            };
            (frame.face_m(body, body.inlet), inlet)
        }
    }
}

/// Shortest way from a point to a box \[m\].
fn away_m(p: Point, c: &Cuboid) -> f64 {
    let nearest: Point = std::array::from_fn(|i| p[i].clamp(c.low_m[i], c.high_m[i]));
    distance_m(p, nearest)
}

#[cfg(test)]
mod tests {
    use super::super::rig::{hung, passes_and_fails};
    use super::*;

    #[test]
    fn leaves_keep_away_from_the_inlet() {
        let with = |top: f64| {
            hung("D1", [2.0, 4.0, 3.3])
                + &format!(
                    "[[bench]]\nat = [\"1.416 m\", \"4 m\", \"0.8 m\"]\nlength = \"1 m\"\nwidth = \"1 m\"\ncanopy = \"{} m\"\n",
                    top - 0.8
                )
        };
        // 1.33 × 0.38889 m³/s / (10 x² + 0.660 × 0.559 m²) is 0.25 m/s at
        // x = 0.412 m: leaves up to 2.888 m.
        let f = passes_and_fails(check, &with(2.884), &with(2.892));
        assert_eq!(f.severity, Severity::Fix);
    }
}
