//! What to buy to carry the units.

use quantity::{Dim, Place, Step, Text, Value};
use room::{Room, StructureKind};

use super::{CarriedUnit, StrutUse, Way};
use crate::parts::Part;

/// Lengths with a tenth for waste, up to the next 10 cm.
fn with_waste(m: f64) -> f64 {
    // A hair less, so that 1.1 × 3.0 m stays 3.3 m.
    (m * 1.1 * 10.0 - 1e-9).ceil() / 10.0
}

pub(super) fn parts(room: &Room, units: &[CarriedUnit]) -> Vec<Part> {
    units.iter().flat_map(|u| of_unit(room, u)).collect()
}

fn of_unit(room: &Room, unit: &CarriedUnit) -> Vec<Part> {
    let place = || Place::new(unit.tag.clone());
    let mut out = Vec::new();
    let mut add = |what: &'static str, size: Text, amount: Value| {
        out.push(Part {
            step: Step::Hanging,
            what: what.into(),
            size,
            amount,
            place: place(),
        });
    };
    let count = |n: usize| Value::new(n as f64, Dim::Count);
    let length = |m: f64| Value::new(with_waste(m), Dim::Length);
    let rods = unit.rods.len();
    if let Some(first) = unit.rods.first() {
        let size = || Text::from(format!("{}, zinc plated", first.rod.word()));
        let isolated = unit.rods.iter().filter(|r| r.hanger.is_some()).count();
        add(
            "threaded rod",
            size(),
            length(unit.rods.iter().map(|r| r.cut_m).sum()),
        );
        // At the unit one above and two below, two at the structure; an
        // isolator has a pair on each piece of rod.
        add("hex nut", size(), count(5 * rods + 4 * isolated));
        add("flat washer", size(), count(3 * rods + 2 * isolated));
        for rod in unit.rods.iter().take(1) {
            if let Some(hanger) = rod.hanger {
                let rated = unit
                    .rods
                    .iter()
                    .filter_map(|r| r.hanger?.rated_n)
                    .fold(0.0, f64::max);
                add(
                    "vibration isolator",
                    Text::from(format!("{} hanger, rated at least ", hanger.kind.word()))
                        .value(Value::new(rated, Dim::Force)),
                    count(isolated),
                );
            }
        }
    }
    if !unit.struts.is_empty() {
        let total = unit
            .struts
            .iter()
            .map(|s| crate::geometry::distance_m(s.ends_m[0], s.ends_m[1]) + 2.0 * 0.05)
            .sum();
        add(
            "strut channel",
            "1 5/8 in × 1 5/8 in, 12 gauge, plain back".into(),
            length(total),
        );
        let across = unit.struts.iter().any(|s| s.used == StrutUse::Across);
        let trapeze = unit.struts.iter().any(|s| s.used == StrutUse::Trapeze);
        add(
            "square strut washer",
            "for the rod, with its channel nut where the slot is down".into(),
            count(2 * rods * (usize::from(across) + usize::from(trapeze))),
        );
    }
    match unit.way {
        Way::Rods | Way::RodsFromStrut | Way::Trapeze => {
            let kind = room.structure.as_ref().map(|s| s.kind.value);
            add(
                match kind {
                    Some(StructureKind::Concrete) => "anchor in concrete",
                    Some(StructureKind::WoodJoist) => "fastening to joist",
                    Some(StructureKind::SteelJoist) => "beam clamp or welded lug",
                    Some(StructureKind::Strut) => "channel nut",
                    Some(StructureKind::Panel) | None => "fastening to the structure",
                },
                "as the licensed structural engineer says".into(),
                count(unit.anchors.len()),
            );
            add(
                "sway brace",
                "cable or strut at a corner, with turnbuckle".into(),
                count(4),
            );
        }
        Way::Stand => {
            let height = unit.stand.map_or(0.0, |s| s.height_m);
            add(
                "stand",
                Text::from("steel, as the cabinet in plan, height ")
                    .value(Value::new(height, Dim::Length)),
                count(1),
            );
            add(
                "anchor in the floor",
                "as the licensed structural engineer says".into(),
                count(4),
            );
        }
        Way::Outside => {}
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tenth_is_added_and_rounded_up() {
        assert!((with_waste(3.0) - 3.3).abs() < 1e-12);
        assert!((with_waste(3.01) - 3.4).abs() < 1e-12);
    }
}
