//! A rod runs through something that is in its way.
//!
//! Remedy: move the unit, or carry it on a trapeze whose rods pass beside.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::{ObstacleKind, Room};

use crate::finding::Said;
use crate::geometry::Cuboid;
use crate::hanging::{Hanging, HangingRod};
use crate::placement::{ThingKind, things};

/// Half the width that a rod and its nuts take \[m\].
///
/// **Assumed**: an isolator box is about 50 mm wide.
const HALF_M: f64 = 0.025;

pub(super) fn check(room: &Room, hanging: &Hanging) -> Vec<Finding> {
    let in_the_way = |kind: ThingKind| match kind {
        // A beam may be what carries; the structure is judged elsewhere.
        ThingKind::Obstacle(kind) => kind != ObstacleKind::Beam,
        other => other == ThingKind::Luminaire,
    };
    let mut obstacles = things(room);
    obstacles.retain(|t| in_the_way(t.kind));
    hanging
        .units
        .iter()
        .flat_map(|u| &u.rods)
        .filter_map(|rod| {
            let box_of_rod = rod_box(rod)?;
            let met = obstacles.iter().find(|t| t.cuboid.overlaps(&box_of_rod))?;
            Some(said(rod, &met.name))
        })
        .collect()
}

fn rod_box(rod: &HangingRod) -> Option<Cuboid> {
    let [x, y, z] = rod.foot_m;
    (z < rod.top_m).then_some(Cuboid {
        low_m: [x - HALF_M, y - HALF_M, z],
        high_m: [x + HALF_M, y + HALF_M, rod.top_m],
    })
}

fn said(rod: &HangingRod, name: &str) -> Finding {
    Said {
        check: "rod_meets_obstacle",
        severity: Severity::Fix,
        step: Step::Hanging,
        place: Place::new(rod.tag.clone()),
        what: Text::from(format!("the rod runs through {name}")),
        why: "a rod that leans on a pipe, a duct or a luminaire loads and shakes it",
        remedy: "move the unit, or say mount = \"trapeze\" so that the rods pass beside".into(),
        source: Source::assumed("a rod and its isolator take about two inches"),
    }
    .finding()
}

#[cfg(test)]
mod tests {
    use super::super::bench::{SLAB, of, room};
    use super::*;
    use crate::common::says;
    use room::Mount;

    #[test]
    fn a_rod_passes_beside_a_duct_or_not() {
        // The front rods of D1 are at x = 2.508, y = 3 ± 0.2921; the duct lies
        // above the unit, along y.
        let with = |x: f64| {
            room(&format!(
                "{SLAB}\n[[obstacle]]\nname = \"supply duct\"\nkind = \"duct\"\nat = [\"{x} m\", \"4 m\", \"3.5 m\"]\nlength = \"0.5 m\"\nwidth = \"6 m\"\nheight = \"0.4 m\""
            ))
        };
        let beside = with(2.508 + 0.276);
        assert!(check(&beside, &of(&beside, Mount::Hung)).is_empty());
        let through = with(2.508 + 0.274);
        let found = check(&through, &of(&through, Mount::Hung));
        assert_eq!(found.len(), 2);
        says(&found[0]);
    }
}
