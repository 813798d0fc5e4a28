//! A panel has not enough free spaces.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::Power;
use crate::finding::Said;

pub(super) fn check(_room: &Room, power: &Power) -> Vec<Finding> {
    power
        .panels
        .iter()
        .filter_map(|p| {
            let (measured, limit) = (f64::from(p.poles), f64::from(p.free_spaces?));
            if measured <= limit {
                return None;
            }
            let shown = |x: f64| Value::new(x, Dim::Count);
            let (measured, limit) = (shown(measured), shown(limit));
            Some(
                Said {
                    check: "panel_full",
                    severity: Severity::Fix,
                    step: Step::Power,
                    place: Place::new(format!("panel {}", p.name)),
                    what: Text::from("the units need ")
                        .value(measured)
                        .words(" poles, free are ")
                        .value(limit),
                    why: "there is no place for the breakers",
                    remedy: "fit a subpanel, or use another panel; the electrician decides whether a breaker may be shared".into(),
                    source: Source::assumed("a space for each pole"),
                }
                .compared(measured, limit),
            )
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::scene::*;
    use super::*;
    use crate::common::one;

    #[test]
    fn the_last_space_may_be_taken() {
        let with = |free: u32| {
            let (room, mut power) = scene(PANEL, &["generic-70", "generic-70"]);
            power.panels[0].free_spaces = Some(free);
            assert_eq!(power.panels[0].poles, 4);
            check(&room, &power)
        };
        assert!(with(4).is_empty());
        let (_, measured, limit) = one(with(3));
        assert_eq!((measured, limit), (4.0, 3.0));
    }
}
