//! Starts pull the voltage at a panel down too far.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::Power;
use super::super::restart::MOST_DIP;
use crate::finding::Said;

pub(super) fn check(_room: &Room, power: &Power) -> Vec<Finding> {
    power
        .restarts
        .iter()
        .filter_map(|r| {
            let dip = r.dip.as_ref().filter(|d| MOST_DIP + 1e-9 < d.together)?;
            let share = |x: f64| Value::new(x, Dim::Fraction);
            let remedy = if dip.one <= MOST_DIP + 1e-9 {
                "start the units one after the other: the dip is then "
            } else {
                "ask for a stronger supply, or put fewer units on it: one start alone dips "
            };
            Some(
                Said {
                    check: "supply_dips",
                    severity: Severity::Fix,
                    step: Step::Power,
                    place: Place::new(format!("panel {}", r.panel)),
                    what: Text::from("units that start together pull the voltage down by ")
                        .value(share(dip.together)),
                    why: "contactors and controls let go near 70 to 80 % of their voltage",
                    remedy: Text::from(remedy).value(share(dip.one)),
                    source: Source::memory("15 %, well above where contactors drop out", ""),
                }
                .compared(share(dip.together), share(MOST_DIP)),
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
    fn a_strong_supply_passes_and_a_weak_one_fails() {
        let with = |fault: &str| {
            let panel = PANEL.replace("main =", &format!("fault_current = \"{fault}\"\nmain ="));
            let (room, power) = scene(&panel, &["generic-150", "generic-150"]);
            check(&room, &power)
        };
        // Two rotors of 58 A: 15 % at 657.3 A.
        assert!(with("658 A").is_empty());
        let (_, measured, limit) = one(with("657 A"));
        assert!((measured - 116.0 / 773.0).abs() < 1e-9 && limit == MOST_DIP);
    }

    #[test]
    fn without_a_fault_current_nothing_is_said() {
        let (room, power) = scene(PANEL, &["generic-150"; 4]);
        assert!(check(&room, &power).is_empty());
    }
}
