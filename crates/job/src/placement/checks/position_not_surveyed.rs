//! A unit's position was not measured on site.

use quantity::{Finding, Severity, Source, Step, Text};

use super::place;
use crate::finding::Said;
use crate::placement::PlacedBy;
use crate::placement::scene::Scene;

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    scene
        .units
        .iter()
        .filter_map(|u| {
            let (what, remedy) = match u.unit.by {
                PlacedBy::Survey => return None,
                PlacedBy::FacingSearched => (
                    "its direction is proposed; its place is the surveyed one",
                    "see that nothing is in the way, then write facing of this unit into the room file",
                ),
                PlacedBy::Search => (
                    "its place is proposed, not measured",
                    "mark the place on site, then write at and facing of this unit into the room file",
                ),
            };
            Some((u, what, remedy))
        })
        .map(|(u, what, remedy)| {
            Said {
                check: "position_not_surveyed",
                severity: Severity::Note,
                step: Step::Placement,
                place: place(u),
                what: Text::from(what),
                why: "what nobody surveyed may be in the way",
                remedy: remedy.into(),
                source: Source::assumed("search over places along walls and over aisles"),
            }
            .finding()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common;
    use crate::placement::scene::Fixed;
    use crate::placement::{present, sensor_m};

    #[test]
    fn only_proposed_places_are_noted() {
        let text = format!(
            "{}{}",
            super::super::rig::HALL,
            super::super::rig::hung("D1", [5.0, 4.0, 3.3])
        );
        let room = common::read(&text);
        let catalog = common::catalog();
        let mut units = present(&room, catalog).unwrap();
        let fixed = Fixed::of(&room, catalog, sensor_m(&room));
        assert!(check(&Scene::of(&room, catalog, &fixed, &units).unwrap()).is_empty());
        units[0].by = PlacedBy::Search;
        let found = check(&Scene::of(&room, catalog, &fixed, &units).unwrap());
        assert_eq!(found[0].severity, Severity::Note);
    }
}
